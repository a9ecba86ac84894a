"""The sessions of a class and the rule of a recurring date, as she types them."""

from __future__ import annotations

import datetime as dt
import re
from typing import Final

from scheduling.day_names import WEEKDAYS, weekday_named
from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.model.class_dates import LocalSpan, in_order, session_times
from scheduling.typed_days import shortened
from scheduling.words import Understood, read_day, read_span, show_day, show_minutes

MOST_MONTHS: Final = 36
_TIME = r"(?:\d{1,2}(?:[:.h]\d\d|h)?(?: ?[ap]\.? ?m\.?)?|\d{4}|noon|midday)"
_SESSION = re.compile(
    rf"(?:(?P<day>.*?\S)[ ,]+)?(?:from )?(?P<hours>{_TIME} *(?:-| to | till | until ) *{_TIME})", re.ASCII
)
_BETWEEN = re.compile(r"\s*(?:;|\+|&|\band\b|\n)\s*")
_RULE_DAYS: Final = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_NTH: Final = {
    "first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "4th": 4, "last": -1,
}  # fmt: skip
_NTH_WORDS: Final = {1: "first", 2: "second", 3: "third", 4: "fourth", -1: "last"}


def read_sessions(
    text: str, *, today: dt.date, zone: str, day_first: bool | None = True, field: str = "sessions"
) -> Understood[tuple[LocalSpan, ...]]:
    """Sessions with "; " or "and" between them: sat 13 mar 10-12:30; sun 14 mar 10-12:30.

    A session without a day is on the day of the one before: sat 13 mar 10-12 and 13-15.
    Gives naive local starts and ends by start. Raises InvalidError for what is not understood, for a time that the
    clocks of `zone` jump over, and for sessions that overlap.
    """
    spans: list[LocalSpan] = []
    day: dt.date | None = None
    for part in _BETWEEN.split(typed_text(text).strip(" ;")):
        match = _SESSION.fullmatch(part)
        if match is None or (match["day"] is None and day is None):
            raise InvalidError(
                f"{shortened(part)} is not understood as a day with its hours.",
                hint="Write such as sat 13 mar 10-12:30, and a semicolon before another session.",
                field=field,
            )
        if match["day"] is not None:
            day = read_day(match["day"], today=today, day_first=day_first, field=field).value
        assert day is not None
        starts, ends = read_span(match["hours"], field=field).value
        spans.append((dt.datetime.combine(day, starts), dt.datetime.combine(day, ends)))
    ordered = in_order([session_times(*span, zone, field=field) for span in spans], field=field)
    shown = [
        f"{show_day(one.starts.local.date(), year=True)} {one.starts.local:%H:%M}-{one.ends.local:%H:%M}"
        f" ({show_minutes(one.minutes)})"
        for one in ordered
    ]
    return Understood(tuple((one.starts.local, one.ends.local) for one in ordered), "; ".join(shown))


def sessions_text(spans: tuple[LocalSpan, ...]) -> str:
    """Sessions as `read_sessions` takes them."""
    return "; ".join(f"{show_day(starts.date(), year=True)} {starts:%H:%M}-{ends:%H:%M}" for starts, ends in spans)


def read_repeat(text: str, *, field: str = "repeats") -> Understood[str]:
    """A recurring date: third thursday, last sat of the month, every week, every 2 weeks, every month.

    Gives the text of an RFC 5545 rule, without "RRULE:". Raises InvalidError for anything else.
    """
    plain = " ".join(typed_text(text).split()).removeprefix("every ").removeprefix("the ").strip()
    plain = re.sub(r" (?:of (?:the|each|every) month|monthly)$", "", plain)
    if plain in ("week", "weekly"):
        return Understood("FREQ=WEEKLY", "every week")
    if plain in ("month", "monthly"):
        return Understood("FREQ=MONTHLY", "every month on that day of it")
    if match := re.fullmatch(r"(?:(\d{1,2})|second|other) ?(week|month)s?", plain):
        often = int(match[1] or 2)
        if not 1 <= often <= 12:
            raise InvalidError("A class recurs every 1 to 12 weeks or months.", hint="Say every 2 weeks.", field=field)
        freq = "WEEKLY" if match[2] == "week" else "MONTHLY"
        return Understood(f"FREQ={freq};INTERVAL={often}", f"every {often} {match[2]}s")
    words = plain.replace(" and ", " ").split()
    weekday = weekday_named(words[-1]) if words else None
    if weekday is not None and len(words) == 1:
        return Understood(f"FREQ=WEEKLY;BYDAY={_RULE_DAYS[weekday]}", f"every {WEEKDAYS[weekday]}")
    places = [_NTH[word] for word in words[:-1] if word in _NTH]
    if weekday is None or not places or len(places) != len(words) - 1:
        raise InvalidError(
            f"{shortened(text)} is not understood as a recurring date.",
            hint="Say third thursday, last saturday, every week or every 2 weeks.",
            field=field,
        )
    days = ",".join(f"{place}{_RULE_DAYS[weekday]}" for place in dict.fromkeys(places))
    said = " and ".join(_NTH_WORDS[place] for place in dict.fromkeys(places))
    return Understood(f"FREQ=MONTHLY;BYDAY={days}", f"the {said} {WEEKDAYS[weekday]} of every month")


def months_on(day: dt.date, months: int) -> dt.date:
    """The last day of a stretch of so many months from `day`: the day before the same day then, or the month's last."""
    years, month = divmod(day.month - 1 + months, 12)
    first = dt.date(day.year + years, month + 1, 1)
    after = (first + dt.timedelta(days=31)).replace(day=1)
    return min(first.replace(day=1) + dt.timedelta(days=day.day - 1), after) - dt.timedelta(days=1)

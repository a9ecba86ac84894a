"""Days and times as she types them, and as every screen and text writes them.

A reader gives back what it understood and a plain text of it, which a form shows before anything is kept.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Generic, TypeVar

from scheduling.day_names import day_text, weekday_named
from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.typed_days import find_day, shortened

Value = TypeVar("Value")
MOST_MINUTES = 100_000
LONGEST = 100
_HALF = r"[ap]\.? ?m\.?"
_CLOCK = re.compile(
    r"(?P<hour>\d{1,2})(?:[:.h] ?(?P<minute>\d\d)|h)? ?(?:(?P<half>[ap])\.? ?m\.?|h|o'clock)?", re.ASCII
)
_FOUR = re.compile(r"(?P<hour>\d\d)(?P<minute>\d\d) ?(?:(?P<half>[ap])\.? ?m\.?|h)?", re.ASCII)
_NOON = ("noon", "midday", "12 noon")
# In a moment a time has to look like one: a bare number there could be a year or a day.
_SURE = rf"(?:\d{{1,2}}[:.h]\d\d(?: ?{_HALF})?|\d{{1,2}} ?{_HALF}|\d{{1,2}}h|noon|midday|at \d{{1,2}})"
_DAY_THEN_TIME = re.compile(rf"(?P<day>.+?)(?:[ ,]+|(?<=\d)t(?=\d))(?:at )?(?P<time>{_SURE})", re.ASCII)
_TIME_THEN_DAY = re.compile(rf"(?:at )?(?P<time>{_SURE})[ ,]+(?:on )?(?P<day>.+)", re.ASCII)
_HOURS = r"h|hr|hrs|hour|hours"
_MINUTES = r"m|min|mins|minute|minutes|'"
_HOURS_AND_MINUTES = re.compile(rf"(\d{{1,4}}) ?(?:{_HOURS})(?: ?(?:and )?(\d{{1,2}}) ?(?:{_MINUTES})?)?", re.ASCII)
_ONLY_MINUTES = re.compile(rf"(\d{{1,6}}) ?(?:{_MINUTES})?", re.ASCII)
_COLON = re.compile(r"(\d{1,4}):(\d\d)(?: ?h)?", re.ASCII)
_PART_HOURS = re.compile(rf"(\d{{1,4}})[.,](\d{{1,6}}) ?(?:{_HOURS})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Understood(Generic[Value]):
    """What an entry was understood as, and the same as plain text to show before it is kept."""

    value: Value
    shown: str


def show_day(day: dt.date, *, today: dt.date | None = None, year: bool = False) -> str:
    """Such as "Sat 13 Mar"; with the year where it is asked for, or is another than that of `today`."""
    return day_text(day, year=year or (today is not None and day.year != today.year))


def show_time(time: dt.time) -> str:
    """Such as "09:00" or "18:30"."""
    return f"{time:%H:%M}"


def show_moment(moment: dt.datetime, *, today: dt.date | None = None, year: bool = False) -> str:
    """Such as "Sat 13 Mar, 10:00"; the zone is the caller's to say."""
    return f"{show_day(moment.date(), today=today, year=year)}, {show_time(moment.time())}"


def counted(number: int, one: str, more: str = "") -> str:
    """So many of a thing, in words: `1 sheet`, `2 sheets`; more: its plural where that takes no s."""
    return f"{number} {one if number == 1 else more or f'{one}s'}"


def show_minutes(minutes: int) -> str:
    """Such as "45 min", "2 h" or "3 h 20"; a minus before what is under zero."""
    hours, rest = divmod(abs(minutes), 60)
    sign = "-" if minutes < 0 else ""
    if not hours:
        return f"{sign}{rest} min"
    return f"{sign}{hours} h {rest:02d}" if rest else f"{sign}{hours} h"


def read_day(
    text: str, *, today: dt.date, day_first: bool | None = True, past: bool = False, field: str = "day"
) -> Understood[dt.date]:
    """A day as typed: 13/3, 13 Mar, mar 13, sat 13 march 2027, 2027-03-13, thu, next thu, last fri, the 13th,
    today, tomorrow, in 3 days, +3, 2 weeks ago.

    today: the day in the studio's zone, from which the rest is counted.
    day_first: whether 3/4 is 3 April; None where it is not known, and then a day that could be both is refused.
    past: a day without a year is the latest such day up to today; else the next one from today on.
    Raises InvalidError for what is not understood, is no date, or has a weekday that contradicts it; the hint
        names the days that may be meant.
    """
    day = find_day(text, today=today, day_first=day_first, past=past, field=field)
    return Understood(day, show_day(day, year=True))


def read_time(text: str, *, field: str = "time") -> Understood[dt.time]:
    """A time of day as typed: 10, 10am, 6.30 pm, 18:30, 18h30, 1830, noon; without am or pm by the 24-hour clock."""
    plain = _typed(text)
    if plain in _NOON:
        return _understood_time(dt.time(12))
    match = _CLOCK.fullmatch(plain) or _FOUR.fullmatch(plain)
    if not match:
        raise InvalidError(
            f"{shortened(text)} is not understood as a time.", hint="Write a time such as 18:30 or 6.30pm.", field=field
        )
    hour, minute, half = int(match["hour"]), int(match["minute"] or 0), match["half"]
    if half and not 1 <= hour <= 12:
        raise InvalidError(
            f"There is no {hour} {half}m.", hint="Use 1 to 12 with am or pm, or the 24-hour clock.", field=field
        )
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        raise InvalidError(f"The clock has no {hour}:{minute:02d}.", hint="Use 00:00 to 23:59.", field=field)
    return _understood_time(dt.time(hour, minute))


def _typed(text: str) -> str:
    """The text made plain; what is far too long is nothing that is understood here."""
    return typed_text(text) if len(text) <= LONGEST else ""


def _understood_time(time: dt.time) -> Understood[dt.time]:
    return Understood(time, show_time(time))


def read_moment(
    text: str, *, today: dt.date, day_first: bool | None = True, past: bool = False, field: str = "starts"
) -> Understood[dt.datetime]:
    """A day with a time, in either order: sat 13 mar 10am, 13/3/27 18:30, tomorrow at 10, 2027-03-13T10:00.

    Gives a naive local datetime; whether the clocks of a zone pass it is for the caller to ask (clock.WallTime).
    Raises InvalidError as read_day and read_time do, and where the day or the time is missing.
    """
    plain = _typed(text)
    match = _DAY_THEN_TIME.fullmatch(plain) or _TIME_THEN_DAY.fullmatch(plain)
    if not match:
        raise InvalidError(
            f"{shortened(text)} is not understood as a day and a time.",
            hint="Write both, such as sat 13 mar 18:30.",
            field=field,
        )
    typed_day, typed_time = match["day"], match["time"].removeprefix("at ")
    if re.fullmatch(r"\d{1,2}\.\d\d", typed_time) and weekday_named(typed_day.split()[-1]) is not None:
        raise InvalidError(
            f"{shortened(text)} may end in a time or in a date.",
            hint=f"Write {typed_time.replace('.', ':')} for the time, or add one.",
            field=field,
        )
    time = read_time(typed_time, field=field).value
    day = read_day(typed_day, today=today, day_first=day_first, past=past, field=field).value
    moment = dt.datetime.combine(day, time)
    return Understood(moment, show_moment(moment, year=True))


def read_span(text: str, *, field: str = "hours") -> Understood[tuple[dt.time, dt.time]]:
    """Two times of one day: 10-12:30, 10am to 12:30, 18:30-20:45, 6.30-8.45pm.

    Where only one of the two says am or pm, the other is taken in the half of the day that makes a span.
    Raises InvalidError when the end is not after the start.
    """
    parts = re.split(r"\s*-\s*|\s+(?:to|till|until)\s+", _typed(text).removeprefix("from "))
    if len(parts) != 2:
        raise InvalidError(
            f"{shortened(text)} is not understood as a start and an end.",
            hint="Write such as 10:00-12:30.",
            field=field,
        )
    starts, ends = (read_time(part, field=field).value for part in parts)
    says = [re.search(_HALF, part) for part in parts]
    if says[1] and not says[0] and starts.hour < 12:
        same = _other_half(starts) if says[1][0][0] == "p" and starts.hour else starts
        starts = same if same < ends else starts
    elif says[0] and not says[1] and ends <= starts and 0 < ends.hour < 12:
        ends = _other_half(ends)
    if ends <= starts:
        raise InvalidError(
            f"The end, {show_time(ends)}, is not after the start, {show_time(starts)}.",
            hint="Write both by the 24-hour clock, such as 18:30-20:45.",
            field=field,
        )
    return Understood((starts, ends), f"{show_time(starts)}-{show_time(ends)}")


def _other_half(time: dt.time) -> dt.time:
    return time.replace(hour=(time.hour + 12) % 24)


def read_minutes(text: str, *, field: str = "minutes") -> Understood[int]:
    """A length of time in whole minutes: 90, 90 min, 1h30, 1:30, 1 h 30 min, 2.5 h, 2 hours; at most 100,000."""
    plain = _typed(text)
    if match := _ONLY_MINUTES.fullmatch(plain):
        minutes = int(match[1])
    elif match := _HOURS_AND_MINUTES.fullmatch(plain) or _COLON.fullmatch(plain):
        rest = int(match[2] or 0)
        if rest > 59:
            raise InvalidError(f"An hour has no {rest} minutes.", hint="Use 0 to 59 after the hours.", field=field)
        minutes = int(match[1]) * 60 + rest
    elif match := _PART_HOURS.fullmatch(plain):
        exact = Decimal(f"{match[1]}.{match[2]}") * 60
        minutes = int(exact)
        if exact != minutes:
            raise InvalidError(
                f"{shortened(text)} is not a whole number of minutes.",
                hint=f"Use {show_minutes(minutes)} or {show_minutes(minutes + 1)}.",
                field=field,
            )
    else:
        raise InvalidError(
            f"{shortened(text)} is not understood as a length of time.",
            hint="Write such as 90, 1h30 or 2.5 h.",
            field=field,
        )
    if minutes > MOST_MINUTES:
        raise InvalidError(f"{minutes} minutes is too long.", hint=f"Use {MOST_MINUTES} or less.", field=field)
    return Understood(minutes, show_minutes(minutes))

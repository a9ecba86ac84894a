"""How a typed day becomes a date: the forms taken, and what is refused rather than guessed."""

from __future__ import annotations

import datetime as dt
import re
from calendar import monthrange
from dataclasses import dataclass

from scheduling.day_names import MONTHS, WEEKDAYS, day_text, month_named, weekday_named
from scheduling.errors import InvalidError
from scheduling.folding import typed_text

FIRST_YEAR, LAST_YEAR = 1900, 2199
_LONGEST = 80
_COUNT = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4}
_NEAR = {"today": 0, "tomorrow": 1, "tmrw": 1, "yesterday": -1}
_AHEAD = re.compile(r"(?:in |\+ ?)(\d{1,4}|[a-z]+) ?(d|days?|w|weeks?)?(?: from now)?", re.ASCII)
_AGO = re.compile(r"(\d{1,4}|[a-z]+) (days?|weeks?) ago", re.ASCII)
_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})", re.ASCII)
_TOGETHER = re.compile(r"(\d{4})(\d\d)(\d\d)", re.ASCII)
_NUMBERS = re.compile(r"(\d{1,2}) ?([-/.]) ?(\d{1,2})(?: ?\2 ?(\d{4}|\d\d))?\.?", re.ASCII)
_OF_MONTH = re.compile(r"(?:the )?(\d{1,2})(st|nd|rd|th)?", re.ASCII)
_DAY_THEN_MONTH = re.compile(
    r"(\d{1,2})(?: ?(?:st|nd|rd|th)\b)?[-. ]*([a-z]{3,9})\.?(?:[-. ]*'?(\d{4}|\d\d))?", re.ASCII
)
_MONTH_THEN_DAY = re.compile(
    r"([a-z]{3,9})[-. ]*(\d{1,2})(?: ?(?:st|nd|rd|th)\b)?\.?(?:[- ]+'?(\d{4}|\d\d))?", re.ASCII
)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What stands round the words of a day while it is read."""

    text: str
    today: dt.date
    day_first: bool | None
    past: bool
    field: str

    def refuse(self, message: str, hint: str) -> InvalidError:
        return InvalidError(message, hint=hint, field=self.field)

    def not_understood(self) -> InvalidError:
        number = "3/13" if self.day_first is False else "13/3"
        return self.refuse(
            f"{shortened(self.text)} is not understood as a day.",
            f"Write a day such as 13 Mar, {number} or 2027-03-13.",
        )

    def moved(self, days: int) -> dt.date:
        """`days` from today; refused outside the years that are kept."""
        ordinal = self.today.toordinal() + days
        if not dt.date(FIRST_YEAR, 1, 1).toordinal() <= ordinal <= dt.date(LAST_YEAR, 12, 31).toordinal():
            raise self.refuse(
                f"{shortened(self.text)} is out of reach.", f"Use a year from {FIRST_YEAR} to {LAST_YEAR}."
            )
        return dt.date.fromordinal(ordinal)


def shortened(text: str) -> str:
    """What was typed, quoted for a message."""
    plain = " ".join(text.split())
    return repr(plain if len(plain) <= 40 else f"{plain[:39]}…")


def find_day(text: str, *, today: dt.date, day_first: bool | None, past: bool, field: str) -> dt.date:
    """The date that `text` names; see words.read_day for the forms and refusals."""
    asked = _Asked(text, today, day_first, past, field)
    plain = re.sub(r" *, *", " ", typed_text(text)).strip()
    if not plain:
        raise asked.refuse("There is no day.", "Write a day such as 13 Mar.")
    if len(plain) > _LONGEST:
        raise asked.not_understood()
    found = _by_distance(plain, asked)
    if found is not None:
        return found
    which, weekday, rest = _weekday_apart(plain)
    if weekday is not None and not rest:
        return _weekday_alone(which, weekday, asked)
    if which:
        raise asked.not_understood()
    return _date(rest, weekday, asked)


def _by_distance(plain: str, asked: _Asked) -> dt.date | None:
    """today, tomorrow, +3, in 2 weeks, 3 days ago."""
    if plain in _NEAR:
        return asked.moved(_NEAR[plain])
    if ahead := _AHEAD.fullmatch(plain):
        count, unit, sign = ahead[1], ahead[2], 1
        if not unit and plain.startswith("in"):
            return None
    elif ago := _AGO.fullmatch(plain):
        count, unit, sign = ago[1], ago[2], -1
    else:
        return None
    number = int(count) if count.isdecimal() else _COUNT.get(count)
    if number is None:
        return None
    return asked.moved(sign * number * (7 if (unit or "d").startswith("w") else 1))


def _weekday_apart(plain: str) -> tuple[str, int | None, str]:
    """(this, next, last or "", the weekday, the other words)."""
    words = plain.removeprefix("on ").split()
    which = words.pop(0) if words[:1] and words[0] in ("this", "next", "last", "coming") else ""
    for place in (0, -1):
        if words and (weekday := weekday_named(words[place])) is not None:
            words.pop(place)
            return which, weekday, " ".join(words)
    return which, None, " ".join(words)


def _weekday_alone(which: str, weekday: int, asked: _Asked) -> dt.date:
    """thu and coming thu: the first after today; this thu: today counts; next thu: in the week after this one.

    A week runs from Monday (ISO 8601). last thu is the latest before today, as is thu where the past is meant.
    """
    ahead = (weekday - asked.today.weekday()) % 7
    if which == "next":
        return asked.moved(7 - asked.today.weekday() + weekday)
    if which == "this":
        return asked.moved(ahead)
    if which == "last" or (asked.past and not which):
        return asked.moved(ahead - 7)
    return asked.moved(ahead or 7)


def _date(rest: str, weekday: int | None, asked: _Asked) -> dt.date:
    if match := _YEAR_FIRST.fullmatch(rest):
        return _checked(_made(int(match[1]), int(match[3]), int(match[4]), asked), weekday, asked)
    if match := _TOGETHER.fullmatch(rest):
        return _checked(_made(int(match[1]), int(match[2]), int(match[3]), asked), weekday, asked)
    if match := _NUMBERS.fullmatch(rest):
        day, month = _day_and_month(int(match[1]), int(match[3]), match[2], asked)
        return _placed(day, month, match[4], weekday, asked)
    named = " ".join(word for word in rest.split() if word not in ("the", "of"))
    if (match := _DAY_THEN_MONTH.fullmatch(named)) and (found := month_named(match[2])):
        return _placed(int(match[1]), found, match[3], weekday, asked)
    if (match := _MONTH_THEN_DAY.fullmatch(named)) and (found := month_named(match[1])):
        return _placed(int(match[2]), found, match[3], weekday, asked)
    if (match := _OF_MONTH.fullmatch(rest)) and (match[2] or weekday is not None):
        return _checked(_day_of_month(int(match[1]), asked), weekday, asked)
    raise asked.not_understood()


def _day_and_month(first: int, second: int, sign: str, asked: _Asked) -> tuple[int, int]:
    """Which of two numbers is the month; refused where both could be and the studio has not said."""
    typed = f"{first}{sign}{second}"
    if asked.day_first is None:
        if first != second and 1 <= first <= 12 and 1 <= second <= 12:
            one, other = (f"{day} {MONTHS[month - 1][:3]}" for day, month in ((first, second), (second, first)))
            raise asked.refuse(f"{typed} may be {one} or {other}.", f"Write {one} or {other}.")
        return (first, second) if 1 <= second <= 12 else (second, first)
    day, month = (first, second) if asked.day_first else (second, first)
    if not 1 <= month <= 12 and 1 <= day <= 12 and 1 <= month <= monthrange(2000, day)[1]:
        order = "day first" if asked.day_first else "month first"
        raise asked.refuse(
            f"{typed} is read {order}, and there is no month {month}.",
            f"Write {month} {MONTHS[day - 1][:3]} if that is meant.",
        )
    return day, month


def _placed(day: int, month: int, year: str | None, weekday: int | None, asked: _Asked) -> dt.date:
    """A day and month in the year typed, else the next such day from today (or the latest, where the past is meant)."""
    if year is not None:
        found = _made(int(year) + (2000 if len(year) == 2 else 0), month, day, asked)
    else:
        now = (asked.today.month, asked.today.day)
        turn = -((month, day) > now) if asked.past else +((month, day) < now)
        found = _made(asked.today.year + turn, month, day, asked)
    return _checked(found, weekday, asked)


def _made(year: int, month: int, day: int, asked: _Asked) -> dt.date:
    """The date, or a refusal that names the nearest days that there are."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise asked.refuse(f"The year {year} is out of reach.", f"Use a year from {FIRST_YEAR} to {LAST_YEAR}.")
    if not 1 <= month <= 12:
        raise asked.refuse(f"There is no month {month}.", "Use a month from 1 to 12, or its name.")
    last = dt.date(year, month, monthrange(year, month)[1])
    if day < 1:
        raise asked.refuse(f"There is no day {day}.", f"Use {day_text(last.replace(day=1), year=True)}.")
    if day > last.day:
        raise asked.refuse(
            f"{MONTHS[month - 1]} {year} has {last.day} days, not {day}.",
            f"Use {day_text(last, year=True)} or {day_text(last + dt.timedelta(days=1), year=True)}.",
        )
    return last.replace(day=day)


def _checked(day: dt.date, weekday: int | None, asked: _Asked) -> dt.date:
    """Refuses a date whose weekday is another than the one typed, and names both days."""
    if weekday is None or weekday == day.weekday():
        return day
    off = (weekday - day.weekday() + 3) % 7 - 3
    near = day + dt.timedelta(days=off)
    date = f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"
    raise asked.refuse(
        f"{date} is a {WEEKDAYS[day.weekday()]}, not a {WEEKDAYS[weekday]}.",
        f"Write {day_text(day, year=True)} or {day_text(near, year=True)}.",
    )


def _day_of_month(number: int, asked: _Asked) -> dt.date:
    """The next (or, where the past is meant, the latest) day of that number, today counted."""
    if not 1 <= number <= 31:
        raise asked.refuse(f"There is no day {number}.", "Use a day from 1 to 31.")
    turn = -1 if asked.past else 1
    # No two months next to each other are both short of a 31st, but today may stand past the first one's.
    for days in range(0, 93 * turn, turn):
        day = asked.moved(days)
        if day.day == number:
            return day
    raise asked.not_understood()

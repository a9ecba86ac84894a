"""Dates out of a column: one order of day and month for the whole column, decided by proof, else asked."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from scheduling.clock import zone_named
from scheduling.exchange.date_words import MONTHS, WEEKDAYS
from scheduling.exchange.day_ranges import first_day, first_hour
from scheduling.exchange.rows import DAY_FIRST, MONTH_FIRST, Choice, NoValue, Question, Value
from scheduling.exchange.text import clean, fold, says_nothing

_LONGEST = 120
"""Characters of a cell that are searched."""
FIRST_YEAR, LAST_YEAR = 1900, 2200
_SERIAL_DAY_ZERO = dt.datetime(1899, 12, 30)  # noqa: DTZ001  wall time; ECMA-376 Part 1, 18.17.4.1
_FIRST_SERIAL, _LAST_SERIAL = 20_000, 80_000

_SERIAL = re.compile(r"\d{5}(?:[.,]\d+)?")
_COMPACT = re.compile(r"\b((?:19|20)\d\d)(\d\d)(\d\d)(?:T?(\d\d)(\d\d)(?:\d\d)?)?\b")
_YEAR_FIRST = re.compile(r"(?<!\d)(\d{4})\s*[-/.年]\s*(\d{1,2})\s*[-/.月]\s*(\d{1,2})(?!\d)")
_NUMERIC = re.compile(
    r"(?<![\d.])(\d{1,2})\s*([./-])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})(?!\d)|(?<!\d)(\d{1,2})\s(\d{1,2})\s(\d{4})(?!\d)"
)
_TIME = re.compile(
    r"(?<![\d.:])(\d{1,2})\s*[:.hH]\s*(\d{2})(?::\d\d(?:[.,]\d+)?)?(?!\d)\s*([ap])?\.?m?\b|"
    r"(?<![\d.:])(\d{1,2})\s*([ap])\.?\s?m\b|(?<![\d.:])(\d{1,2})\s*(?:h|uhr|o'?clock|時|时|点)",
    re.IGNORECASE,
)
_OFFSET = re.compile(r"\d\s*(Z|[+-]\d\d:?\d\d)$")
_YEAR = re.compile(r"^.{0,16}?(?<!\d)(\d{4})(?![\d:])")
_SHORT_YEAR = re.compile(
    r"^(?:[\s.,]{0,3}|[-/])['’]?(\d{2})(?![\d:])(?!\s*(?:[-–]\s*\d|h\b|h\d|uhr|[ap]\.?m))", re.IGNORECASE
)
"""Two figures close behind a day and month are a year, unless they begin an hour or a range."""
_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class When:
    """A day, and a time of day where the cell gives one; both wall time as written."""

    day: dt.date
    time: dt.time | None = None
    odd: str = ""


@dataclass(frozen=True, slots=True)
class _Open:
    """Two figures of which either may be the month."""

    first: int
    second: int
    year: int
    time: dt.time | None
    weekday: int | None
    odd: str = ""

    def day(self, order: str) -> dt.date | None:
        day, month = (self.first, self.second) if order == DAY_FIRST else (self.second, self.first)
        return _date(self.year, month, day)


@dataclass(frozen=True, slots=True)
class DateColumn:
    """One value for each cell (None: empty, unreadable or asked), what is odd by index, the order, the question.

    against: proof went against the order given.
    is_mixed: a workbook's column whose text holds only days over 12 and whose real dates hold none: then a
        spreadsheet may have taken day for month in the real ones.
    """

    whens: list[When | None]
    odd: dict[int, str]
    order: str
    question: Question | None
    against: bool = False
    is_mixed: bool = False


def read_dates(
    values: Sequence[Value],
    header: str,
    *,
    today: dt.date,
    given_order: str = "",
    zone: str = "",
    is_past: bool = False,
    serial_shift: int = 0,
) -> DateColumn:
    """Read a column of dates.

    given_order: settled before or by her; used only where nothing in the column proves an order.
    zone: IANA name in which stamps with an offset are told; without it they keep the time as written, flagged.
    serial_shift: days added to stored serials (workbooks of the 1904 system).
    is_past: two-figure years lie before today (birthdays).
    Proof: a figure over 12; a weekday that fits one reading; the header's own pattern ("dd/mm/yyyy").
    Text that starts with the year is never swapped.
    """
    if serial_shift:
        values = [
            value + serial_shift if isinstance(value, int | Decimal) and value > _FIRST_SERIAL - serial_shift else value
            for value in values
        ]
    parsed = [_parse(value, today, zone, is_past) for value in values]
    opens = [found for found in parsed if isinstance(found, _Open)]
    order, is_open, against = _decide(opens, header, given_order)
    whens: list[When | None] = []
    odd: dict[int, str] = {}
    for at, found in enumerate(parsed):
        if isinstance(found, _Open):
            day = found.day(order) if order else _same_day(found)
            whens.append(When(day, found.time, found.odd) if day else None)
            if day and found.odd:
                odd[at] = found.odd
            if day is None and not (is_open and (found.day(DAY_FIRST) or found.day(MONTH_FIRST))):
                odd[at] = f"“{_shown(values[at])}” is not a date in this column's order"
        else:
            whens.append(found)
            if found is None and not _is_blank(values[at]):
                odd[at] = f"“{_shown(values[at])}” is not a date with day, month and year"
            elif found and found.odd:
                odd[at] = found.odd
    question = _ask(header, opens) if is_open else None
    return DateColumn(whens, odd, order, question, against, _is_mixed(values, opens))


def _is_mixed(values: Sequence[Value], opens: Sequence[_Open]) -> bool:
    stored = [value.day for value in values if isinstance(value, dt.date)]
    return bool(stored and opens) and max(stored) <= 12 and all(max(o.first, o.second) > 12 for o in opens)


def read_time(value: Value) -> dt.time | None:
    """A time of day out of a cell ("18:30", "6.30 pm", "18h30", 0.75 of a day), or None."""
    if isinstance(value, dt.datetime):
        return value.time().replace(microsecond=0)
    if isinstance(value, dt.time):
        return value.replace(microsecond=0, tzinfo=None)
    if isinstance(value, Decimal) and 0 <= value < 1:
        return (_SERIAL_DAY_ZERO + dt.timedelta(minutes=round(value * 1440))).time()
    if isinstance(value, str) and value:
        text = unicodedata.normalize("NFKC", clean(value[:_LONGEST]))
        time = _time_in(text)[0]
        if time is None and re.fullmatch(r"0[.,]\d+", text):
            return read_time(Decimal(text.replace(",", ".")))
        return time
    return None


def _decide(opens: Sequence[_Open], header: str, given: str) -> tuple[str, bool, bool]:
    """(order or "", whether it must be asked, whether proof went against what was given)."""
    readable = [o for o in opens if o.day(DAY_FIRST) or o.day(MONTH_FIRST)]
    if not readable:
        return given, False, False
    fits = {order: all(_fits(o, order) for o in readable) for order in (DAY_FIRST, MONTH_FIRST)}
    proven = ""
    if fits[DAY_FIRST] != fits[MONTH_FIRST]:
        proven = DAY_FIRST if fits[DAY_FIRST] else MONTH_FIRST
    elif fits[DAY_FIRST]:
        proven = _order_of_header(header)
    if proven:
        return proven, False, bool(given) and given != proven
    if given:
        return given, False, False
    return "", any(_same_day(o) is None for o in readable), False


def _fits(found: _Open, order: str) -> bool:
    day = found.day(order)
    return day is not None and (found.weekday is None or day.weekday() == found.weekday or not _weekday_tells(found))


def _weekday_tells(found: _Open) -> bool:
    """A weekday proves an order only if it fits one of the readings; a wrong one proves nothing."""
    days = (found.day(DAY_FIRST), found.day(MONTH_FIRST))
    return any(day is not None and day.weekday() == found.weekday for day in days)


def _same_day(found: _Open) -> dt.date | None:
    first, second = found.day(DAY_FIRST), found.day(MONTH_FIRST)
    return first if first == second else None


def _order_of_header(header: str) -> str:
    """The order that a header such as "Datum (TT.MM.JJJJ)" or "Date mm/dd/yyyy" spells out."""
    found = re.search(r"\b([dtjgp]{2}|mm|kk)\W(mm|kk|[dtjgp]{2})\W[yjaågr]{2,4}", header.casefold())
    if not found or found.group(1) == found.group(2):
        return ""
    return MONTH_FIRST if found.group(1) in ("mm", "kk") else DAY_FIRST


def _ask(header: str, opens: Sequence[_Open]) -> Question:
    example = next(o for o in opens if (o.day(DAY_FIRST) or o.day(MONTH_FIRST)) and _same_day(o) is None)
    choices = tuple(
        Choice(order, spelled(day)) for order in (DAY_FIRST, MONTH_FIRST) if (day := example.day(order)) is not None
    )
    if len(choices) == 2:
        text = f"date order of “{header}”: {choices[0].label} or {choices[1].label}?"
    else:
        text = f"date order of “{header}”: its rows contradict each other; which comes first, the day or the month?"
        choices = (Choice(DAY_FIRST, "the day first"), Choice(MONTH_FIRST, "the month first"))
    return Question("date order", header, text, choices)


_MONTH_NAMES = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
                "November", "December")  # fmt: skip


def spelled(day: dt.date) -> str:
    """3 April 2026."""
    return f"{day.day} {_MONTH_NAMES[day.month - 1]} {day.year}"


def _parse(value: Value, today: dt.date, zone: str, is_past: bool) -> When | _Open | None:
    if isinstance(value, dt.datetime):
        whole = value.replace(microsecond=0, tzinfo=None)
        return _checked(When(whole.date(), whole.time() if whole.time() != dt.time() else None))
    if isinstance(value, dt.date):
        return _checked(When(value))
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        return _serial(Decimal(value))
    if not isinstance(value, str) or not value:
        return None
    return _parse_text(value, today, zone, is_past)


@lru_cache(maxsize=4096)
def _parse_text(raw: str, today: dt.date, zone: str, is_past: bool) -> When | _Open | None:
    text = unicodedata.normalize("NFKC", clean(raw[:_LONGEST]))
    if _SERIAL.fullmatch(text):
        return _serial(Decimal(text.replace(",", ".")))
    for read in (_year_first, _compact):
        found = read(text, zone)
        if found is not None:
            return found
    text, is_first = first_day(text)
    one = _one_day(text, today, is_past)
    return replace(one, odd=_SEVERAL) if one is not None and is_first else one


def _one_day(text: str, today: dt.date, is_past: bool) -> When | _Open | None:
    if numeric := _NUMERIC.search(text):
        return _numeric(text, numeric, today, is_past)
    return _named(text, today, is_past)


_SEVERAL = "the cell holds more than one day; the first is read"


def _checked(when: When) -> When | None:
    return when if FIRST_YEAR <= when.day.year <= LAST_YEAR else None


def _serial(number: Decimal) -> When | None:
    if not _FIRST_SERIAL <= number <= _LAST_SERIAL:
        return None
    moment = _SERIAL_DAY_ZERO + dt.timedelta(seconds=round(number * 86_400))
    moment = (moment + dt.timedelta(seconds=30)).replace(second=0)
    return When(moment.date(), moment.time() if number != number.to_integral_value() else None)


def _date(year: int, month: int, day: int) -> dt.date | None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return None
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def _year_first(text: str, zone: str) -> When | None:
    found = _YEAR_FIRST.search(text)
    if not found:
        return None
    day = _date(int(found.group(1)), int(found.group(2)), int(found.group(3)))
    if day is None:
        return None
    rest = text[found.end() :].lstrip("日Tt ,")
    time, _ = _time_in(rest)
    offset = _OFFSET.search(rest)
    when = When(day, time, _second_day(rest))
    if time and offset:
        return _in_zone(when, offset.group(1), zone)
    return when


def _in_zone(when: When, offset: str, zone: str) -> When:
    """A stamp with an offset told in `zone`."""
    time = when.time or dt.time()
    if not zone:
        return replace(when, odd=f"the time {time:%H:%M} stands in another zone ({offset})")
    sign = "+00:00" if offset.upper() == "Z" else f"{offset[:3]}:{offset[-2:]}"
    try:
        moment = dt.datetime.fromisoformat(f"{when.day.isoformat()}T{time:%H:%M:%S}{sign}").astimezone(zone_named(zone))
    except ValueError:
        return replace(when, odd=f"the offset {offset} is not possible")
    return replace(when, day=moment.date(), time=moment.time())


def _compact(text: str, _zone: str) -> When | None:
    found = _COMPACT.search(text)
    if not found:
        return None
    day = _date(*(int(part) for part in found.groups()[:3]))
    time = _time(int(found.group(4)), int(found.group(5)), "") if found.group(4) else None
    return When(day, time) if day else None


def _numeric(text: str, found: re.Match[str], today: dt.date, is_past: bool) -> When | _Open | None:
    first, second, year = (found.group(1), found.group(3), found.group(4)) if found.group(1) else found.groups()[4:7]
    rest = f"{text[: found.start()]} {text[found.end() :]}"
    time, _ = _time_in(rest)
    odd = _second_day(text[found.end() :])
    found_open = _Open(int(first), int(second), _full_year(year, today, is_past), time, _weekday_in(rest), odd)
    if found_open.day(DAY_FIRST) is None and found_open.day(MONTH_FIRST) is None:
        return None
    return found_open


def _named(text: str, today: dt.date, is_past: bool) -> When | None:
    """ "9 May 2026", "May 9, 2026", "Sa., 9. Mai 2026, 10 Uhr", "9 de mayo de 2026"; a year must stand there."""
    words = [(MONTHS.get(fold(match.group())), match) for match in _WORD.finditer(text)]
    months = [(month, match) for month, match in words if month]
    if not months:
        return None
    clear = [(m, match) for m, match in months if fold(match.group()) not in WEEKDAYS] or months  # "mar" is Tuesday too
    month, match = clear[0]
    before, after = text[: match.start()], text[match.end() :]
    day_before = re.search(
        r"(?<!\d)(\d{1,2})(?:st|nd|rd|th|er|º|ª|:?e|\.)?[\s.,/-]*(?:of|de|d'|di|av)?\s*$", before, re.IGNORECASE
    )
    if day_before:
        day_text, year_text = day_before.group(1), after
    else:
        day_after = re.match(r"[\s.,/-]*(\d{1,2})(?:st|nd|rd|th|\.)?(?![\d:])", after)
        if not day_after:
            return None
        day_text, year_text = day_after.group(1), after[day_after.end() :]
    year = _YEAR.search(year_text) or re.search(r"^\s*(\d{4})\b", before) or _SHORT_YEAR.search(year_text)
    if not year:
        return None
    day = _date(_full_year(year.group(1), today, is_past), month, int(day_text))
    rest = year_text[year.end() :] if year.string is year_text else year_text
    return When(day, _time_in(rest)[0] or _time_in(before[: day_before.start()] if day_before else before)[0],
                _second_day(rest)) if day else None  # fmt: skip


def _second_day(rest: str) -> str:
    if _YEAR_FIRST.search(rest) or _NUMERIC.search(rest):
        return _SEVERAL
    return ""


def _full_year(text: str, today: dt.date, is_past: bool) -> int:
    year = int(text)
    if len(text) == 4:
        return year
    century = today.year // 100 * 100
    full = century + year
    if is_past:
        return full if full <= today.year else full - 100
    return full if full <= today.year + 50 else full - 100


def _weekday_in(text: str) -> int | None:
    return next((WEEKDAYS[word] for found in _WORD.findall(text) if (word := fold(found)) in WEEKDAYS), None)


def _time_in(text: str) -> tuple[dt.time | None, str]:
    """The first time of day in `text`, and what is left of it."""
    text = first_hour(text)
    found = _TIME.search(text)
    if not found:
        return None, text
    hour, minute, half, hour_only, half_only, clock_hour = found.groups()
    time = _time(int(hour or hour_only or clock_hour), int(minute or 0), (half or half_only or "").lower())
    return time, text[: found.start()] + text[found.end() :]


def _time(hour: int, minute: int, half: str) -> dt.time | None:
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour == 24 and minute == 0:
        return None
    return dt.time(hour, minute) if hour < 24 and minute < 60 else None


def _shown(value: Value) -> str:
    return str(value)[:30]


def _is_blank(value: Value) -> bool:
    return isinstance(value, NoValue) or (isinstance(value, str) and says_nothing(value.strip()))

"""Repeat rules (RFC 5545 3.3.10) worked out in local wall time, with a bound on the work.

A rule that matches nothing (the 30th of every February) or matches each second must cost little: days are looked at
only up to the end of the window, and every step is paid from a budget. General expanders search on to the year 9999.
"""

from __future__ import annotations

import calendar
import datetime as dt
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from scheduling.errors import InvalidError

_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_LONGEST = 2000
_DAY = dt.timedelta(days=1)
_UNITS = {"HOURLY": dt.timedelta(hours=1), "MINUTELY": dt.timedelta(minutes=1), "SECONDLY": dt.timedelta(seconds=1)}
_FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", *_UNITS)
_RANGES = {
    "BYSECOND": (0, 60), "BYMINUTE": (0, 59), "BYHOUR": (0, 23), "BYMONTH": (1, 12), "BYSETPOS": (-366, 366),
    "BYMONTHDAY": (-31, 31), "BYYEARDAY": (-366, 366), "BYWEEKNO": (-53, 53),
}  # fmt: skip
_BYDAY = re.compile(r"([+-]?[0-9]{1,2})?(MO|TU|WE|TH|FR|SA|SU)")


class Work:
    """A budget of steps for one file; a step is a day looked at or a start given."""

    def __init__(self, steps: int) -> None:
        self._left = steps

    def spend(self, steps: int = 1) -> bool:
        """Take `steps`; False once there is nothing left."""
        self._left -= steps
        return self._left >= 0

    @property
    def is_spent(self) -> bool:
        return self._left < 0


@dataclass(frozen=True, slots=True)
class RepeatRule:
    """One RRULE. Lists are empty where the rule does not say; weekdays count from Monday = 0.

    until: the text of UNTIL, still to be read by the kind and zone of the start.
    weekdays: (nth, weekday) pairs, nth 0 for every one.
    """

    frequency: str
    interval: int = 1
    count: int | None = None
    until: str = ""
    week_start: int = 0
    weekdays: frozenset[tuple[int, int]] = frozenset()
    by: Mapping[str, frozenset[int]] = field(default_factory=dict)


_AS_USUAL = frozenset({"RSCALE=GREGORIAN", "SKIP=OMIT"})


def rule_in(text: str) -> RepeatRule:
    """The rule that an RRULE value says; empty parts, parts of another program (X-...) and letter case do not matter.

    RSCALE and SKIP (RFC 7529) are taken where they say what holds without them.
    Raises InvalidError for a rule with an unknown or impossible part: a rule that is guessed at gives wrong days.
    """
    parts: dict[str, str] = {}
    if len(text) > _LONGEST:
        raise InvalidError("The repeat rule is too long.")
    for piece in filter(None, (piece.strip().upper() for piece in text.split(";"))):
        key, mark, worth = piece.partition("=")
        if key.startswith("X-") or piece in _AS_USUAL:
            continue
        if not mark or key in parts:
            raise InvalidError(f"The repeat rule has the part {piece[:30]!r}.")
        parts[key] = worth
    frequency = parts.pop("FREQ", "")
    if frequency not in _FREQUENCIES:
        raise InvalidError(f"The repeat rule has no frequency that is known ({frequency[:30]!r}).")
    week_start = parts.pop("WKST", "MO")
    if week_start not in _WEEKDAYS:
        raise InvalidError(f"The repeat rule has the week start {week_start[:30]!r}.")
    weekdays = frozenset(_weekday(day) for day in filter(None, parts.pop("BYDAY", "").split(",")))
    count = parts.pop("COUNT", "")
    until = parts.pop("UNTIL", "")
    interval = parts.pop("INTERVAL", "1")
    by = {key: _numbers(key, worth) for key, worth in parts.items()}
    if "BYSETPOS" in by and len(by) == 1 and not weekdays:
        del by["BYSETPOS"]  # alone it picks from a set of one
    return RepeatRule(
        frequency,
        _positive("INTERVAL", interval),
        _positive("COUNT", count) if count else None,
        until,
        _WEEKDAYS.index(week_start),
        weekdays,
        {key: worth for key, worth in by.items() if worth},
    )


def starts_of(
    rule: RepeatRule,
    start: dt.datetime,
    *,
    earliest: dt.datetime,
    latest: dt.datetime,
    work: Work,
) -> Iterator[dt.datetime]:
    """The starts that `rule` gives from `start` on, in order, each once; those before `earliest` may be left out.

    All times are naive wall times of one zone; `latest` is the last one wanted, UNTIL included by the caller.
    Ends early when `work` is spent. The start itself is given only where the rule matches it.
    """
    left = rule.count
    earliest = max(earliest, start) if rule.count is None else start
    for times in _periods(rule, start, earliest, latest, work):
        for time in _picked(times, rule.by.get("BYSETPOS")):
            if time < start:
                continue
            if time > latest or not work.spend():
                return
            yield time
            if left is not None:
                left -= 1
                if not left:
                    return


def _periods(
    rule: RepeatRule, start: dt.datetime, earliest: dt.datetime, latest: dt.datetime, work: Work
) -> Iterator[list[dt.datetime]]:
    """For each period of the rule (year, month, week, day, hour...) the times in it, in order."""
    if rule.frequency in _UNITS:
        yield from _short_periods(rule, start, earliest, latest, work)
        return
    fits = _day_filter(rule, start.date())
    clock = [
        dt.time(hour, minute, min(second, 59))
        for hour in sorted(rule.by.get("BYHOUR", {start.hour}))
        for minute in sorted(rule.by.get("BYMINUTE", {start.minute}))
        for second in sorted(rule.by.get("BYSECOND", {start.second}))
    ]
    for first, days in _day_spans(rule, start.date(), earliest.date()):
        if first > latest.date() or not work.spend(days):
            return
        span = (first + dt.timedelta(days=n) for n in range(days))
        fitting = [day for day in span if fits(day)]
        if fitting and not work.spend(len(fitting) * len(clock)):
            return
        yield [dt.datetime.combine(day, time) for day in fitting for time in clock]


def _day_spans(rule: RepeatRule, start: dt.date, earliest: dt.date) -> Iterator[tuple[dt.date, int]]:
    """First day and length of each year, month, week or day that the rule looks at; early ones may be skipped."""
    if rule.frequency in {"YEARLY", "MONTHLY"}:
        months = rule.by.get("BYMONTH", frozenset(range(1, 13)))
        step = rule.interval * (12 if rule.frequency == "YEARLY" else 1)
        at = start.year * 12 + (start.month - 1 if step % 12 or rule.frequency == "MONTHLY" else 0)
        at += max((earliest.year * 12 + earliest.month - 1 - at) // step - 1, 0) * step
        while at < dt.MAXYEAR * 12:
            year, month = divmod(at, 12)
            if rule.frequency == "MONTHLY":
                if month + 1 in months:
                    yield dt.date(year, month + 1, 1), calendar.monthrange(year, month + 1)[1]
                else:
                    yield dt.date(year, month + 1, 1), 0
            elif "BYSETPOS" in rule.by or len(months) > 6 or "BYWEEKNO" in rule.by:
                yield dt.date(year, 1, 1), 366 if calendar.isleap(year) else 365
            else:
                for wanted in sorted(months):
                    yield dt.date(year, wanted, 1), calendar.monthrange(year, wanted)[1]
            at += step
        return
    length = 7 if rule.frequency == "WEEKLY" else 1
    day = start - dt.timedelta(days=(start.weekday() - rule.week_start) % 7) if length > 1 else start
    step = length * rule.interval
    ordinal = day.toordinal() + max((earliest - day).days // step, 0) * step
    while ordinal + length < dt.date.max.toordinal():
        yield dt.date.fromordinal(ordinal), length
        ordinal += step


def _short_periods(
    rule: RepeatRule, start: dt.datetime, earliest: dt.datetime, latest: dt.datetime, work: Work
) -> Iterator[list[dt.datetime]]:
    """Periods of an hour or less; days, hours and minutes that do not fit are jumped over."""
    unit = _UNITS[rule.frequency]
    step = unit * rule.interval
    fits = _day_filter(rule, start.date())
    hours, minutes, seconds = (rule.by.get(key) for key in ("BYHOUR", "BYMINUTE", "BYSECOND"))
    is_hourly, is_secondly = rule.frequency == "HOURLY", rule.frequency == "SECONDLY"
    here = start.replace(minute=0, second=0) if is_hourly else start if is_secondly else start.replace(second=0)
    if earliest > here:
        here += (earliest - here) // step * step
    fitting: tuple[dt.date, bool] | None = None
    while here <= latest and work.spend():
        if fitting is None or fitting[0] != here.date():
            fitting = (here.date(), fits(here.date()))
        past = here
        if not fitting[1]:
            past = dt.datetime.combine(here.date() + _DAY, dt.time())
        elif hours and here.hour not in hours:
            past = here.replace(minute=0, second=0) + dt.timedelta(hours=1)
        elif minutes and not is_hourly and here.minute not in minutes:
            past = here.replace(second=0) + dt.timedelta(minutes=1)
        elif not (is_secondly and seconds and here.second not in seconds):
            yield [
                here.replace(minute=minute, second=min(second, 59))
                for minute in (sorted(minutes or {start.minute}) if is_hourly else [here.minute])
                for second in ([here.second] if is_secondly else sorted(seconds or {start.second}))
            ]
        here += max(-((here - past) // step), 1) * step


def _day_filter(rule: RepeatRule, start: dt.date) -> Callable[[dt.date], bool]:
    """Whether a day is one of the rule's; what the rule does not say is taken from the start (RFC 5545 3.3.10)."""
    months, month_days, year_days, weeks, weekdays = _day_parts(rule, start)
    counts_nth = rule.frequency in {"YEARLY", "MONTHLY"} and not weeks
    in_month = rule.frequency == "MONTHLY" or bool(rule.by.get("BYMONTH"))
    every = frozenset(weekday for nth, weekday in weekdays if not (nth and counts_nth))
    nth_days = frozenset((nth, weekday) for nth, weekday in weekdays if nth and counts_nth)

    def fits(day: dt.date) -> bool:
        if months and day.month not in months:
            return False
        if weekdays and day.weekday() not in every and not (nth_days and _is_nth(day, nth_days, in_month=in_month)):
            return False
        if month_days and day.day not in month_days and day.day - _month_length(day) - 1 not in month_days:
            return False
        if year_days and _year_day(day) not in year_days and _year_day(day) - _year_length(day) - 1 not in year_days:
            return False
        return not weeks or _in_weeks(day, weeks, rule.week_start)

    return fits


def _day_parts(
    rule: RepeatRule, start: dt.date
) -> tuple[frozenset[int], frozenset[int], frozenset[int], frozenset[int], frozenset[tuple[int, int]]]:
    """Months, days of the month, days of the year, weeks and weekdays, filled up from the start."""
    months, month_days, year_days, weeks = (
        rule.by.get(key, frozenset()) for key in ("BYMONTH", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO")
    )
    weekdays = rule.weekdays
    if not (month_days or year_days or weeks or weekdays):
        if rule.frequency == "YEARLY":
            months = months or frozenset({start.month})
        if rule.frequency in {"YEARLY", "MONTHLY"}:
            month_days = frozenset({start.day})
        elif rule.frequency == "WEEKLY":
            weekdays = frozenset({(0, start.weekday())})
    elif weeks and not (month_days or year_days or weekdays):
        weekdays = frozenset({(0, start.weekday())})
    return months, month_days, year_days, weeks, weekdays


def _month_length(day: dt.date) -> int:
    return calendar.monthrange(day.year, day.month)[1]


def _year_length(day: dt.date) -> int:
    return 366 if calendar.isleap(day.year) else 365


def _year_day(day: dt.date) -> int:
    return day.timetuple().tm_yday


def _is_nth(day: dt.date, wanted: frozenset[tuple[int, int]], *, in_month: bool) -> bool:
    number, length = (day.day, _month_length(day)) if in_month else (_year_day(day), _year_length(day))
    weekday = day.weekday()
    return ((number - 1) // 7 + 1, weekday) in wanted or (-((length - number) // 7 + 1), weekday) in wanted


def _in_weeks(day: dt.date, weeks: frozenset[int], week_start: int) -> bool:
    """Whether the week of `day` has one of these numbers; week 1 is the first with four days in the year."""
    monday = day - dt.timedelta(days=(day.weekday() - week_start) % 7)
    year = (monday + dt.timedelta(days=3)).year
    number = (monday - _first_week(year, week_start)).days // 7 + 1
    last = (_first_week(year + 1, week_start) - _first_week(year, week_start)).days // 7
    return number in weeks or number - last - 1 in weeks


def _first_week(year: int, week_start: int) -> dt.date:
    fourth = dt.date(year, 1, 4)
    return fourth - dt.timedelta(days=(fourth.weekday() - week_start) % 7)


def _picked(times: list[dt.datetime], positions: frozenset[int] | None) -> list[dt.datetime]:
    if positions is None or not times:
        return times
    count = len(times)
    indexes = {at - 1 if at > 0 else count + at for at in positions}
    return [times[index] for index in sorted(indexes) if 0 <= index < count]


def _weekday(text: str) -> tuple[int, int]:
    match = _BYDAY.fullmatch(text.strip())
    if match is None:
        raise InvalidError(f"The repeat rule has the weekday {text[:30]!r}.")
    return int(match[1] or 0), _WEEKDAYS.index(match[2])


def _numbers(key: str, worth: str) -> frozenset[int]:
    if key not in _RANGES:
        raise InvalidError(f"The repeat rule has the part {key[:30]}.")
    low, high = _RANGES[key]
    numbers = set()
    for text in filter(None, (text.strip() for text in worth.split(","))):
        if not re.fullmatch(r"[+-]?[0-9]{1,4}", text) or not low <= int(text) <= high or (low < 0 and int(text) == 0):
            raise InvalidError(f"The repeat rule has the part {key}={text[:30]}.")
        numbers.add(int(text))
    return frozenset(numbers)


def _positive(key: str, text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,9}", text) or int(text) < 1:
        raise InvalidError(f"The repeat rule has the part {key}={text[:30]}.")
    return int(text)

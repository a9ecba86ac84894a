"""Whether one value of a calendar line is what its type allows (RFC 5545 3.3)."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from functools import lru_cache

from scheduling.calendar.colors import COLOR_NAMES

Check = Callable[[str], str]
"""Takes a value as it stands in the file; gives a half sentence about what is wrong, or nothing."""

_STRAY = re.compile(r"(?:[^\\,;]|\\[\\;,nN])*")
_WORD = r"(?:[^\\,;]|\\[\\;,nN])+"
_WORDS = re.compile(rf"{_WORD}(?:,{_WORD})*")
_DATE = re.compile(r"[0-9]{8}")
_STAMP = re.compile(r"[0-9]{8}T[0-9]{6}Z?")
_DURATION = re.compile(
    r"[+-]?P(?:[0-9]+W|[0-9]+D(?:T(?:[0-9]+H)?(?:[0-9]+M)?(?:[0-9]+S)?)?|T(?:[0-9]+H)?(?:[0-9]+M)?(?:[0-9]+S)?)"
)
_OFFSET = re.compile(r"([+-])([0-9][0-9])([0-5][0-9])([0-5][0-9])?")
_URI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:[!#-;=?-\[\]_a-z~]+")
_GEO = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?);(-?[0-9]+(?:\.[0-9]+)?)")
_NUMBER = re.compile(r"-?[0-9]{1,10}")
_RULE_PART = re.compile(r"([A-Z-]+)=([A-Z0-9,+-]+)")
_WEEKDAY = re.compile(r"(?:[+-]?([0-9]{1,2}))?(?:MO|TU|WE|TH|FR|SA|SU)")
_FREQUENCIES = frozenset({"SECONDLY", "MINUTELY", "HOURLY", "DAILY", "WEEKLY", "MONTHLY", "YEARLY"})
_RULE_RANGES = {
    "INTERVAL": (1, 10**6), "COUNT": (1, 10**6), "BYSECOND": (0, 60), "BYMINUTE": (0, 59), "BYHOUR": (0, 23),
    "BYMONTHDAY": (-31, 31), "BYYEARDAY": (-366, 366), "BYWEEKNO": (-53, 53), "BYMONTH": (1, 12),
    "BYSETPOS": (-366, 366),
}  # fmt: skip


def text(value: str) -> str:
    if _STRAY.fullmatch(value):
        return ""
    return "has a comma, semicolon or backslash that is not escaped"


def filled_text(value: str) -> str:
    return text(value) if value.strip() else "is empty"


def texts(value: str) -> str:
    return "" if _WORDS.fullmatch(value) else "has an empty part, or a semicolon or backslash that is not escaped"


def whole_number(low: int, high: int) -> Check:
    def check(value: str) -> str:
        if _NUMBER.fullmatch(value) and low <= int(value) <= high:
            return ""
        return f"is not a whole number from {low} to {high}"

    return check


def one_of(*words: str) -> Check:
    def check(value: str) -> str:
        return "" if value in words else f"is {value[:40]!r}, not one of {', '.join(words)}"

    return check


def color(value: str) -> str:
    return "" if value in COLOR_NAMES else "is not a colour name of CSS"


def link(value: str) -> str:
    return "" if _URI.fullmatch(value) else "is not a URI"


def duration(value: str) -> str:
    if _DURATION.fullmatch(value) and not value.endswith(("P", "T")):
        return ""
    return "is not a duration"


def longer_than_nothing(value: str) -> str:
    return duration(value) or (
        "is not longer than nothing" if value.startswith("-") or not re.search("[1-9]", value) else ""
    )


def offset(value: str) -> str:
    match = _OFFSET.fullmatch(value)
    return "" if match and int(match[2]) < 24 and value not in {"-0000", "-000000"} else "is not an offset"


def place(value: str) -> str:
    match = _GEO.fullmatch(value)
    return "" if match and abs(float(match[1])) <= 90 and abs(float(match[2])) <= 180 else "is not a place on Earth"


@lru_cache(maxsize=4096)
def moment_in(value: str) -> dt.datetime | dt.date | None:
    """A DATE as a date, a DATE-TIME as a datetime (aware only with Z), anything else as None."""
    try:
        if _DATE.fullmatch(value):
            return dt.date(int(value[:4]), int(value[4:6]), int(value[6:]))
        if _STAMP.fullmatch(value):
            moment = dt.datetime.fromisoformat(value[:15])
            return moment.replace(tzinfo=dt.UTC) if value.endswith("Z") else moment
    except ValueError:
        pass
    return None


def utc_stamp(value: str) -> str:
    moment = moment_in(value)
    return "" if isinstance(moment, dt.datetime) and moment.tzinfo else "is not a time in UTC"


def local_stamp(value: str) -> str:
    moment = moment_in(value)
    return "" if isinstance(moment, dt.datetime) and not moment.tzinfo else "is not a local time"


def local_stamps(value: str) -> str:
    return next(filter(None, map(local_stamp, value.split(","))), "")


def rule(value: str) -> str:
    """A RECUR value (RFC 5545 3.3.10)."""
    parts: dict[str, str] = {}
    for part in value.split(";"):
        match = _RULE_PART.fullmatch(part)
        if match is None or match[1] in parts:
            return f"has the part {part[:30]!r}"
        parts[match[1]] = match[2]
    if parts.pop("FREQ", "") not in _FREQUENCIES:
        return "has no FREQ"
    if {"COUNT", "UNTIL"} <= parts.keys():
        return "has COUNT and UNTIL"
    for key, worth in parts.items():
        if not _rule_part_fits(key, worth):
            return f"has the part {key}={worth[:30]}"
    return ""


def _rule_part_fits(key: str, worth: str) -> bool:
    if key == "UNTIL":
        return moment_in(worth) is not None
    if key == "WKST":
        return bool(re.fullmatch("MO|TU|WE|TH|FR|SA|SU", worth))
    if key == "BYDAY":
        days = [_WEEKDAY.fullmatch(day) for day in worth.split(",")]
        return all(day and (day[1] is None or 1 <= int(day[1]) <= 53) for day in days)
    if key not in _RULE_RANGES:
        return False
    low, high = _RULE_RANGES[key]
    for number in worth.split(","):
        if (
            not re.fullmatch(r"[+-]?[0-9]{1,7}", number)
            or not low <= int(number) <= high
            or (low < 0 and int(number) == 0)
        ):
            return False
    return True

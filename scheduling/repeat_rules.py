"""What a recurrence rule may say: RFC 5545 3.3.10, for dates that repeat daily or more seldom."""

from __future__ import annotations

import datetime as dt
import re

from scheduling.errors import InvalidError

DAY_CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
_ORDER = (
    "FREQ",
    "INTERVAL",
    "COUNT",
    "UNTIL",
    "BYMONTH",
    "BYWEEKNO",
    "BYYEARDAY",
    "BYMONTHDAY",
    "BYDAY",
    "BYSETPOS",
    "WKST",
)
# Name -> (largest value, whether counting from the end is allowed).
_LISTS = {
    "BYMONTH": (12, False),
    "BYWEEKNO": (53, True),
    "BYYEARDAY": (366, True),
    "BYMONTHDAY": (31, True),
    "BYSETPOS": (366, True),
}
_LONGEST = 300
_MOST_INTERVAL = 366
_MOST_COUNT = 400
_LONGEST_MONTH = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def rule_parts(rule: str, *, field: str = "rule") -> dict[str, str]:
    """The parts of a rule in the order in which they are written, checked.

    rule: RFC 5545 text, with or without "RRULE:", any case.
    Raises InvalidError for a part that is not in the standard or contradicts another, for repeats within a day,
        and for a day that no month has.
    """
    body = "".join(rule.split()).upper().removeprefix("RRULE:")
    parts: dict[str, str] = {}
    for part in body[:_LONGEST].removesuffix(";").split(";"):
        name, sign, value = part.partition("=")
        if not sign or not value or name not in _ORDER or name in parts:
            raise _refusal(f"{part[:40]!r} is no part of a rule, or stands in it twice.", field)
        parts[name] = value
    if len(body) > _LONGEST:
        raise _refusal("The rule is too long.", field)
    if parts.get("FREQ") not in FREQUENCIES:
        raise _refusal("A recurring date is daily, weekly, monthly or yearly.", field)
    _check_values(parts, field)
    _check_together(parts, field)
    if "INTERVAL" in parts and int(parts["INTERVAL"]) == 1:
        del parts["INTERVAL"]
    return {name: _plainly(name, parts[name]) for name in _ORDER if name in parts}


def _plainly(name: str, value: str) -> str:
    """Numbers without plus signs and noughts before them, and nothing named twice."""
    if name == "UNTIL":
        return value
    return ",".join(dict.fromkeys(re.sub(r"\+?0*(?=[1-9])", "", item, count=1) for item in value.split(",")))


def rule_text(parts: dict[str, str]) -> str:
    """The parts as RFC 5545 text, in one order, so that equal rules are equal texts."""
    return ";".join(f"{name}={parts[name]}" for name in _ORDER if name in parts)


def days_of(parts: dict[str, str]) -> list[tuple[int, int]]:
    """BYDAY as (which one, weekday): (3, 3) the third Thursday, (-1, 4) the last Friday, (0, 5) every Saturday."""
    return [(int(day[:-2] or 0), DAY_CODES.index(day[-2:])) for day in parts.get("BYDAY", "").split(",") if day]


def _refusal(message: str, field: str) -> InvalidError:
    return InvalidError(message, hint="Say third thursday, every 2 weeks on tue, or monthly on the 15th.", field=field)


def _check_values(parts: dict[str, str], field: str) -> None:
    for name, most in (("INTERVAL", _MOST_INTERVAL), ("COUNT", _MOST_COUNT)):
        if name in parts and not (re.fullmatch(r"\d{1,4}", parts[name], re.ASCII) and 1 <= int(parts[name]) <= most):
            raise _refusal(f"{name} is a number from 1 to {most}.", field)
    for name, (most, from_end) in _LISTS.items():
        for value in parts[name].split(",") if name in parts else ():
            if (
                not re.fullmatch(r"[+-]?\d{1,3}" if from_end else r"\d{1,2}", value, re.ASCII)
                or not 1 <= abs(int(value)) <= most
            ):
                raise _refusal(f"{name} cannot be {value[:20]!r}.", field)
    for day in parts["BYDAY"].split(",") if "BYDAY" in parts else ():
        match = re.fullmatch(rf"([+-]?\d{{1,2}})?({'|'.join(DAY_CODES)})", day, re.ASCII)
        if not match or (match[1] and not 1 <= abs(int(match[1])) <= 53):
            raise _refusal(f"BYDAY cannot be {day[:20]!r}.", field)
    if "WKST" in parts and parts["WKST"] not in DAY_CODES:
        raise _refusal(f"WKST cannot be {parts['WKST'][:20]!r}.", field)
    if "UNTIL" in parts:
        _check_until(parts["UNTIL"], field)


def _check_until(until: str, field: str) -> None:
    form = "%Y%m%d" if len(until) == 8 else "%Y%m%dT%H%M%SZ" if until.endswith("Z") else "%Y%m%dT%H%M%S"
    try:
        if not re.fullmatch(r"\d{8}(T\d{6}Z?)?", until, re.ASCII):
            raise ValueError(until)
        dt.datetime.strptime(until, form)  # noqa: DTZ007  only the form is asked about, no moment is made
    except ValueError as error:
        raise _refusal(f"UNTIL cannot be {until[:20]!r}.", field) from error


def _check_together(parts: dict[str, str], field: str) -> None:
    often = parts["FREQ"]
    if "COUNT" in parts and "UNTIL" in parts:
        raise _refusal("A rule ends by a count or by a day, not by both.", field)
    if any(which for which, _ in days_of(parts)) and (often not in ("MONTHLY", "YEARLY") or "BYWEEKNO" in parts):
        raise _refusal("A first or last weekday is of a month or a year.", field)
    if often != "YEARLY" and ("BYWEEKNO" in parts or "BYYEARDAY" in parts):
        raise _refusal("Weeks and days of the year need a yearly rule.", field)
    if often == "WEEKLY" and "BYMONTHDAY" in parts:
        raise _refusal("Days of the month need a monthly rule.", field)
    if "BYSETPOS" in parts and not any(
        name in parts for name in _ORDER if name.startswith("BY") and name != "BYSETPOS"
    ):
        raise _refusal("BYSETPOS needs another part to choose from.", field)
    if often == "MONTHLY" and any(abs(which) > 5 for which, _ in days_of(parts)):
        raise _refusal("No month has a sixth of any weekday.", field)
    if "BYMONTHDAY" in parts:
        months = [int(month) for month in parts.get("BYMONTH", "1").split(",")]
        if min(abs(int(day)) for day in parts["BYMONTHDAY"].split(",")) > max(
            _LONGEST_MONTH[month - 1] for month in months
        ):
            raise _refusal("No such month has that day.", field)

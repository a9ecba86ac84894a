"""Recurring dates as she says them, and as rules of RFC 5545."""

from __future__ import annotations

import re

from scheduling.day_names import MONTHS, WEEKDAYS, month_named, weekday_named
from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.repeat_rules import DAY_CODES, days_of, rule_parts, rule_text
from scheduling.typed_days import shortened
from scheduling.words import LONGEST, Understood

_WHICH = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "last": -1}
_WHICH |= {"1st": 1, "2nd": 2, "3rd": 3, "4th": 4, "5th": 5}
_SAID = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth", -1: "last"}
_UNITS = {"day": "DAILY", "week": "WEEKLY", "month": "MONTHLY", "year": "YEARLY"}
_ONE_WORD = {"daily": "day", "weekly": "week", "monthly": "month", "yearly": "year", "annually": "year"}
_ALONE = {"DAILY": "day", "WEEKLY": "week", "MONTHLY": "month", "YEARLY": "year"}
_EVERY = re.compile(r"every (?:(\d{1,3}|other|second) )?(day|week|month|year)s?\b ?(?:on )?(.*)", re.ASCII)
_TIMES = re.compile(r"(.+?)[, ]+(?:for )?(\d{1,3}) times?", re.ASCII)
_FILLERS = ("the", "of", "on", "each", "every", "month", "and", "a")
_PLAIN_PARTS = {"FREQ", "INTERVAL", "COUNT", "BYDAY", "BYMONTHDAY", "BYMONTH"}


def read_repeat(text: str, *, field: str = "rule") -> Understood[str]:
    """A recurring date as said, as an RFC 5545 rule: third thursday gives FREQ=MONTHLY;BYDAY=3TH.

    Also: every saturday, tue and thu, every 2 weeks on tue, fortnightly on sat, monthly on the 15th, the 1st and
    3rd sat, last friday of the month, last day of the month, every 2 months on the third thursday, every 3 days,
    yearly on 3 apr; each with "8 times" after it; and rule text itself (FREQ=...), which is checked.
    A rule without a day (every 2 weeks) takes the day of the first date.
    Raises InvalidError for what is not understood or may mean two things.
    """
    if "=" in text:
        rule = rule_text(rule_parts(text, field=field))
        return Understood(rule, show_repeat(rule))
    plain = typed_text(text) if len(text) <= LONGEST else ""
    times = _TIMES.fullmatch(plain)
    said = (times[1] if times else plain).replace(",", " and ")
    said = " ".join(word.rstrip(".") for word in said.split())
    _refuse_two_meanings(said, field)
    parts = _rule_said(said)
    if parts is None:
        raise InvalidError(
            f"{shortened(text)} is not understood as a recurring date.",
            hint="Say third thursday, every 2 weeks on tue, or monthly on the 15th.",
            field=field,
        )
    if times:
        parts["COUNT"] = str(int(times[2]))
    rule = rule_text(rule_parts(rule_text(parts), field=field))
    return Understood(rule, show_repeat(rule))


def show_repeat(rule: str) -> str:
    """A rule in words that read_repeat takes back: "third Thursday of the month", "every 2 weeks on Tue".

    A rule that has no plain words comes back as its own text.
    """
    parts = rule_parts(rule)
    said = _said(parts) if set(parts) <= _PLAIN_PARTS else None
    if said is None:
        return rule_text(parts)
    if "COUNT" in parts:
        return f"{said}, {parts['COUNT']} {'time' if parts['COUNT'] == '1' else 'times'}"
    return said


def _refuse_two_meanings(plain: str, field: str) -> None:
    """Every third Thursday is one a month to some and one in three weeks to others."""
    match = re.fullmatch(r"every (\S+) (\S+)", plain)
    which, weekday = (_WHICH.get(match[1]), weekday_named(match[2])) if match else (None, None)
    if which is not None and which > 1 and weekday is not None:
        day = WEEKDAYS[weekday]
        raise InvalidError(
            f"Every {_SAID[which]} {day} may be one a month or one in {which} weeks.",
            hint=f"Say {_SAID[which]} {day} of the month, or every {which} weeks on {day[:3]}.",
            field=field,
        )


def _rule_said(plain: str) -> dict[str, str] | None:
    """The parts of the rule that the words say, or None."""
    first, _, rest = plain.partition(" ")
    if first in _ONE_WORD:
        plain = f"every {_ONE_WORD[first]} {rest}".strip()
    elif first == "fortnightly":
        plain = f"every 2 week {rest}".strip()
    match = _EVERY.fullmatch(plain)
    if match:
        step = 2 if match[1] in ("other", "second") else int(match[1] or 1)
        return _with_step(_of_unit(_UNITS[match[2]], match[3]), step)
    if step_back := re.fullmatch(r"(.+?) (?:of |in )?every (?:(\d{1,3}|other) )?months?", plain, re.ASCII):
        return _with_step(_of_month(step_back[1]), 2 if step_back[2] == "other" else int(step_back[2] or 1))
    if other := re.fullmatch(r"every other (.+)", plain):
        return _with_step(_of_unit("WEEKLY", other[1]) if _weekdays(other[1]) else None, 2)
    if days := _weekdays(plain.removeprefix("every ")):
        return {"FREQ": "WEEKLY", "BYDAY": ",".join(days)}
    return _of_month(plain)


def _with_step(parts: dict[str, str] | None, step: int) -> dict[str, str] | None:
    if parts is not None and step != 1:
        parts["INTERVAL"] = str(step)
    return parts


def _of_unit(often: str, rest: str) -> dict[str, str] | None:
    if not rest:
        return {"FREQ": often}
    if often == "WEEKLY" and (days := _weekdays(rest)):
        return {"FREQ": often, "BYDAY": ",".join(days)}
    if often == "MONTHLY":
        return _of_month(rest)
    if often == "YEARLY" and (
        match := re.fullmatch(r"(?:the )?(\d{1,2})(?:st|nd|rd|th)? (?:of )?([a-z]+)", rest, re.ASCII)
    ):
        month = month_named(match[2])
        return {"FREQ": often, "BYMONTH": str(month), "BYMONTHDAY": str(int(match[1]))} if month else None
    return None


def _weekdays(words: str) -> list[str]:
    """Codes of weekdays said one after another, in the order of the week; none if any word is another."""
    said = [weekday_named(word) for word in words.split() if word not in ("and", "on")]
    if not said or None in said:
        return []
    return [DAY_CODES[day] for day in sorted({day for day in said if day is not None})]


def _of_month(words: str) -> dict[str, str] | None:
    """third thursday, 1st and 3rd sat, last day, the 15th, 1st and 15th."""
    said = [word for word in words.split() if word not in _FILLERS]
    weekday = weekday_named(said[-1]) if said else None
    which = [_WHICH.get(word) for word in (said[:-1] if weekday is not None or said[-1:] == ["day"] else said)]
    if said == ["last", "day"]:
        return {"FREQ": "MONTHLY", "BYMONTHDAY": "-1"}
    if weekday is not None and which and None not in which:
        places = sorted({place for place in which if place is not None}, key=lambda place: (place < 0, place))
        return {"FREQ": "MONTHLY", "BYDAY": ",".join(f"{place}{DAY_CODES[weekday]}" for place in places)}
    days = [re.fullmatch(r"(\d{1,2})(?:st|nd|rd|th)", word, re.ASCII) for word in said]
    if days and all(days):
        numbers = sorted({int(day[1]) for day in days if day})
        return {"FREQ": "MONTHLY", "BYMONTHDAY": ",".join(map(str, numbers))}
    return None


def _said(parts: dict[str, str]) -> str | None:
    """The words for a rule of plain parts, or None where it has none."""
    often, step = parts["FREQ"], int(parts.get("INTERVAL", "1"))
    every = f"every {step} {_ALONE[often]}s" if step != 1 else f"every {_ALONE[often]}"
    choices = {"BYDAY", "BYMONTHDAY", "BYMONTH"} & set(parts)
    if not choices:
        return every
    if often == "WEEKLY" and choices == {"BYDAY"}:
        names = [WEEKDAYS[day] for _, day in sorted(days_of(parts))]
        return f"every {_listed(names)}" if step == 1 else f"{every} on {_listed([name[:3] for name in names])}"
    if often == "MONTHLY" and len(choices) == 1:
        which = _days_said(parts) if "BYDAY" in parts else _numbers_said(parts.get("BYMONTHDAY", ""))
        return which and (f"{which} of the month" if step == 1 else f"{every} on the {which}")
    if often == "YEARLY" and choices == {"BYMONTH", "BYMONTHDAY"}:
        day, month = parts["BYMONTHDAY"], parts["BYMONTH"]
        if day.isdecimal() and month.isdecimal():
            return f"{every} on {int(day)} {MONTHS[int(month) - 1][:3]}"
    return None


def _days_said(parts: dict[str, str]) -> str | None:
    """first and third Saturday; None for different weekdays or places without a word."""
    days = days_of(parts)
    if len({day for _, day in days}) != 1 or not all(which in _SAID for which, _ in days):
        return None
    return f"{_listed([_SAID[which] for which, _ in days])} {WEEKDAYS[days[0][1]]}"


def _numbers_said(numbers: str) -> str | None:
    """15th, 1st and 15th, last day; None where one is counted from the end or there is none."""
    if numbers == "-1":
        return "last day"
    if not re.fullmatch(r"\d+(,\d+)*", numbers, re.ASCII):
        return None
    return _listed([f"{number}{_ending(number)}" for number in map(int, numbers.split(","))])


def _listed(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if words[1:] else words)


def _ending(number: int) -> str:
    return "th" if number in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")

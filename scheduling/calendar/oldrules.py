"""Repeat rules of the vCalendar 1.0 format, such as W2 MO WE #10, in the words of RFC 5545."""

from __future__ import annotations

import re

from scheduling.errors import InvalidError

_HEAD = re.compile(r"(D|W|MP|MD|YM|YD)([0-9]{1,4})")
_NTH = re.compile(r"([1-5])([+-])")
_WEEKDAY = re.compile(r"(SU|MO|TU|WE|TH|FR|SA)")
_DAY = re.compile(r"([0-9]{1,3})([+-]?)")
_END = re.compile(r"[0-9]{8}(?:T[0-9]{6}Z?)?")
_COUNT = re.compile(r"#([0-9]{1,5})")
_FREQUENCIES = {"D": "DAILY", "W": "WEEKLY", "MP": "MONTHLY", "MD": "MONTHLY", "YM": "YEARLY", "YD": "YEARLY"}
_LISTS = {"W": "BYDAY", "MP": "BYDAY", "MD": "BYMONTHDAY", "YM": "BYMONTH", "YD": "BYYEARDAY"}


def is_old_rule(text: str) -> bool:
    """True for a rule of the 1.0 grammar."""
    return _HEAD.match(text.strip().upper()) is not None


def new_rule(text: str) -> str:
    """The RRULE value that says the same. Without an end the old format repeats twice; #0 is for ever.

    Raises InvalidError for a rule with a part that is not understood.
    """
    first, *words = text.strip().upper().split()
    head = _HEAD.fullmatch(first)
    if head is None:
        raise InvalidError(f"The repeat rule {text[:40]!r} is not understood.")
    kind = head[1]
    chosen: list[str] = []
    end, nth = "COUNT=2", ""
    for word in words:
        count = _COUNT.fullmatch(word)
        if count:
            end = f"COUNT={int(count[1])}" if int(count[1]) else ""
        elif _END.fullmatch(word):
            end = f"UNTIL={word}"
        elif kind == "MP" and (match := _NTH.fullmatch(word)):
            nth = ("-" if match[2] == "-" else "") + match[1]
        elif kind in {"W", "MP"} and _WEEKDAY.fullmatch(word):
            chosen.append(nth + word)
        elif kind == "MD" and word == "LD":
            chosen.append("-1")
        elif kind in {"MD", "YM", "YD"} and (match := _DAY.fullmatch(word)):
            chosen.append(("-" if match[2] == "-" else "") + str(int(match[1])))
        else:
            raise InvalidError(f"The repeat rule {text[:40]!r} is not understood.")
    parts = [f"FREQ={_FREQUENCIES[kind]}", f"INTERVAL={int(head[2])}"]
    if chosen:
        parts.append(f"{_LISTS[kind]}={','.join(chosen)}")
    return ";".join(filter(None, [*parts, end]))

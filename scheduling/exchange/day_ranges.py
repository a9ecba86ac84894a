"""Cells that name several days or two times of day, brought to the first of them."""

from __future__ import annotations

import re

from scheduling.exchange.date_words import MONTHS, WEEKDAYS
from scheduling.exchange.text import fold, words_of

_JOIN = r"\s*(?:[-–—+&]|\b(?:to|until|till|til|bis|und|and|et|au|y|al|e|och|og|i|do|t/m|és)\b)\s*"
_DAY = r"(\d{1,2})(?:st|nd|rd|th|er|º|ª|\.)?"
_WORD = r"([^\W\d_]+\.?)"
_LEAD_WORDS = frozenset(
    fold(word) for word in words_of("from|von|vom|am|on|du|le|des|del|el|los|dal|il|i|od|fra|fran|vanaf|ab|den|de|of")
)
_OPEN_END = re.compile(rf"{_DAY}(?:{_JOIN}|\s*/\s*)(?:{_WORD}\W+)?{_DAY}(?=\s*(?:de\s+|of\s+)?{_WORD})", re.IGNORECASE)
_MONTH_FIRST = re.compile(rf"{_WORD}\s+{_DAY}{_JOIN}{_DAY}(?![\d:]|[.]\d)", re.IGNORECASE)
_TWO_MONTHS = re.compile(
    rf"{_DAY}\s*(?:de\s+|of\s+)?{_WORD}{_JOIN}(?:{_WORD}\W+)?{_DAY}\s*(?:de\s+|of\s+)?{_WORD}(?=\D{{1,8}}\d{{4}})",
    re.IGNORECASE,
)
_FIGURES = re.compile(
    rf"(\d{{1,2}})\.?(?:{_JOIN}|(?<=\.)\s*/\s*)(\d{{1,2}})(?=\s*([./])\s*\d{{1,2}}\s*\3\s*\d{{2,4}})", re.IGNORECASE
)
_TWO_FIGURES = re.compile(
    rf"(\d{{1,2}}\s*([./])\s*\d{{1,2}})\2?{_JOIN}(?:{_WORD}\W+)?\d{{1,2}}\s*\2\s*\d{{1,2}}\s*\2\s*(\d{{4}}|\d{{2}})(?!\d)",
    re.IGNORECASE,
)
_HOURS = re.compile(
    r"(?<![\d.:/])(\d{1,2})(?:[:.](\d\d))?\s*(?:[-–—]|\b(?:to|bis|until|till)\b)\s*(\d{1,2})(?:[:.]\d\d)?\s*"
    r"(?:([ap])\.?\s?m\b|(?:h|uhr|o'?clock)\b)",
    re.IGNORECASE,
)


def first_day(text: str) -> tuple[str, bool]:
    """The cell with only the first of its days in it, and whether it named more than one.

    "13-14 March 2027", "March 13 & 14, 2027", "13.-14.03.2027", "31.03. bis 01.04.2027". A number behind other words
    is none of a range: "Group 3 - 13 March 2027".
    """
    for pattern, rewritten in _WAYS:
        found = pattern.search(text)
        if found and _is_lead(text[: found.start()]) and (new := rewritten(found)):
            return f"{text[: found.start()]}{new}{text[found.end() :]}", True
    return text, False


def first_hour(text: str) -> str:
    """The text with the first of two hours in the place of both: "10-12 Uhr" is 10:00, "6:30-8 pm" is 18:30."""
    found = _HOURS.search(text)
    if not found:
        return text
    hour, minute, until, half = int(found[1]), found[2] or "00", int(found[3]), (found[4] or "").casefold()
    if half == "p" and hour < 12 and (hour <= until < 12):
        hour += 12
    return f"{text[: found.start()]}{hour}:{minute} {text[found.end() :]}"


def _is_lead(before: str) -> bool:
    """Whether nothing but days of the week and small words stand before."""
    words = [fold(word) for word in re.findall(r"[^\W_]+", before)]
    return all(word in WEEKDAYS or word in _LEAD_WORDS or re.fullmatch(r"\d{4}", word) for word in words)


def _month(word: str) -> bool:
    return fold(word) in MONTHS


def _weekday(word: str | None) -> bool:
    return word is None or fold(word) in WEEKDAYS


def _of_open_end(found: re.Match[str]) -> str:
    is_range = int(found[1]) < int(found[3]) and _weekday(found[2]) and _month(found[4])
    return found[1] if is_range else ""


def _of_month_first(found: re.Match[str]) -> str:
    return f"{found[1]} {found[2]}" if _month(found[1]) and int(found[2]) < int(found[3]) <= 31 else ""


def _of_two_months(found: re.Match[str]) -> str:
    is_range = _month(found[2]) and _weekday(found[3]) and _month(found[5])
    return f"{found[1]} {found[2]}" if is_range else ""


def _of_figures(found: re.Match[str]) -> str:
    return found[1] if int(found[1]) < int(found[2]) <= 31 else ""


def _of_two_figures(found: re.Match[str]) -> str:
    return f"{found[1]}{found[2]}{found[4]}" if _weekday(found[3]) else ""


_WAYS = (
    (_TWO_FIGURES, _of_two_figures),
    (_FIGURES, _of_figures),
    (_TWO_MONTHS, _of_two_months),
    (_OPEN_END, _of_open_end),
    (_MONTH_FIRST, _of_month_first),
)

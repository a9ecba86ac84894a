"""Phone numbers as text: never a number, wrappers and trunk zeros undone, lost digits told (ITU-T E.164)."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal

from scheduling.exchange.rows import Phone, Value
from scheduling.exchange.text import clean, says_nothing

_EXPONENT = re.compile(r"\d(?:[.,]\d+)?\s*[eE]\s*\+?\s*\d+")
_FLOAT = re.compile(r"(\d{5,})[.,]0+")
_EXTENSION = re.compile(
    r"(?<=[\d)\s])\s*[,;/-]?\s*(?:\b(?:ext(?:ension)?|extn|x|durchwahl|dw|poste|interno|int|ext|toestel|anexo|ramal|"
    r"anknytning|lokal|доб|内線|分机)\b\.?|x|#)\s*[:.]?\s*(\d{1,7})\s*$",
    re.IGNORECASE,
)
_TRUNK_ZERO = re.compile(r"^(\s*(?:\+|00)\s*\d{1,3}[\s.-]*)\(\s*0\s*\)")
_SPLIT = re.compile(
    r"\s*[;\n|]\s*|\s+(?:or|oder|ou|und|and|o|e|y|et)\s+|,\s*(?=\+|\(|0)|\s+/\s+(?=[+(]|0\d)", re.IGNORECASE
)
_PLAIN = re.compile(r"\+?[0-9][0-9 ]{4,17}[0-9]")
_FEWEST, _MOST = 5, 15
_LONGEST = 200
"""Characters of a cell that are searched."""
_EXACT_DIGITS = 15
"""A spreadsheet's numbers are exact to 15 digits."""


def read_phones(value: Value) -> tuple[tuple[Phone, ...], str]:
    """All numbers of a cell, and what is odd about them (empty when nothing is).

    A number typed as a number is kept whole, without ".0", and flagged: a + or leading zero may be missing.
    """
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        return _typed_number(value)
    text = clean(str(value)[:_LONGEST])
    if _PLAIN.fullmatch(text):
        number = text.replace(" ", "")
        if len(number) <= _MOST:
            return (Phone(text, number),), ""
    text = unicodedata.normalize("NFKC", text).removeprefix("'").strip()
    if text.casefold().startswith("tel:"):
        text = _of_uri(text[4:])
    if says_nothing(text):
        return (), ""
    read = [_one(part) for part in _SPLIT.split(text) if part and not says_nothing(part)]
    phones = tuple(phone for phone, _ in read if phone is not None)
    return phones, next((odd for _, odd in read if odd), "")


def _of_uri(text: str) -> str:
    """What follows "tel:", with its extension in words; parameters come in any order and case (RFC 3966 3, 5.3)."""
    body, _, parameters = text.partition(";")
    pairs = (one.partition("=") for one in parameters.split(";"))
    extension = next((value for name, _, value in pairs if name.strip().casefold() == "ext"), "")
    digits = "".join(char for char in extension if char.isdecimal())
    return f"{body} ext {digits}" if digits else body


def _typed_number(value: int | Decimal) -> tuple[tuple[Phone, ...], str]:
    digits = f"{Decimal(value):f}"
    if "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    if not digits.isdecimal() or len(digits) > _EXACT_DIGITS:
        return (Phone(digits, "", damaged=True),), f"the phone number {digits} has lost digits in a spreadsheet"
    if len(digits) < _FEWEST:
        return (Phone(digits, digits),), f"“{digits}” is short for a phone number"
    return (Phone(digits, digits),), f"the phone number {digits} may lack a + or a leading zero"


def _one(text: str) -> tuple[Phone | None, str]:
    if _EXPONENT.fullmatch(text):
        return Phone(text, "", damaged=True), f"the phone number {text} has lost digits in a spreadsheet"
    if exact := _FLOAT.fullmatch(text):
        return Phone(
            exact.group(1), exact.group(1)
        ), f"the phone number {exact.group(1)} may lack a + or a leading zero"
    extension = ""
    body = text
    if found := _EXTENSION.search(text):
        extension, body = found.group(1), text[: found.start()]
    body = _TRUNK_ZERO.sub(r"\1", body)
    digits = "".join(c for c in body if c.isdecimal())
    if not digits:
        return None, f"“{text[:40]}” is not a phone number"
    lead = "+" if body.lstrip(" (=").startswith("+") else ""
    number = lead + "".join(str(unicodedata.decimal(c)) for c in digits)
    phone = Phone(text, number, extension)
    if not _FEWEST <= len(digits) <= _MOST:
        return phone, f"“{text[:40]}” is {'short' if len(digits) < _FEWEST else 'long'} for a phone number"
    if sum(c.isalpha() for c in body) > 12:
        return phone, f"“{text[:40]}” holds more than a phone number"
    return phone, ""

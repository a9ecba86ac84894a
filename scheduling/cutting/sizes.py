"""Lengths in the words of the bench: 5 3/8 in, 137 mm. Exact; nothing is rounded."""

from __future__ import annotations

from fractions import Fraction

UNITS_PER_INCH = 1_016_000
UNITS_PER_MM = 40_000


def size_text(units: int, unit: str) -> str:
    """A length with its unit; inches as a fraction to 1/64 where that is exact, else as a decimal."""
    return f"{number_text(units, unit)} {unit}"


def number_text(units: int, unit: str) -> str:
    """The same without the unit's name, as on a drawing."""
    if unit == "mm":
        return _decimal(Fraction(units, UNITS_PER_MM))
    inches = Fraction(units, UNITS_PER_INCH)
    if 64 % inches.denominator:
        return _decimal(inches)
    whole, rest = divmod(inches.numerator, inches.denominator)
    part = f"{rest}/{inches.denominator}" if rest else ""
    return " ".join(text for text in (str(whole) if whole or not part else "", part) if text)


def _decimal(value: Fraction) -> str:
    """All the places that one unit may need, without noughts at the end."""
    scaled = value * 10**8
    if scaled.denominator != 1:
        return f"{float(value):.8f}".rstrip("0")
    text = f"{scaled.numerator:09d}"
    return f"{text[:-8]}.{text[-8:]}".rstrip("0").rstrip(".")

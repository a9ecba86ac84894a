"""Exact lengths for the bench: whole counts of 1/1,016,000 in, with the unit and form as typed (decisions 11)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import total_ordering

from scheduling.errors import InvalidError
from scheduling.folding import typed_text

# Counts in one of each: 1/64 in is 15,875, 0.001 in is 1,016 and 1 mm is 40,000, all whole.
COUNTS = {
    "in": 1_016_000,
    "ft": 12_192_000,
    "yd": 36_576_000,
    "mm": 40_000,
    "cm": 400_000,
    "m": 40_000_000,
}
IN_FRACTIONS = ("in", "ft", "yd")
FINEST = 64
MOST_COUNTS = 1000 * COUNTS["m"]

_UNIT_WORDS = {
    **dict.fromkeys(("in", "in.", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("ft", "ft.", "foot", "feet"), "ft"),
    **dict.fromkeys(("yd", "yd.", "yds", "yard", "yards"), "yd"),
    **dict.fromkeys(("mm", "mm.", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "cm.", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("m", "m.", "metre", "metres", "meter", "meters"), "m"),
}
_INCH_SIGNS = re.compile("''|[″“”]")
_FRACTION = re.compile(r"(?:(\d{1,9})(?: ?- ?| ))?(\d{1,9}) ?/ ?(\d{1,9})", re.ASCII)
_DECIMAL = re.compile(r"(\d{0,9})(?:([.,])(\d{1,9}))?", re.ASCII)
_FORM = re.compile(r"(in|ft|yd|mm|cm|m)(?:\.([0-9]))?", re.ASCII)


@total_ordering
@dataclass(frozen=True, slots=True, eq=False)
class Length:
    """An exact length; equal, ordered and hashed by how long it is, however it was typed.

    counts: whole 1/1,016,000 in (25 nm); a difference may be negative.
    unit: in, ft, yd, mm, cm or m, as typed.
    places: digits after the point as typed, or None for whole numbers and fractions of in, ft and yd.
    Sums and products keep the unit and form of the first length.
    """

    counts: int
    unit: str = "in"
    places: int | None = None

    def __post_init__(self) -> None:
        if type(self.counts) is not int:
            raise InvalidError(f"{self.counts!r} is not a whole count.", hint="Give a whole number.", field="length")
        if self.unit not in COUNTS:
            raise InvalidError(f"There is no unit {self.unit!r}.", hint=f"Use {', '.join(COUNTS)}.", field="unit")
        if self.places is not None and not 0 <= self.places <= 9:
            raise InvalidError(f"{self.places} places are too many.", hint="Use 0 to 9.", field="places")

    @classmethod
    def kept(cls, counts: int, form: str) -> Length:
        """The length from what a store keeps: its counts and its `form`."""
        match = _FORM.fullmatch(form)
        if not match:
            raise InvalidError(f"There is no form {form!r}.", hint="Use such as in or mm.1.", field="form")
        return cls(counts, match[1], None if match[2] is None else int(match[2]))

    @property
    def form(self) -> str:
        """Unit and places in one word for the store: "in" for fractions, "in.3" or "mm.0" for decimals."""
        return self.unit if self.places is None else f"{self.unit}.{self.places}"

    def __eq__(self, other: object) -> bool:
        return self.counts == other.counts if isinstance(other, Length) else NotImplemented

    def __lt__(self, other: Length) -> bool:
        return self.counts < other.counts if isinstance(other, Length) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.counts)

    def __bool__(self) -> bool:
        return self.counts != 0

    def __add__(self, other: Length) -> Length:
        return self._like(self.counts + other.counts) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: Length) -> Length:
        return self._like(self.counts - other.counts) if isinstance(other, Length) else NotImplemented

    def __neg__(self) -> Length:
        return self._like(-self.counts)

    def __mul__(self, times: int) -> Length:
        return self._like(self.counts * times) if type(times) is int else NotImplemented

    __rmul__ = __mul__

    def __floordiv__(self, piece: Length) -> int:
        """How many whole pieces lie in this length, edge to edge."""
        return self.counts // _real(piece) if isinstance(piece, Length) else NotImplemented

    def __mod__(self, piece: Length) -> Length:
        """What is left after the whole pieces."""
        return self._like(self.counts % _real(piece)) if isinstance(piece, Length) else NotImplemented

    def rounded_up(self, step: Length | None = None) -> Length:
        """The least whole number of steps (1/16 in unless given) that is not shorter."""
        size = _real(step if step is not None else SIXTEENTH)
        return self._like(-(-self.counts // size) * size)

    def show(self, *, unit: bool = True) -> str:
        """As typed, always exact: "5 3/8 in", "0.080 in", "13.7 cm"; without the unit where that is left out.

        What cannot be written exactly so (an inch less a millimetre) comes in fractions of an inch or in mm,
        then always with its unit.
        """
        number = _number(self.counts, self.unit, self.places)
        if number is not None:
            return f"{number} {self.unit}" if unit else number
        inches = _mixed(self.counts, COUNTS["in"]) if self.unit in IN_FRACTIONS else None
        return f"{inches} in" if inches is not None else self.in_mm()

    def in_inches(self, finest: int = FINEST) -> str:
        """In bench fractions: "5 3/8 in"; "about 5 25/64 in" where it lies between two, to the nearest.

        finest: 16, 32 or 64.
        """
        step = _bench_step(finest)
        nearest = (2 * abs(self.counts) + step) // (2 * step) * step
        signed = nearest if self.counts >= 0 else -nearest
        about = "" if signed == self.counts else "about "
        return f"{about}{_mixed(signed, COUNTS['in'])} in"

    def in_mm(self, places: int | None = None) -> str:
        """In mm: exact, or to `places` with "about" where that is not exact."""
        if places is None:
            return f"{_decimal(Fraction(self.counts, COUNTS['mm']), 0)} mm"
        scaled = Fraction(abs(self.counts) * 10**places, COUNTS["mm"])
        whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
        about = "" if whole == scaled else "about "
        return f"{about}{Decimal(whole if self.counts >= 0 else -whole).scaleb(-places):f} mm"

    def __str__(self) -> str:
        return self.show()

    def _like(self, counts: int) -> Length:
        return Length(counts, self.unit, self.places)


SIXTEENTH = Length(COUNTS["in"] // 16)


def read_length(text: str, default_unit: str = "in", *, field: str = "length") -> Length:
    """A length as typed: 5 3/8, 5-3/8 in, 5⅜", 5.375, .080, 137mm, 13,7 cm, 2 1/2 yd; zero is a length.

    default_unit: the studio's, taken where none is typed.
    Raises InvalidError for what is not understood, is not exact in whole counts (the hint names the nearest
        below and above that are: sixty-fourths, or thousandths of what was typed), or is past 1,000 m.
    """
    plain = _INCH_SIGNS.sub('"', typed_text(text)) if len(text) <= 100 else ""
    match = re.fullmatch(r"(.*?)([a-z]+\.?|\")?", plain)
    number, word = (match[1].strip(), match[2]) if match else ("", None)
    unit = default_unit if word is None else _UNIT_WORDS.get(word, "")
    if unit not in COUNTS:
        raise InvalidError(f"There is no unit {word or default_unit!r}.", hint=f"Use {', '.join(COUNTS)}.", field=field)
    value, places = _fraction_typed(number, field), None
    if value is None:
        value, places = _decimal_typed(number, unit, field)
    elif unit not in IN_FRACTIONS:
        places = 0
    exact = value * COUNTS[unit]
    if exact > MOST_COUNTS:
        raise InvalidError(f"{number} {unit} is too long.", hint="Use at most 1,000 m.", field=field)
    if exact.denominator != 1:
        below, above = _nearest(value, unit, in_fractions=places is None)
        raise InvalidError(
            f"{number} {unit} is no length that can be kept exactly.",
            hint=f"Use {below.show()} or {above.show()}.",
            field=field,
        )
    return Length(exact.numerator, unit, places)


def read_size(text: str, default_unit: str = "in", *, field: str = "size") -> tuple[Length, Length]:
    """Two lengths in the order typed: 8 1/2 x 11, 210 × 297 mm, 22 in by 30 in; a unit at the end serves for both."""
    parts = re.split(r" ?[x×] ?| by ", typed_text(text)) if len(text) <= 100 else []
    if len(parts) != 2:
        raise InvalidError(
            "The size is not understood as two lengths.",
            hint="Write such as 8 1/2 x 11 in or 210 x 297 mm.",
            field=field,
        )
    second = read_length(parts[1], default_unit, field=field)
    return read_length(parts[0], second.unit, field=field), second


def _fraction_typed(number: str, field: str) -> Fraction | None:
    match = _FRACTION.fullmatch(number)
    if not match:
        return None
    top, bottom = int(match[2]), int(match[3])
    if not bottom or (match[1] and top >= bottom):
        raise InvalidError(f"{number} is not a fraction of a length.", hint="Write such as 5 3/8.", field=field)
    return int(match[1] or 0) + Fraction(top, bottom)


def _decimal_typed(number: str, unit: str, field: str) -> tuple[Fraction, int | None]:
    match = _DECIMAL.fullmatch(number)
    if not match or not number:
        raise InvalidError(
            "The length is not understood.", hint="Write such as 5 3/8 in, 0.08 in, 137 mm or 13.7 cm.", field=field
        )
    whole, sign, part = match[1] or "0", match[2], match[3] or ""
    if sign == "," and len(part) == 3 and int(whole):
        raise InvalidError(
            f"{number} may be {whole}{part} or {whole}.{part}.",
            hint=f"Write {whole}{part} or {whole}.{part}.",
            field=field,
        )
    if not sign and unit in IN_FRACTIONS:
        return Fraction(int(whole)), None
    return Fraction(int(whole + part), 10 ** len(part)), len(part)


def _nearest(value: Fraction, unit: str, *, in_fractions: bool) -> tuple[Length, Length]:
    """The lengths below and above on the grid that a bench can read: 1/64, or 0.001 of the unit."""
    step = COUNTS[unit] // (FINEST if in_fractions else 1000)
    below = value * COUNTS[unit] // step * step
    places = None if in_fractions else 3
    return Length(int(below), unit, places), Length(int(below) + step, unit, places)


def _real(piece: Length) -> int:
    if piece.counts <= 0:
        raise InvalidError("A piece has a length above zero.", hint="Give its length.", field="length")
    return piece.counts


def _bench_step(finest: int) -> int:
    if finest not in (16, 32, 64):
        raise InvalidError(f"A bench rule has no 1/{finest}.", hint="Use 16, 32 or 64.", field="finest")
    return COUNTS["in"] // finest


def _number(counts: int, unit: str, places: int | None) -> str | None:
    """The number before the unit, or None where it has no exact one in that unit."""
    if places is None and unit in IN_FRACTIONS and (mixed := _mixed(counts, COUNTS[unit])) is not None:
        return mixed
    return _decimal(Fraction(counts, COUNTS[unit]), places or 0)


def _mixed(counts: int, per_unit: int) -> str | None:
    """Such as "5 3/8", down to sixty-fourths; None where it is no such fraction."""
    whole, part = divmod(Fraction(abs(counts), per_unit), 1)
    if FINEST % part.denominator:
        return None
    words = [str(whole)] if whole or not part else []
    if part:
        words.append(f"{part.numerator}/{part.denominator}")
    return ("-" if counts < 0 else "") + " ".join(words)


def _decimal(value: Fraction, places: int) -> str | None:
    """All the digits, at least `places`; None where they never end."""
    digits = places
    while value.denominator != 1 and 10**digits % value.denominator:
        digits += 1
        if digits > 12:
            return None
    scaled = value * 10**digits
    return f"{Decimal((int(scaled < 0), tuple(map(int, str(abs(scaled.numerator)))), -digits)):f}"

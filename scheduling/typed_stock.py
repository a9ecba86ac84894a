"""Counts of stock as she types them: 14, -2, +3; off-cuts as 12 x 9 = 3; begun lengths as 25 yd, 4 m."""

from __future__ import annotations

import re

from scheduling.amounts import read_count
from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.lengths import Length, read_length, read_size
from scheduling.words import Understood

MOST = 10**7
_PARTS = re.compile(r"[;\n]")
_COUNTED = re.compile(r"(.+?)(?:\s*=\s*(\S+))?", re.DOTALL)


def read_new_count(text: str, there: int, *, field: str = "whole") -> Understood[int]:
    """What is on hand from now on: a count, or what goes (-2) or comes (+3) of the `there` on hand.

    Raises InvalidError for what is no number, or for more than is there.
    """
    plain = typed_text(text).replace(" ", "")
    sign, digits = (plain[:1], plain[1:]) if plain[:1] in ("+", "-", "\N{MINUS SIGN}") else ("", plain)
    number = read_count(digits, most=MOST, field=field).value
    new = there + number if sign == "+" else there - number if sign else number
    if new < 0:
        raise InvalidError(f"There are {there} on hand.", hint=f"Write -{there} at the most.", field=field)
    return Understood(new, _difference(new, there))


def _difference(new: int, there: int) -> str:
    if new == there:
        return f"{new} on hand, as it was"
    return f"{new} on hand, {abs(new - there)} {'more' if new > there else 'fewer'} than the {there} before"


def read_off_cuts(text: str, unit: str, *, field: str = "off_cuts") -> Understood[tuple[tuple[str, int], ...]]:
    """Off-cuts as "12 x 9 = 3; 20 x 4": sizes with the side along the grain first, and how many of each.

    Gives (size as typed, how many). Raises InvalidError as sizes and counts do.
    """
    found: list[tuple[str, int]] = []
    said: list[str] = []
    for part in _typed_parts(text):
        match = _COUNTED.fullmatch(part)
        assert match is not None  # a part is never empty
        along, across = read_size(match[1], unit, field=field)
        count = 1 if match[2] is None else read_count(match[2], most=10_000, field=field).value
        found.append((match[1].strip(), count))
        said.append(f"{count} of {along.show()} along the grain x {across.show()}")
    return Understood(tuple(found), "; ".join(said) or "no off-cuts")


def read_begun_lengths(text: str, unit: str, *, field: str = "lengths") -> Understood[tuple[str, ...]]:
    """Lengths of begun reels or rolls as "25 yd; 4 m". Raises InvalidError as lengths do."""
    parts = _typed_parts(text)
    said = [read_length(part, unit, field=field).show() for part in parts]
    return Understood(tuple(parts), "begun: " + "; ".join(said) if said else "none begun")


def off_cuts_text(off_cuts: tuple[tuple[int, int, str, int], ...], unit: str) -> str:
    """Off-cuts on hand as they are typed; (along, across, grain, how many) in counts."""
    return "; ".join(
        f"{_sides(Length(along, unit), Length(across, unit))} = {count}" for along, across, _, count in off_cuts
    )


def _sides(along: Length, across: Length) -> str:
    """Both sides; the unit of the first is left out only where the second has the same one."""
    first, second = along.show(), across.show()
    unit = second.rpartition(" ")[2]
    return f"{first.removesuffix(f' {unit}')} x {second}"


def begun_lengths_text(lengths: tuple[int, ...], unit: str) -> str:
    """Begun lengths on hand as they are typed."""
    return "; ".join(Length(length, unit).show() for length in lengths)


def _typed_parts(text: str) -> list[str]:
    return [part.strip() for part in _PARTS.split(text) if part.strip()]

"""Sizes by formula: the finished measures of a project plus turn-ins, rounded up to the bench unit (job.md 3)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from scheduling.errors import InvalidError
from scheduling.lengths import COUNTS, SIXTEENTH, Length, read_length

_NAME = re.compile(r"[a-z][a-z_]*", re.ASCII)
_TERM = re.compile(r"(?:(\d{1,3}) ?\* ?)?(.+?)(?: ?/ ?(\d{1,2}))?", re.ASCII)
HALF_MM = Length(COUNTS["mm"] // 2, "mm", 1)


def bench_unit(unit: str) -> Length:
    """What she reads on a rule: 1/16 in, or half a millimetre."""
    return HALF_MM if unit == "mm" else SIXTEENTH


def is_formula(text: str) -> bool:
    """True for what names a measure: "height + 2*turn_in"; sizes as typed are no formula."""
    return any(word not in _UNITS for word in _NAME.findall(text.casefold()))


# fmt: off
_UNITS = frozenset({
    "in", "inch", "inches", "ft", "foot", "feet", "yd", "yds", "yard", "yards", "mm", "cm", "m", "millimetre",
    "millimetres", "millimeter", "millimeters", "centimetre", "centimetres", "centimeter", "centimeters", "metre",
    "metres", "meter", "meters", "x", "by",
})
# fmt: on


def worked_out(formula: str, measures: Mapping[str, Length], unit: str, *, field: str = "size") -> Length:
    """The length of a formula, rounded up to the bench unit.

    formula: lengths and names of measures, added and taken off: "height + 2*turn_in - 1/8", "width/2 + 3 mm".
    measures: by name, in small letters and underscores.
    Raises InvalidError: a name is not known, a part is not understood, or nothing is left.
    """
    total = Fraction(0)
    sign = 1
    for part in re.split(r" ([+-]) ", formula.strip().casefold()):
        if part in ("+", "-"):
            sign = 1 if part == "+" else -1
            continue
        total += sign * _term(part, measures, unit, field)
    if total <= 0:
        raise InvalidError(f"{formula} leaves nothing.", hint="Look at the measures.", field=field)
    step = bench_unit(unit)
    steps = -(-total.numerator // (total.denominator * step.counts))
    return Length(steps * step.counts, step.unit, step.places)


def _term(text: str, measures: Mapping[str, Length], unit: str, field: str) -> Fraction:
    match = _TERM.fullmatch(text)
    if match is not None and _NAME.fullmatch(match[2]) and match[2] not in _UNITS:
        name, times, parts = match[2], int(match[1] or 1), int(match[3] or 1)
        if name not in measures:
            known = ", ".join(sorted(measures)) or "none yet"
            raise InvalidError(f"There is no measure {name}.", hint=f"There are: {known}.", field=field)
        if not parts:
            raise InvalidError(f"{text} divides by nought.", hint="Divide by 1 or more.", field=field)
        return Fraction(measures[name].counts * times, parts)
    times = 1
    if match is not None and match[1]:
        times, text = int(match[1]), text.split("*", 1)[1]
    return Fraction(read_length(text, unit, field=field).counts * times)

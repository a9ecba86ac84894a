"""Short ways to write cut problems in inches for tests."""

from __future__ import annotations

from fractions import Fraction

from scheduling.cutting.problem import Fold, Grain, Piece, Stock, Trim

UNITS_PER_INCH = 1_016_000
UNITS_PER_MM = 40_000


def inches(text: str) -> int:
    """Units of a length such as "5 3/8"."""
    units = sum(Fraction(part) for part in text.split()) * UNITS_PER_INCH
    assert units == int(units)
    return int(units)


def piece(
    name: str,
    size: str,
    count: int,
    *,
    grain_bound: bool = True,
    one_way: bool = False,
    fold: Fold = Fold.NONE,
) -> Piece:
    """A piece "along x across" in inches."""
    along, across = size.split(" x ")
    return Piece(name, inches(along), inches(across), count, grain_bound, one_way, fold)


def sheet(
    name: str,
    size: str,
    *,
    grain: Grain = Grain.LONG,
    trim: str = "0",
    one_way: bool = False,
    on_hand: int = 0,
    pack: tuple[int, int] = (1, 0),
    may_buy: int | None = None,
) -> Stock:
    """A sheet "along x across" in inches; pack is (sheets, minor units)."""
    along, across = size.split(" x ")
    return Stock(
        name,
        inches(along),
        inches(across),
        grain,
        one_way,
        Trim.all_round(inches(trim)),
        on_hand=on_hand,
        pack=pack[0],
        pack_cost_minor=pack[1],
        may_buy=may_buy,
    )

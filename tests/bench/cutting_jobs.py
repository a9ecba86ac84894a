"""Seeded cut problems as a workshop has them: 1-8 kinds of piece, 6-60 kits, off-cuts, several sizes of sheet."""

from __future__ import annotations

import random
from dataclasses import dataclass

from scheduling.cutting.problem import CutProblem, Cutter, Grain, OffCut, Piece, Stock, Trim

INCH = 1_016_000
MM = 40_000

_SHEETS = ((38, 25), (30, 22), (26, 20), (30, 20), (38, 26), (28, 22), (25, 19))
_SHEETS_MM = ((841, 594), (594, 420), (700, 500), (1000, 700))


@dataclass(frozen=True, slots=True)
class Job:
    """One problem with its name."""

    name: str
    problem: CutProblem


def workshop_jobs(number: int, seed: int = 20_270_201) -> list[Job]:
    """That many jobs, the same for the same seed."""
    return [Job(f"job {place + 1:03d}", _job(random.Random(seed * 1000 + place))) for place in range(number)]


def _job(dice: random.Random) -> CutProblem:
    metric = dice.random() < 0.3
    sizes = dice.sample(_SHEETS_MM if metric else _SHEETS, dice.choice((1, 1, 1, 2, 2, 3)))
    unit = MM if metric else INCH
    grainless = dice.random() < 0.2
    trim = dice.choice((0, 0, INCH // 8, INCH // 4)) if not metric else dice.choice((0, 3 * MM, 5 * MM))
    kerf = dice.choice((0, 0, 0, INCH // 32))
    stocks = []
    for place, (along, across) in enumerate(sizes):
        grain = Grain.NONE if grainless else Grain.LONG
        cost = along * across * dice.randint(90, 110) // (1000 if not metric else 650_000) + 20
        pack = dice.choice((1, 1, 5, 10, 20))
        stocks.append(
            Stock(
                f"sheet {place + 1}",
                along * unit,
                across * unit,
                grain,
                dice.random() < 0.15,
                Trim.all_round(trim),
                on_hand=dice.choice((0, 0, 3, 8, 14)),
                pack=pack,
                pack_cost_minor=cost * pack,
            )
        )
    usable_along = min(stock.along_units for stock in stocks) - 2 * trim
    usable_across = min(stock.across_units for stock in stocks) - 2 * trim
    kits = dice.randint(6, 60)
    pieces = []
    for place in range(dice.randint(1, 8)):
        along = min(usable_along, _side(dice, metric=metric))
        across = min(usable_across, _side(dice, metric=metric))
        each = dice.choice((1, 1, 1, 2, 2, 4, 6))
        pieces.append(Piece(f"piece {place + 1}", along, across, kits * each, dice.random() < 0.7, dice.random() < 0.3))
    off_cuts = []
    for place in range(dice.choice((0, 0, 1, 2, 3))):
        along = _side(dice, metric=metric) + 4 * INCH
        across = _side(dice, metric=metric) + 2 * INCH
        grain = Grain.NONE if grainless else (Grain.LONG if along >= across else Grain.SHORT)
        off_cuts.append(OffCut(f"off-cut {place + 1}", along, across, grain, count=dice.randint(1, 3)))
    cutter = Cutter(kerf, kerf, dice.choice((None, 13 * INCH, 18 * INCH)))
    return CutProblem(tuple(pieces), tuple(stocks), tuple(off_cuts), cutter, unit="mm" if metric else "in")


def _side(dice: random.Random, *, metric: bool) -> int:
    """A side of a piece: mostly in bench units, some strips, some long."""
    if metric:
        return dice.choice((dice.randint(12, 40), dice.randint(60, 200), dice.randint(60, 200), 297)) * MM
    if dice.random() < 0.15:
        return dice.randint(4, 20) * INCH // 8
    return dice.randint(3 * 8, 12 * 8) * INCH // 8

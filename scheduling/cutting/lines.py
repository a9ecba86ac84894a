"""Reels and rolls: what is sold by length. Reels yield whole pieces; cloth is cut in rows across its width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduling.cutting.plan import best_plan, first_plan
from scheduling.cutting.problem import CutProblem, Cutter, Grain, Keep, OffCut, Piece, Stock, Trim
from scheduling.cutting.result import CutPlan


@dataclass(frozen=True, slots=True)
class Reel:
    """Thread, cord or ribbon, or a roll seen along its length.

    length_units: of a new one; leader_units, tail_units: lost at the start and the end of a new one.
    on_hand: usable lengths of those begun. may_buy: None without end.
    """

    id: str
    length_units: int
    leader_units: int = 0
    tail_units: int = 0
    on_hand: tuple[int, ...] = ()
    cost_minor: int = 0
    may_buy: int | None = None


@dataclass(frozen=True, slots=True)
class Roll:
    """Cloth on a roll: the reel it is along its length, and its width across, less both edges.

    grain, one_way, two_sided: as for a sheet; the grain runs along the roll unless there is none.
    """

    reel: Reel
    width_units: int
    edge_units: int = 0
    grain: Grain = Grain.LONG
    one_way: bool = False
    two_sided: bool = True


@dataclass(frozen=True, slots=True)
class Length:
    """One thing to cut off a reel, `count` times."""

    id: str
    length_units: int
    count: int


@dataclass(frozen=True, slots=True)
class LengthsCut:
    """Reels cut alike.

    reel: place in Reel.on_hand, or None for new ones; cuts: (id, how many) off each of them.
    left_units: what stays on each, its tail not counted.
    """

    reel: int | None
    reels: int
    cuts: tuple[tuple[str, int], ...]
    left_units: int


@dataclass(frozen=True, slots=True)
class ReelPlan:
    """How the lengths come off the reels. least_to_buy: no way of cutting buys fewer."""

    cuts: tuple[LengthsCut, ...]
    to_buy: int
    least_to_buy: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class RollPlan:
    """Rows as a cut plan (each source is a row of one length) and how the rows come off the rolls.

    length_units: of all rows and the kerfs between them; least_units: no mix of rows is shorter.
    """

    rows: CutPlan
    lengths: ReelPlan
    length_units: int
    least_units: int


def plan_reel(
    lengths: Sequence[Length], reel: Reel, *, kerf_units: int = 0, unit: str = "in", thoroughly: bool = False
) -> ReelPlan:
    """Whole lengths off the reels on hand first, then off new ones.

    thoroughly: by `best_plan`, for long lists.
    Raises InvalidError: a length is longer than any reel. Raises ConflictError: too few may be bought.
    """
    usable = reel.length_units - reel.leader_units - reel.tail_units
    begun: dict[str, int] = {}
    off_cuts = []
    for place, length in enumerate(reel.on_hand):
        if length > 0:
            begun[f"{reel.id} on hand {place + 1}"] = place
            off_cuts.append(OffCut(f"{reel.id} on hand {place + 1}", length, 1, Grain.NONE))
    problem = CutProblem(
        pieces=tuple(Piece(one.id, one.length_units, 1, one.count) for one in lengths),
        stocks=(Stock(reel.id, usable, 1, Grain.NONE, cost_minor=reel.cost_minor, may_buy=reel.may_buy),),
        off_cuts=tuple(off_cuts),
        cutter=Cutter(kerf_units, kerf_units),
        keep=Keep(1, 1),
        unit=unit,
        use_up=True,
    )
    answer = best_plan(problem, few_set_ups=False) if thoroughly else first_plan(problem)
    cuts = []
    for run in answer.best.runs:
        for layout, reels in run.layouts:
            left = sum(blank.along_units for blank in layout.off_cuts)
            cuts.append(LengthsCut(begun.get(run.source_id), reels, tuple(sorted(layout.counts.items())), left))
    cuts.sort(key=lambda cut: (cut.reel is None, cut.reel or 0, -cut.reels))
    to_buy = answer.best.sheets
    return ReelPlan(tuple(cuts), to_buy, answer.bound.sheets, to_buy * reel.cost_minor)


def plan_roll(pieces: Sequence[Piece], roll: Roll, *, cutter: Cutter | None = None, unit: str = "in") -> RollPlan:
    """Rows across the width, each as long as its longest piece, of the least length in all.

    Raises InvalidError: a piece is wider than the roll or longer than a new one. Raises ConflictError: too few
        rolls may be bought.
    """
    cutter = cutter or Cutter()
    kerf = cutter.kerf_units
    wanted = tuple(piece for piece in pieces if piece.count)
    rows = {piece.along_units for piece in wanted}
    rows |= {piece.across_units for piece in wanted if not piece.grain_bound or roll.grain is Grain.NONE}
    trim = Trim(left_units=roll.edge_units, right_units=roll.edge_units)
    stocks = []
    for row in sorted(rows):
        grain = roll.grain
        if grain is not Grain.NONE:
            grain = Grain.LONG if row >= roll.width_units else Grain.SHORT
        stock = Stock(f"row {row}", row, roll.width_units, grain, roll.one_way, trim, row + kerf)
        stocks.append(replace(stock, two_sided=roll.two_sided))
    problem = CutProblem(wanted, tuple(stocks), cutter=cutter, unit=unit)
    answer = first_plan(problem)
    lengths = {stock.id: stock.along_units for stock in stocks}
    rows_wanted = [Length(line.stock_id, lengths[line.stock_id], line.to_buy) for line in answer.best.taken]
    reel_plan = plan_reel(rows_wanted, roll.reel, kerf_units=kerf, unit=unit)
    total = max(0, answer.best.cost_minor - kerf)
    return RollPlan(answer.best, reel_plan, total, max(0, answer.bound.cost_minor - kerf))

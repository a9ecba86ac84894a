"""What classes need of each material, what is short, and what to buy (cutting.md, "Needs and orders").

Stock goes to the classes in the order of their need days, or first as she allotted it. What is bought is counted from
one cut plan over all classes; a class that such a plan still serves from what is there lacks nothing, even where
cutting the classes one by one would leave it short.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from scheduling.buying.cut_lists import Part, lengths_answer, sheets_for
from scheduling.cutting.lines import ReelPlan, RollPlan
from scheduling.errors import SchedulingError
from scheduling.model.materials import Bench, Form, Holding, Material


@dataclass(frozen=True, slots=True)
class Demand:
    """What one class needs of one material.

    need_day: it is needed then at the latest; aim_day: the aim of the work that uses it.
    allotted: of the stock, kept for this class by her.
    """

    class_id: int
    need_day: dt.date
    aim_day: dt.date
    parts: tuple[Part, ...]
    allotted: int = 0


@dataclass(frozen=True, slots=True)
class Coming:
    """So many units (sheets, things, reels) on their way in an order."""

    order_id: int
    arrives: dt.date
    units: int


@dataclass(frozen=True, slots=True)
class ClassNeed:
    """How one class is served with one material.

    pieces: pieces or things; alone: what the class takes by itself (sheets, things, pieces off reels, counts of length
    off rolls); from_stock, from_orders: of what it is given, in the same unit; short: what is not there.
    orders: those it waits for; ready_on: the day the last of them comes; None when stock is enough or when it is short.
    """

    class_id: int
    need_day: dt.date
    aim_day: dt.date
    pieces: int
    alone: int
    from_stock: int
    from_orders: int
    short: int
    orders: tuple[int, ...] = ()
    ready_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class MaterialNeed:
    """What all classes need of one material.

    classes: by need day. together: sheets, things, or reels and rolls opened anew, when all is cut from one plan;
    for reels `together` counts what must be taken unbegun. to_buy: units beyond stock and orders; packs: whole packs.
    pooled: it is only enough, or only so little, because the classes are cut from one plan.
    trouble: why it could not be counted, and the mend; the counts are 0 then.
    """

    material: Material
    classes: tuple[ClassNeed, ...]
    together: int
    on_hand: int
    on_order: int
    to_buy: int
    packs: int
    pooled: bool = False
    trouble: str = ""

    @property
    def left_of_packs(self) -> int:
        """Units that the packs hold beyond the need."""
        return self.packs * self.material.pack - self.to_buy


def material_need(
    material: Material, demands: Sequence[Demand], holding: Holding, coming: Sequence[Coming], bench: Bench
) -> MaterialNeed:
    """Serve the classes with one material.

    demands: of one class each, any order. coming: orders on their way, any order.
    """
    coming = sorted(coming, key=lambda each: (each.arrives, each.order_id))
    on_order = sum(each.units for each in coming)
    try:
        if material.form in (Form.REEL, Form.ROLL):
            return _off_lengths(material, _in_order(demands, first_allotted=True), holding, coming, bench)
        return _in_units(material, _in_order(demands), holding, coming, bench)
    except SchedulingError as error:  # a part that no stock fits must not hide the needs of all the others
        return MaterialNeed(material, (), 0, holding.whole, on_order, 0, 0, trouble=str(error))


def _in_order(demands: Sequence[Demand], *, first_allotted: bool = False) -> list[Demand]:
    return sorted(
        (demand for demand in demands if any(part.count for part in demand.parts)),
        key=lambda demand: (first_allotted and not demand.allotted, demand.need_day, demand.class_id),
    )


# --- sheets and things --------------------------------------------------------------------------------------------


def _in_units(
    material: Material, demands: list[Demand], holding: Holding, coming: Sequence[Coming], bench: Bench
) -> MaterialNeed:
    """Sheets and things: each class takes what it needs by itself, in turn."""
    alone = [_units(material, demand.parts, Holding(), bench) for demand in demands]
    allotted = [min(demand.allotted, one) for demand, one in zip(demands, alone, strict=True)]
    free = max(0, holding.whole - sum(allotted))
    later = sum(allotted)
    on_order = sum(each.units for each in coming)
    ordered = on_order
    found: list[ClassNeed] = []
    for place, (demand, one, own) in enumerate(zip(demands, alone, allotted, strict=True)):
        later -= own
        given = min(one, own + free)
        free -= max(0, given - own)
        lacking = one - given
        wanted = 0
        if lacking:
            parts = [part for each in demands[: place + 1] for part in each.parts]
            wanted = _units(material, parts, holding, bench) + later - holding.whole
        found.append(_class_need(demand, one, lacking, max(0, wanted), coming, left=ordered))
        ordered -= min(ordered, found[-1].from_orders)
    together = _units(material, [part for demand in demands for part in demand.parts], holding, bench)
    to_buy = max(0, together - holding.whole - on_order)
    packs = -(-to_buy // material.pack)
    return MaterialNeed(
        material,
        tuple(found),
        together=together,
        on_hand=holding.whole,
        on_order=on_order,
        to_buy=to_buy,
        packs=packs,
        pooled=-(-(sum(alone) - holding.whole - on_order) // material.pack) > packs,
    )


def _units(material: Material, parts: Sequence[Part], holding: Holding, bench: Bench) -> int:
    if material.form is Form.EACH:
        return sum(part.count for part in parts)
    return sheets_for(parts, material, holding, bench)


def _class_need(
    demand: Demand, alone: int, lacking: int, wanted: int, coming: Sequence[Coming], *, left: int = 0
) -> ClassNeed:
    """One class.

    lacking: what serving one by one leaves it short of. wanted: units beyond stock that one plan of the classes up to
    it takes: none, and it lacks nothing; no more than is on order, and it waits for that.
    left: of the orders, what earlier classes do not take; it covers a part where the whole is not covered.
    """
    lacking = lacking if wanted else 0
    covered = wanted <= sum(each.units for each in coming)
    short = 0 if covered else lacking - min(lacking, left)
    orders, ready = _first_orders(coming, wanted) if lacking > short else ((), None)
    return ClassNeed(
        demand.class_id,
        demand.need_day,
        demand.aim_day,
        pieces=sum(part.count for part in demand.parts),
        alone=alone,
        from_stock=alone - lacking,
        from_orders=lacking - short,
        short=short,
        orders=orders,
        ready_on=None if short else ready,
    )


def _first_orders(coming: Sequence[Coming], units: int) -> tuple[tuple[int, ...], dt.date | None]:
    """The orders that the first so many units come with, and the day on which the last of them comes."""
    orders: list[int] = []
    ready: dt.date | None = None
    for each in coming:
        if units > 0:
            orders.append(each.order_id)
            ready = each.arrives
            units -= each.units
    return tuple(orders), ready


# --- reels and rolls ----------------------------------------------------------------------------------------------


def _off_lengths(
    material: Material, demands: list[Demand], holding: Holding, coming: Sequence[Coming], bench: Bench
) -> MaterialNeed:
    """Reels and rolls: whole pieces off the begun ones in turn; new ones as one plan over all classes wants them.

    A class whose pieces one plan of all still cuts from what is on hand lacks nothing, even where serving the classes
    one after the other would leave it short.
    """
    on_order = sum(each.units for each in coming)
    lengths, whole = holding.lengths, holding.whole
    parts: tuple[Part, ...] = ()
    found: list[ClassNeed] = []
    one_by_one = 0
    for demand in demands:
        parts += demand.parts
        answer = lengths_answer(demand.parts, material, lengths, whole, bench)
        one_by_one += _opened(answer)
        lacking, lengths, whole = _taken(answer, lengths, whole, material)
        wanted = 0
        if lacking:
            wanted = _opened(lengths_answer(parts, material, holding.lengths, holding.whole, bench))
        found.append(_class_need(demand, _amount(answer), lacking, wanted, coming))
    to_open = _opened(lengths_answer(parts, material, holding.lengths, holding.whole, bench)) if parts else 0
    to_buy = max(0, to_open - on_order)
    packs = -(-to_buy // material.pack)
    return MaterialNeed(
        material,
        tuple(sorted(found, key=lambda need: (need.need_day, need.class_id))),
        together=to_open,
        on_hand=len(holding.lengths) + holding.whole,
        on_order=on_order,
        to_buy=to_buy,
        packs=packs,
        pooled=not packs and one_by_one > 0,
    )


def _opened(answer: ReelPlan | RollPlan) -> int:
    return (answer.lengths if isinstance(answer, RollPlan) else answer).to_buy


def _amount(answer: ReelPlan | RollPlan) -> int:
    """Pieces off reels; counts of length off a roll."""
    if isinstance(answer, RollPlan):
        return answer.length_units
    return sum(cut.reels * sum(number for _, number in cut.cuts) for cut in answer.cuts)


def _taken(
    answer: ReelPlan | RollPlan, lengths: tuple[int, ...], whole: int, material: Material
) -> tuple[int, tuple[int, ...], int]:
    """What cannot come off the lengths on hand, and the lengths that are left of them."""
    plan = answer.lengths if isinstance(answer, RollPlan) else answer
    usable = material.along.counts - material.leader.counts
    left = [*lengths, *((usable,) * whole)]
    lacking = 0
    for cut in plan.cuts:
        if cut.reel is not None:
            left[cut.reel] = cut.left_units
        elif isinstance(answer, RollPlan):
            lacking += cut.reels * sum(number * int(name.split()[1]) for name, number in cut.cuts)
        else:
            lacking += cut.reels * sum(number for _, number in cut.cuts)
    still_whole = sum(1 for length in left if length == usable and whole)
    begun = tuple(length for length in left if length and not (length == usable and whole))
    return min(lacking, _amount(answer)), begun, still_whole

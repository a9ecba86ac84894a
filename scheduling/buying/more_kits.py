"""How many late sign-ups the stock still allows beyond all that is needed, and what keeps it from one more."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from scheduling.buying.cut_lists import Part, lengths_answer, sheets_for
from scheduling.cutting.lines import RollPlan
from scheduling.errors import SchedulingError
from scheduling.model.materials import Bench, BillLine, Form, Holding, LinePer, Material

MOST = 999
"""No more are looked for; a studio's shelf holds less."""
_MOST_PACKS = 200
_EASIEST = (Form.EACH, Form.REEL, Form.ROLL, Form.SHEET)


@dataclass(frozen=True, slots=True)
class Shelf:
    """What there is, and what is asked of it already.

    needed: by material, the parts that classes still want; on_order: by material, units on their way.
    """

    materials: Mapping[int, Material]
    needed: Mapping[int, Sequence[Part]]
    holdings: Mapping[int, Holding]
    bench: Bench
    on_order: Mapping[int, int]

    def is_enough(self, material_id: int, more: Sequence[Part], *, beside: int = 0) -> bool:
        """Whether `more` parts come out of a material, with so many units beside what is on hand."""
        wanted = tuple(part for part in (*self.needed.get(material_id, ()), *more) if part.count)
        holding = self.holdings.get(material_id, Holding())
        holding = replace(holding, whole=holding.whole + beside)
        material = self.materials[material_id]
        if material.form is Form.EACH:
            return sum(part.count for part in wanted) <= holding.whole
        try:
            if material.form is Form.SHEET:
                return sheets_for(wanted, material, holding, self.bench) <= holding.whole
            answer = lengths_answer(wanted, material, holding.lengths, holding.whole, self.bench)
        except SchedulingError:  # a part that no stock fits: not one more kit
            return False
        return not (answer.lengths if isinstance(answer, RollPlan) else answer).to_buy


@dataclass(frozen=True, slots=True)
class Limit:
    """A material that is not enough for one more.

    packs: whole packs that would be, beside what is on order; 0 where what is on order is enough by itself; None where
    no number of packs is, as for a part that fits on none of it.
    """

    material_id: int
    packs: int | None


@dataclass(frozen=True, slots=True)
class LateSignUps:
    """heads: so many more could get a kit; limits: every material that one more would lack, by number."""

    heads: int
    limits: tuple[Limit, ...]


def late_sign_ups(bill: Sequence[BillLine], shelf: Shelf, *, spares: int = 0, mailed: bool = False) -> LateSignUps:
    """How many more heads of a class could get a kit from what is on hand beside all that is needed.

    bill: as it stands, without options. spares: kits made anyway; a head beyond them takes a whole new one. mailed:
    the kit of each is posted, too. All lines of a material share its stock; sheets are counted from one plan, reels and
    rolls by whole pieces. Orders on their way are not counted on.
    """
    lines: dict[int, list[BillLine]] = defaultdict(list)
    for line in bill:
        if line.per in (LinePer.KIT, LinePer.HEAD) or (mailed and line.per is LinePer.MAILED_HEAD):
            lines[line.material_id].append(line)

    def parts(number: int, heads: int) -> list[Part]:
        kits = max(0, heads - spares)
        return [Part.of(line, line.quantity * (kits if line.per is LinePer.KIT else heads)) for line in lines[number]]

    def serves(number: int, heads: int, beside: int = 0) -> bool:
        """Nothing more asked of a material is never too much, though the classes lack it."""
        more = [part for part in parts(number, heads) if part.count]
        return not more or shelf.is_enough(number, more, beside=beside)

    most = MOST
    for number in sorted(lines, key=lambda each: (_EASIEST.index(shelf.materials[each].form), each)):
        if not serves(number, most):
            most = _least(lambda heads, number=number: not serves(number, heads), most) - 1  # type: ignore[misc]
    limits = []
    for number in sorted(lines):
        if most < MOST and not serves(number, most + 1):
            pack, ordered = shelf.materials[number].pack, shelf.on_order.get(number, 0)
            limits.append(Limit(number, _packs(partial(serves, number, most + 1), pack, ordered)))
    return LateSignUps(most, tuple(limits))


def _packs(serves: Callable[[int], bool], pack: int, ordered: int) -> int | None:
    """The fewest whole packs beside what is on order with which it serves, None where none do."""
    if serves(ordered):
        return 0
    if not serves(ordered + _MOST_PACKS * pack):
        return None
    return _least(lambda packs: serves(ordered + packs * pack), _MOST_PACKS)


def _least(holds: Callable[[int], bool], top: int) -> int:
    """The least number above nought for which it holds; it holds for `top` and for all from the first on."""
    below, above = 0, 1
    while above < top and not holds(above):
        below, above = above, above * 2
    above = min(above, top)
    while above - below > 1:
        middle = (below + above) // 2
        below, above = (below, middle) if holds(middle) else (middle, above)
    return above

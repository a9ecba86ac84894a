"""How many more kits of one class the stock allows beyond all that is needed already."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from scheduling.buying.cut_lists import Part, lengths_answer, sheets_for
from scheduling.cutting.lines import RollPlan
from scheduling.errors import SchedulingError
from scheduling.model.materials import Bench, BillLine, Form, Holding, LinePer, Material

MOST = 999
"""No more are looked for; a studio's shelf holds less."""
_EASIEST = (Form.EACH, Form.REEL, Form.ROLL, Form.SHEET)


def more_kits(
    bill: Sequence[BillLine],
    materials: Mapping[int, Material],
    needed: Mapping[int, Sequence[Part]],
    holdings: Mapping[int, Holding],
    bench: Bench,
) -> int:
    """Whole kits by the bill, without options, that come out of what is on hand beside all that is needed.

    needed: by material, the parts that classes still want. All lines of a material share its stock; sheets are counted
    from one plan, reels and rolls by whole pieces. Orders on their way are not counted on.
    """
    lines: dict[int, list[BillLine]] = defaultdict(list)
    for line in bill:
        if line.per is LinePer.KIT:
            lines[line.material_id].append(line)
    least: int | None = None
    for number in sorted(lines, key=lambda each: (_EASIEST.index(materials[each].form), each)):
        least = _most(
            lines[number], materials[number], needed.get(number, ()), holdings.get(number, Holding()), bench, least
        )
        if not least:
            return 0
    return least or 0


def _most(
    lines: Sequence[BillLine],
    material: Material,
    needed: Sequence[Part],
    holding: Holding,
    bench: Bench,
    at_most: int | None,
) -> int:
    """The most kits up to `at_most` that one material allows."""

    def enough(kits: int) -> bool:
        more = tuple(Part.of(line, line.quantity * kits) for line in lines)
        return _is_enough((*(part for part in needed if part.count), *more), material, holding, bench)

    most = MOST if at_most is None else at_most
    if at_most is not None and enough(at_most):
        return at_most
    fits, short = 0, 1
    while short <= most and enough(short):
        fits, short = short, short * 2
    short = min(short, most + 1)
    while short - fits > 1:
        middle = (fits + short) // 2
        fits, short = (middle, short) if enough(middle) else (fits, middle)
    return fits


def _is_enough(parts: tuple[Part, ...], material: Material, holding: Holding, bench: Bench) -> bool:
    if material.form is Form.EACH:
        return sum(part.count for part in parts) <= holding.whole
    try:
        if material.form is Form.SHEET:
            return sheets_for(parts, material, holding, bench) <= holding.whole
        answer = lengths_answer(parts, material, holding.lengths, holding.whole, bench)
    except SchedulingError:  # a part that no stock fits: not one more kit
        return False
    return not (answer.lengths if isinstance(answer, RollPlan) else answer).to_buy

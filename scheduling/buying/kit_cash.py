"""The cash that the packs for one class take if they are bought for it alone, and what of them it leaves in stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scheduling.buying.cut_lists import Part, lengths_answer, sheets_for
from scheduling.cutting.lines import RollPlan
from scheduling.model.materials import Bench, Form, Holding, Material


@dataclass(frozen=True, slots=True)
class PackLine:
    """One material. units: sheets, things, whole reels or rolls that the class takes by itself; cost: of the packs.

    left: minor units, exact, of the units that the packs hold beyond those; what is left on a begun one is not counted.
    """

    material: Material
    units: int
    packs: int
    cost: int
    left: Fraction


def packs_alone(
    parts: Mapping[int, Sequence[Part]], materials: Mapping[int, Material], bench: Bench
) -> tuple[PackLine, ...]:
    """By the materials' numbers, the packs for these parts with nothing in stock, at the prices of now.

    Raises InvalidError: a part fits on none of its material.
    Source: job.md 3, "Packs": both costs, the used share and the cash out.
    """
    lines = []
    for number in sorted(parts):
        wanted = tuple(part for part in parts[number] if part.count)
        if not wanted:
            continue
        material = materials[number]
        units = _units(wanted, material, bench)
        packs = -(-units // material.pack)
        left = Fraction((packs * material.pack - units) * material.price, material.pack)
        lines.append(PackLine(material, units, packs, packs * material.price, left))
    return tuple(lines)


def _units(parts: tuple[Part, ...], material: Material, bench: Bench) -> int:
    if material.form is Form.EACH:
        return sum(part.count for part in parts)
    if material.form is Form.SHEET:
        return sheets_for(parts, material, Holding(), bench)
    answer = lengths_answer(parts, material, (), 0, bench)
    return (answer.lengths if isinstance(answer, RollPlan) else answer).to_buy

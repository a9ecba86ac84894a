"""What a kit costs by the bill of its project, and the minutes that it takes."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduling.errors import InvalidError, NotFoundError
from scheduling.model.prep import Effort, Per
from scheduling.model.refs import ref
from scheduling.store.booking_money import currency_of
from scheduling.store.class_facts import recipe_lines
from scheduling.store.kit_needs import kit_classes
from scheduling.store.kit_rows import bench_of, bills, materials
from scheduling.store.rows import Reader

if TYPE_CHECKING:
    from scheduling.buying.kit_cash import PackLine
    from scheduling.buying.kit_cost import KitCost

_KIT_LINES = ("cut", "pre_work", "sort", "bag", "check")


@dataclass(frozen=True, slots=True)
class CostOfKit:
    """The cost of one kit of a project in its newest version; None where it has no bill. Raises NotFoundError."""

    project_id: int

    def fetch(self, reader: Reader) -> KitCost | None:
        version_id = reader.value(
            "SELECT id FROM project_version WHERE project_id = ? ORDER BY number DESC LIMIT 1", (self.project_id,)
        )
        if version_id is None:
            raise NotFoundError(
                f"There is no project {ref('project', self.project_id)}.", hint="Look it up.", field="project_id"
            )
        return cost_of_version(reader, int(version_id))


@dataclass(frozen=True, slots=True)
class CostOfClassKit:
    """The cost of one kit of a class date, by the version that it keeps; None where that has no bill."""

    class_date_id: int

    def fetch(self, reader: Reader) -> KitCost | None:
        row = reader.row("class_date", self.class_date_id)
        if row is None:
            raise NotFoundError(
                f"There is no class date {ref('class_date', self.class_date_id)}.", hint="Look it up.", field="class"
            )
        return cost_of_version(reader, int(row["project_version_id"] or 0))


def kit_by_bill(reader: Reader, class_date_id: int) -> int | None:
    """Minor units of a kit of a class by its bill; None without one, or where a piece fits on no sheet."""
    try:
        cost = CostOfClassKit(class_date_id).fetch(reader)
    except InvalidError:  # the needs and the cut plan say so, with the mend
        return None
    return None if cost is None else cost.total


@dataclass(frozen=True, slots=True)
class KitCash:
    """packs: by material; total: minor units of them all; left: of it what stays in stock unused, half up."""

    packs: tuple[PackLine, ...]
    total: int
    left: int


@dataclass(frozen=True, slots=True)
class CashOfClassKits:
    """What all kits of a class take in whole packs, bought for it alone with nothing in stock, at today's prices.

    None where it has no bill. Raises InvalidError where a part fits on none of its material.
    """

    class_date_id: int

    def fetch(self, reader: Reader) -> KitCash | None:
        from scheduling.buying.cut_lists import Part  # as above
        from scheduling.buying.kit_cash import packs_alone

        kit_class = kit_classes(reader, only=self.class_date_id).get(self.class_date_id)
        if kit_class is None:
            return None
        parts: dict[int, list[Part]] = defaultdict(list)
        for part in kit_class.parts:
            parts[part.material_id].append(Part.of(part.line, part.wanted))
        today, currency = reader.today(), currency_of(reader)
        known = {number: replace(one, price=one.price_on(today)) for number, one in materials(reader).items()}
        lines = packs_alone(parts, known, bench_of(reader))
        left = sum((line.left for line in lines), Fraction(0)) / 10**currency.places
        return KitCash(lines, sum(line.cost for line in lines), currency.to_minor(currency.half_up(left)))


def cost_of_version(reader: Reader, version_id: int) -> KitCost | None:
    """The cost of one kit of a project version by its bill; None where it has none."""
    bill = bills(reader).get(version_id)
    if bill is None:
        return None
    from scheduling.buying.kit_cost import kit_cost  # the cut planner is not loaded for a studio without bills

    studio = reader.first("SELECT waste_percent, hourly_rate_minor FROM studio")
    pieces = int(reader.value("SELECT pieces FROM project_version WHERE id = ?", (version_id,)))
    return kit_cost(
        bill,
        materials(reader),
        currency_of(reader),
        waste_percent=0 if studio is None else studio["waste_percent"],
        minutes=_minutes(reader, pieces),
        hourly_rate=0 if studio is None else studio["hourly_rate_minor"],
    )


def _minutes(reader: Reader, pieces: int) -> Fraction:
    """Minutes of kit work that one kit more takes, by the recipe for projects that have run before."""
    recipe_id = reader.value("SELECT id FROM recipe WHERE first_time = 0 AND retired_at IS NULL ORDER BY id LIMIT 1")
    if recipe_id is None:
        return Fraction(0)
    total = Fraction(0)
    for line in recipe_lines(reader, int(recipe_id)).values():
        if line.key in _KIT_LINES:
            effort: Effort = line.again or line.first
            for rate in effort.rates:
                times = {Per.KIT: 1, Per.PIECE: pieces}.get(rate.per, 0)
                total += Fraction(rate.minutes) * times
    return total

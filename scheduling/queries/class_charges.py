"""How one class is charged: its own terms, and the further costs that were typed for it."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.model.refunds import Tiers, tiers_of
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class OwnCost:
    """A further cost of a class; per: class or head."""

    id: int
    what: str
    per: str
    amount: int


@dataclass(frozen=True, slots=True)
class ClassChargesPage:
    """Sums in minor units; None where the class has nothing of its own (a kit's cost, the host's free place, tiers)."""

    postage: int
    deposit: int
    host_free_from: int | None
    least_heads: int
    kit_cost: int | None
    tiers: Tiers | None
    costs: tuple[OwnCost, ...]


@dataclass(frozen=True, slots=True)
class ClassCharges:
    """The charges of a class date; raises NotFoundError."""

    class_date_id: int

    def fetch(self, reader: Reader) -> ClassChargesPage:
        row = reader.first("SELECT * FROM class_date WHERE id = ?", (self.class_date_id,))
        if row is None:
            raise NotFoundError(
                f"There is no class date {ref('class_date', self.class_date_id)}.",
                hint="Look it up in the classes.",
                field="class_date_id",
            )
        return ClassChargesPage(
            postage=row["postage_minor"],
            deposit=row["deposit_minor"],
            host_free_from=row["host_free_from"],
            least_heads=row["least_heads_charged"],
            kit_cost=row["kit_cost_minor"],
            tiers=None if row["refund_tiers"] is None else tiers_of(row["refund_tiers"]),
            costs=tuple(
                OwnCost(cost["id"], cost["what"], cost["per"], cost["amount_minor"])
                for cost in reader.rows(
                    "SELECT * FROM class_cost WHERE class_date_id = ? ORDER BY id", (self.class_date_id,)
                )
            ),
        )

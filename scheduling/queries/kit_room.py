"""All that the page of a class's kits shows, asked in one go: its kit run, its cut plans, what a kit costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduling.errors import InvalidError
from scheduling.queries.cut_plans import CutPlans, MaterialCut
from scheduling.queries.cut_together import CutTogether, TogetherRow
from scheduling.queries.kit_costs import CashOfClassKits, CostOfClassKit, KitCash
from scheduling.queries.kit_runs import KitRun, KitRunPage
from scheduling.store.rows import Reader

if TYPE_CHECKING:
    from scheduling.buying.kit_cost import KitCost


@dataclass(frozen=True, slots=True)
class KitRoomPage:
    """cost, cash: of one kit by its bill and of all in whole packs, None where a piece fits on no sheet (its cut plan
    says so).

    together: other classes of the same project whose sheets are worth cutting from one plan with these; None: none.
    """

    run: KitRunPage
    cuts: tuple[MaterialCut, ...]
    cost: KitCost | None
    together: TogetherRow | None
    cash: KitCash | None = None


@dataclass(frozen=True, slots=True)
class KitRoom:
    """The kits of one class date; raises NotFoundError, or ConflictError where it has no bill."""

    class_date_id: int

    def fetch(self, reader: Reader) -> KitRoomPage:
        run = KitRun(self.class_date_id).fetch(reader)
        try:
            cost = CostOfClassKit(self.class_date_id).fetch(reader)
            cash = CashOfClassKits(self.class_date_id).fetch(reader)
        except InvalidError:
            cost, cash = None, None
        together = next((row for row in CutTogether().fetch(reader) if self.class_date_id in row.classes), None)
        return KitRoomPage(run, CutPlans((self.class_date_id,)).fetch(reader), cost, together, cash)

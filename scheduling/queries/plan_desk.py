"""Between a change and its plan: the newest plan serves until the next one is worked out beside the screen."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduling.planner.plan import Kept, Plan
    from scheduling.queries.prep_problem import PrepFacts
    from scheduling.queries.supplies import Supplies

    Wanted = tuple[PrepFacts, Supplies, dt.datetime, Kept | None]
    """What a plan is made from: the prep, what there is to make it from, the moment, the plan kept before."""


@dataclass(slots=True)
class PlanDesk:
    """Kept by an open studio.

    may_wait: True where a worker takes what waits; then a question on a changed file is answered at once, with the
        tasks as they are now at the places of the newest plan, and the new problem waits here.
    newest: the plan worked out last, of this state of the file or of an earlier one.
    waiting: what a plan is wanted for.
    """

    may_wait: bool = False
    newest: Plan | None = None
    waiting: Wanted | None = None

    def take(self) -> Wanted | None:
        """What waits; it waits no more."""
        taken, self.waiting = self.waiting, None
        return taken


def worked_out(facts: PrepFacts, supplies: Supplies, now: dt.datetime, previous: Kept | None) -> Plan:
    """The plan of the prep with its deliveries: for the worker; touches no file."""
    from scheduling.planner.build import plan
    from scheduling.queries.deliveries import with_deliveries

    return plan(with_deliveries(facts, supplies).problem, now, previous)

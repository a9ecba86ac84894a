"""Rewards of suppliers for spending within a window, and the sums that others' orders add to them."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, in_use
from scheduling.commands.request import Outcome, Request
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.store.database import Value
from scheduling.store.rows import Transaction

Sum = Annotated[int, Field(ge=0, le=10**14)]


@dataclass(frozen=True, slots=True, kw_only=True)
class RewardKept(Outcome):
    reward_id: int


class KeepReward(Request[RewardKept]):
    """Keep a supplier's reward: a new one, or the one of reward_id with these entries from now on.

    spend: one `what` for each per_minor of goods before carriage, in orders sent from first_day to last_day, until
        last_time of it in the supplier's zone. tier: what the highest band reached gives: (from, what, worth) in minor
        units. two dates: a spend reward for an event held between held_from and held_through as well.
    worth_minor: what one is worth to her, for the choice of orders.
    """

    supplier_id: int
    reward_id: int | None = None
    kind: Literal["spend", "tier", "two dates"] = "spend"
    what: Annotated[str, Field(min_length=1, max_length=120)]
    worth_minor: Sum = 0
    first_day: dt.date
    last_day: dt.date
    last_time: dt.time | None = None
    per_minor: Annotated[int, Field(ge=1, le=10**14)] | None = None
    bands: tuple[tuple[int, str, int], ...] = ()
    held_from: dt.date | None = None
    held_through: dt.date | None = None

    def run(self, tx: Transaction) -> RewardKept:
        in_use(tx, "supplier", self.supplier_id)
        if self.last_day < self.first_day:
            raise InvalidError("The window ends before it begins.", hint="Give a later last day.", field="last_day")
        if (self.kind == "tier") != bool(self.bands) or (self.kind == "tier") != (self.per_minor is None):
            raise InvalidError(
                "A spend reward has a sum that earns one, a tiered reward has bands.",
                hint="Give the one or the other.",
                field="per_minor",
            )
        if sorted({floor for floor, _, _ in self.bands}) != [floor for floor, _, _ in self.bands]:
            raise InvalidError("Bands rise from one to the next.", hint="Give the lowest first.", field="bands")
        if (self.kind == "two dates") != (self.held_from is not None and self.held_through is not None):
            raise InvalidError(
                "A two-date reward names when the event must be held.", hint="Give both days.", field="held_from"
            )
        columns: dict[str, Value] = {
            "supplier_id": self.supplier_id,
            "kind": self.kind,
            "what": self.what,
            "worth_minor": self.worth_minor,
            "first_day": self.first_day.isoformat(),
            "last_day": self.last_day.isoformat(),
            "last_time": None if self.last_time is None else f"{self.last_time:%H:%M}",
            "per_minor": self.per_minor,
            "bands": json.dumps(self.bands),
            "held_from": None if self.held_from is None else self.held_from.isoformat(),
            "held_through": None if self.held_through is None else self.held_through.isoformat(),
        }
        if self.reward_id is None:
            reward_id, done = tx.insert("reward", columns), "Added"
        else:
            found(tx, "reward", self.reward_id)
            reward_id, done = self.reward_id, "Changed"
            tx.update("reward", reward_id, columns)
        return RewardKept(
            summary=f"{done} reward {ref('reward', reward_id)} of {ref('supplier', self.supplier_id)}",
            said=f"{self.what} is kept as {ref('reward', reward_id)}.",
            reward_id=reward_id,
        )


class RetireReward(Request[RewardKept]):
    """Take a reward away, or bring it back."""

    reward_id: int
    back: bool = False

    def run(self, tx: Transaction) -> RewardKept:
        row = found(tx, "reward", self.reward_id)
        tx.update("reward", self.reward_id, {"retired_at": None if self.back else tx.now_text})
        return RewardKept(
            summary=f"{'Brought back' if self.back else 'Took away'} {ref('reward', self.reward_id)}",
            said=f"{row['what']} is {'back' if self.back else 'taken away'}.",
            reward_id=self.reward_id,
        )


class PoolSum(Request[RewardKept]):
    """Add the sum of someone else's order that goes out with hers to what earns a reward; 0 takes it away.

    who: a name that is no attendee's; person_id: an attendee. paid: their line is paid.
    """

    reward_id: int
    amount_minor: Sum
    who: Annotated[str, Field(max_length=120)] = ""
    person_id: int | None = None
    paid: bool = False

    def run(self, tx: Transaction) -> RewardKept:
        reward = found(tx, "reward", self.reward_id)
        if bool(self.who) == (self.person_id is not None):
            raise InvalidError("Whose order is it?", hint="Name an attendee, or anyone else.", field="who")
        if self.person_id is not None:
            in_use(tx, "person", self.person_id)
        there = tx.value(
            "SELECT id FROM pooled_sum WHERE reward_id = ? AND person_id IS ? AND who = ?",
            (self.reward_id, self.person_id, self.who),
        )
        if there is not None and not self.amount_minor:
            tx.delete("pooled_sum", there)
        elif self.amount_minor:
            columns: dict[str, Value] = {
                "amount_minor": self.amount_minor,
                "paid_at": tx.now_text if self.paid else None,
            }
            if there is not None:
                tx.update("pooled_sum", there, columns)
            else:
                columns |= {"reward_id": self.reward_id, "who": self.who, "person_id": self.person_id}
                tx.insert("pooled_sum", columns)
        return RewardKept(
            summary=f"Pooled a sum for {ref('reward', self.reward_id)}",
            said=f"The sum is kept for {reward['what']}.",
            reward_id=self.reward_id,
        )

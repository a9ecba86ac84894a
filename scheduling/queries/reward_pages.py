"""Suppliers' rewards whole: where each stands, whose sums count for it, and what a basket would earn."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.buying.rewards import Reward, RewardStanding, standing
from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.queries.orders import counted_for, rewards_of
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class PooledSum:
    """What someone else's order adds, in minor units; person_id None: no attendee's."""

    who: str
    person_id: int | None
    amount: int
    paid: bool


@dataclass(frozen=True, slots=True)
class RewardPage:
    """One reward. own: goods of her own orders that count; standing: of these with all pooled sums.

    is_open: an order sent now counts.
    """

    standing: RewardStanding
    supplier_id: int
    supplier: str
    own: int
    pooled: tuple[PooledSum, ...]
    is_open: bool
    retired: bool

    @property
    def reward(self) -> Reward:
        return self.standing.reward

    @property
    def id(self) -> int:
        return self.reward.id

    @property
    def ref(self) -> str:
        return ref("reward", self.id)


@dataclass(frozen=True, slots=True)
class RewardPages:
    """Every reward by number; with_retired: those taken away too."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[RewardPage, ...]:
        today = reader.today()
        named = {
            row["id"]: row
            for row in reader.rows(
                """SELECT reward.id, reward.supplier_id, reward.retired_at, supplier.name FROM reward
                   JOIN supplier ON supplier.id = reward.supplier_id"""
            )
        }
        found = []
        for reward in rewards_of(reader, with_retired=self.with_retired):
            pooled = _pooled(reader, reward.id)
            goods = counted_for(reader, reward)
            row = named[reward.id]
            found.append(
                RewardPage(
                    standing(reward, goods),
                    row["supplier_id"],
                    row["name"],
                    goods - sum(one.amount for one in pooled),
                    pooled,
                    is_open=reward.first_day <= today and reader.now < reward.closes,
                    retired=row["retired_at"] is not None,
                )
            )
        return tuple(found)


def _pooled(reader: Reader, reward_id: int) -> tuple[PooledSum, ...]:
    return tuple(
        PooledSum(row["who"] or row["name"], row["person_id"], row["amount_minor"], row["paid_at"] is not None)
        for row in reader.rows(
            """SELECT pooled_sum.*, person.name FROM pooled_sum LEFT JOIN person ON person.id = pooled_sum.person_id
               WHERE reward_id = ? ORDER BY pooled_sum.id""",
            (reward_id,),
        )
    )


@dataclass(frozen=True, slots=True)
class BasketEarns:
    """What a basket earns by itself, and together with what counts already and is pooled; sums in minor units."""

    alone: RewardStanding
    together: RewardStanding
    closes: dt.datetime


@dataclass(frozen=True, slots=True)
class WhatBasketEarns:
    """What goods of so many minor units, ordered in the reward's window, would earn; raises NotFoundError."""

    reward_id: int
    goods: int

    def fetch(self, reader: Reader) -> BasketEarns:
        reward = next((one for one in rewards_of(reader, with_retired=True) if one.id == self.reward_id), None)
        if reward is None:
            raise NotFoundError(
                f"There is no reward {ref('reward', self.reward_id)}.", hint="See: kitwright reward", field="reward"
            )
        counted = counted_for(reader, reward)
        return BasketEarns(standing(reward, self.goods), standing(reward, counted + self.goods), reward.closes)

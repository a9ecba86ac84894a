"""A kept reward as the entries of the command that keeps it: what is changed is put over them."""

from __future__ import annotations

from typing import Any

from scheduling.buying.rewards import RewardKind
from scheduling.queries.reward_pages import RewardPage


def entries_of(page: RewardPage) -> dict[str, Any]:
    """The entries of KeepReward that leave the reward as it is."""
    reward = page.reward
    return {
        "reward_id": reward.id,
        "supplier_id": page.supplier_id,
        "kind": reward.kind.value,
        "what": reward.what,
        "worth_minor": reward.worth,
        "first_day": reward.first_day,
        "last_day": reward.last_day,
        "last_time": reward.last_time,
        "per_minor": None if reward.kind is RewardKind.TIER else reward.per,
        "bands": tuple((band.floor, band.what, band.worth) for band in reward.bands),
        "held_from": reward.held_from,
        "held_through": reward.held_through,
    }

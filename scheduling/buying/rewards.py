"""Suppliers' rewards: what a sum of goods earns, and how much more earns the next."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from scheduling.model.day_calendar import after_day, at_time


class RewardKind(StrEnum):
    """One for each so much; what the band reached gives; or the first, for an event held in a window as well."""

    SPEND = "spend"
    TIER = "tier"
    TWO_DATES = "two dates"


@dataclass(frozen=True, slots=True)
class Band:
    """From `floor` minor units of goods on, `what`, worth so much to her."""

    floor: int
    what: str
    worth: int


@dataclass(frozen=True, slots=True)
class Reward:
    """One reward of a supplier.

    Orders sent from first_day to last_day count, on the last day before last_time, in the supplier's zone; sums are
    goods before tax and carriage, in minor units. per: what earns one, for spend and two-date rewards; worth: of one.
    bands: rising, for tiers. held_from, held_through: when a two-date reward's event must be held.
    """

    id: int
    kind: RewardKind
    what: str
    first_day: dt.date
    last_day: dt.date
    zone: str
    last_time: dt.time | None = None
    per: int = 0
    worth: int = 0
    bands: tuple[Band, ...] = ()
    held_from: dt.date | None = None
    held_through: dt.date | None = None

    @property
    def closes(self) -> dt.datetime:
        """The instant, in UTC, from which an order no longer counts."""
        if self.last_time is None:
            return after_day(self.last_day, self.zone)
        return at_time(self.last_day, self.last_time, self.zone)

    def counts(self, day: dt.date) -> bool:
        """True when an order of that day, sent in time, counts."""
        return self.first_day <= day <= self.last_day

    def earned(self, goods: int) -> int:
        """How many rewards so much earns; for tiers the number of the band reached."""
        if self.kind is RewardKind.TIER:
            return sum(1 for band in self.bands if goods >= band.floor)
        return goods // self.per

    def value(self, goods: int) -> int:
        """Minor units that what is earned is worth to her."""
        earned = self.earned(goods)
        if self.kind is RewardKind.TIER:
            return self.bands[earned - 1].worth if earned else 0
        return earned * self.worth

    def to_next(self, goods: int) -> int | None:
        """Minor units of goods that are missing to the next; None above the highest band.

        Source: job.md 4: rewards = floor(S / N), more to the next = N - (S mod N).
        """
        if self.kind is RewardKind.TIER:
            return next((band.floor - goods for band in self.bands if band.floor > goods), None)
        return self.per - goods % self.per


@dataclass(frozen=True, slots=True)
class RewardStanding:
    """How far a reward is: goods that count, what they earn, what is missing to the next (None: there is none)."""

    reward: Reward
    goods: int
    earned: int
    to_next: int | None


def standing(reward: Reward, goods: int) -> RewardStanding:
    """Where a sum of goods stands with a reward."""
    return RewardStanding(reward, goods, reward.earned(goods), reward.to_next(goods))


def ordinal(number: int) -> str:
    """first, second ... tenth, then 11th: for "earns the fourth"."""
    words = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
    if 1 <= number <= len(words):
        return words[number - 1]
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"

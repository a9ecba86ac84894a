"""The money of one class: costs, break-even, and what n heads leave for her work. Every figure explains itself.

Source: job.md 5; demo.md, "How the figures come" 5. Sums are minor units; rounding is half up, once per line.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from scheduling.model.prices import Figure, Line
from scheduling.money import Currency
from scheduling.words import counted, show_minutes

HireBy = Literal["none", "hour", "evening"]
MOST_HEADS = 10_000


def half_up(amount: Fraction) -> int:
    """Whole minor units, halves away from zero (decisions 10)."""
    sign = -1 if amount < 0 else 1
    return sign * ((2 * abs(amount.numerator) + amount.denominator) // (2 * amount.denominator))


@dataclass(frozen=True, slots=True)
class Hire:
    """What a venue asks: by the hour with least minutes a hire, or by the evening.

    minutes: door to door, one entry for each meeting: set-up is in the first, clear-down in the last.
    """

    by: HireBy
    rate: int
    least_minutes: int
    minutes: tuple[int, ...]

    def figure(self, currency: Currency) -> Figure:
        if self.by == "none" or not self.rate:
            return Figure(0, ())
        if self.by == "evening":
            count = len(self.minutes)
            words = "1 evening" if count == 1 else f"{count} evenings"
            return Figure.of(((f"venue, {words} at {currency.show(self.rate)}", count * self.rate),))
        charged = sum(max(minutes, self.least_minutes) for minutes in self.minutes)
        least = f", {show_minutes(self.least_minutes)} at least" if charged > sum(self.minutes) else ""
        words = f"venue, {show_minutes(charged)} at {currency.show(self.rate)} an hour{least}"
        return Figure.of(((words, half_up(Fraction(charged * self.rate, 60))),))


@dataclass(frozen=True, slots=True)
class CardCost:
    """What a card payment costs: a percentage and a flat sum."""

    percent: Decimal = Decimal(0)
    flat: int = 0

    def of(self, amount: int) -> int:
        """The cost of one payment of `amount`; nothing for none."""
        return half_up(Fraction(amount) * Fraction(self.percent) / 100 + self.flat) if amount > 0 else 0


@dataclass(frozen=True, slots=True)
class ClassCosts:
    """What a class costs.

    kit: one kit, None while it is not known (it then counts as nothing, and the figures say so).
    extra_kits: kits to build past the heads (spares and demo copies) for so many heads.
    fixed, per_head: further costs as words and sums.
    work_minutes: all her work for it: prep, travel, set-up, teaching, clear-down.
    """

    currency: Currency
    fee: int
    card: CardCost
    hire: Hire
    kit: int | None
    extra_kits: Callable[[int], int]
    fixed: tuple[Line, ...] = ()
    per_head: tuple[Line, ...] = ()
    hourly_rate: int = 0
    work_minutes: int = 0

    def fixed_costs(self, heads: int) -> Figure:
        """What it costs however many pay; spares are counted for `heads`."""
        extra = self.extra_kits(heads)
        lines = [*self.hire.figure(self.currency).lines, *self.fixed]
        if self.kit and extra:
            lines.append((f"{extra} more kits (spares, demo) at {self.currency.show(self.kit)}", extra * self.kit))
        return Figure.of(tuple(line for line in lines if line[1]))

    def net_per_head(self) -> Figure:
        """What one head at the full fee leaves after its own costs; below nothing where it loses."""
        lines: list[Line] = [("fee", self.fee), ("card cost", -self.card.of(self.fee))]
        lines += [("kit", -(self.kit or 0)), *((words, -amount) for words, amount in self.per_head)]
        return Figure.of(tuple(line for line in lines if line[1]))

    def profit(self, heads: int, fees: int | None = None, card_cost: int | None = None) -> Figure:
        """What is left with so many heads: at the full fee, or with the `fees` and card costs as they are."""
        income = heads * self.fee if fees is None else fees
        card = heads * self.card.of(self.fee) if card_cost is None else card_cost
        word = "head" if heads == 1 else "heads"
        lines: list[Line] = [(f"fees of {heads} {word}", income), ("card costs", -card)]
        lines.append((f"{counted(heads, 'kit')} at {self.currency.show(self.kit or 0)}", -heads * (self.kit or 0)))
        lines += [(f"{words}, {heads} {word}", -heads * amount) for words, amount in self.per_head]
        lines += [(words, -amount) for words, amount in self.fixed_costs(heads).lines]
        return Figure.of(tuple(line for line in lines if line[1]))

    def heads_for(self, pay: int = 0) -> int | None:
        """The fewest heads at the full fee that cover all costs and `pay`; None where no number does."""
        net = self.net_per_head().amount
        if net <= 0:
            return 0 if self.fixed_costs(0).amount + pay <= 0 else None
        heads = 0
        while heads <= MOST_HEADS:
            wanted = self.fixed_costs(heads).amount + pay
            if heads * net >= wanted:
                return heads
            # More heads mean more spares, never fewer, so no number below this one can do.
            heads = max(heads + 1, -(-wanted // net))
        return None

    @property
    def full_pay(self) -> int:
        """All her work at the hourly rate."""
        return half_up(Fraction(self.hourly_rate * self.work_minutes, 60))

    def pay_per_hour(self, profit: int) -> int | None:
        """What an hour of all the work earns; None where no work is known."""
        return half_up(Fraction(profit * 60, self.work_minutes)) if self.work_minutes else None


def heads_worth_showing(costs: ClassCosts, booked: int, minimum: int, seats: int) -> Sequence[int]:
    """The numbers of heads whose pay is worth a line: booked, minimum, break-even, full pay, full house."""
    wanted = {booked, minimum, seats}
    wanted |= {heads for heads in (costs.heads_for(), costs.heads_for(costs.full_pay)) if heads is not None}
    return sorted(heads for heads in wanted if 0 < heads <= seats)

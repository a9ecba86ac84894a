"""Where one booking stands: what it owes, what is owed to it, what is held for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from scheduling.model.bookings import TAKES_SEATS
from scheduling.model.prices import Figure, Line, PriceTerms
from scheduling.money import Currency

Method = Literal["transfer", "card", "cash", "cheque", "other"]
METHODS: tuple[Method, ...] = get_args(Method)
"""How money moves; the first stands where nothing is said."""


@dataclass(frozen=True, slots=True)
class Sums:
    """Everything that came in and went out for a booking, in minor units.

    kept: fees kept of heads given up; as_credit: promised as credit when heads were given up; waived: what of a refund
    or credit went past the terms, so that the fees kept are that much less; charged: besides the fee, such as overtime.
    """

    paid: int = 0
    used: int = 0
    carried_in: int = 0
    carried_out: int = 0
    refunded: int = 0
    credited: int = 0
    waived: int = 0
    kept: int = 0
    as_credit: int = 0
    charged: int = 0

    @property
    def held(self) -> int:
        """Received less given back or carried on."""
        return self.paid + self.used + self.carried_in - self.carried_out - self.refunded - self.credited


@dataclass(frozen=True, slots=True)
class Balance:
    """price: of the heads it has now; due: price, charges and fees kept; to_pay, to_give_back, to_credit: one side."""

    price: Figure
    sums: Sums

    @property
    def due(self) -> int:
        return max(0, self.price.amount + self.sums.charged + self.sums.kept - self.sums.waived)

    @property
    def to_pay(self) -> int:
        return max(0, self.due - self.sums.held)

    @property
    def over(self) -> int:
        """Held past what is due: goes back, in money or as credit."""
        return max(0, self.sums.held - self.due)

    @property
    def to_credit(self) -> int:
        return min(self.over, max(0, self.sums.as_credit - self.sums.credited))

    @property
    def to_give_back(self) -> int:
        return self.over - self.to_credit

    def lines(self) -> tuple[Line, ...]:
        """The sum from price to balance; positive is still to pay, negative is to be given back."""
        sums = self.sums
        later: tuple[Line, ...] = (
            ("charged besides the fee", sums.charged),
            ("fees kept of heads given up", sums.kept),
            ("given past the terms", -sums.waived),
            ("paid", -sums.paid),
            ("paid with credit", -sums.used),
            ("carried here from another booking", -sums.carried_in),
            ("carried on to another booking", sums.carried_out),
            ("given back", sums.refunded),
            ("given as credit", sums.credited),
        )
        return self.price.lines + tuple(line for line in later if line[1])


def balance(state: str, heads: int, terms: PriceTerms, sums: Sums, currency: Currency, *, called_off: bool) -> Balance:
    """The balance of a booking; waiting, asking, given up or called off it costs nothing."""
    costs = state in TAKES_SEATS and state != "offered" and not called_off
    return Balance(terms.price(heads if costs else 0, currency), sums)

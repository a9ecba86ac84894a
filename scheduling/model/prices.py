"""What a booking costs for its heads, by the terms that were kept with it when it was made (decisions 4)."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.money import Currency
from scheduling.words import counted

Line = tuple[str, int]
"""Words and minor units: one line of the sum behind a figure."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A sum and how it comes: the lines add up to it, in minor units."""

    amount: int
    lines: tuple[Line, ...]

    @classmethod
    def of(cls, lines: tuple[Line, ...]) -> Figure:
        return cls(sum(amount for _, amount in lines), lines)


@dataclass(frozen=True, slots=True)
class PriceTerms:
    """The price as booked, in minor units.

    fee: for one head; off_each: taken off each head (early bird); off_once: taken off the booking (bundle).
    host_free_from: with so many other heads the host's own place is free; None: it never is.
    least_heads: a party pays for so many heads at least.
    """

    fee: int
    off_each: int = 0
    off_once: int = 0
    host_free_from: int | None = None
    least_heads: int = 0

    def heads_charged(self, heads: int) -> int:
        """The heads that pay; the least heads of a party count the host's free place as it would be given."""
        if heads <= 0:
            return 0
        counted = max(heads, self.least_heads)
        return counted - 1 if self.host_free_from is not None and counted - 1 >= self.host_free_from else counted

    def price(self, heads: int, currency: Currency) -> Figure:
        """What so many heads cost; nothing for none, and never less than nothing."""
        if heads <= 0:
            return Figure(0, ())
        charged = self.heads_charged(heads)
        lines = [(f"{charged} x {currency.show(self.fee)} fee", charged * self.fee)]
        if self.off_each:
            lines.append((f"{charged} x {currency.show(self.off_each)} off, as booked", -charged * self.off_each))
        once = min(self.off_once, charged * (self.fee - self.off_each))
        if once:
            lines.append(("off the booking, as booked", -once))
        if charged < heads:
            lines.append(("the host's place is free", 0))
        if charged > heads or (charged == heads and max(heads, self.least_heads) > heads):
            lines.append((f"{heads} come; at least {counted(self.least_heads, 'head is', 'heads are')} charged", 0))
        return Figure.of(tuple(lines))

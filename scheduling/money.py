"""Exact money: minor units in the store, Decimal in code, one rounding rule, parts that add up (decisions 10)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext
from fractions import Fraction

from scheduling.errors import InvalidError

# Wider than any sum a studio can hold, so that no step rounds before the one that is meant to.
_EXACT = Context(prec=200, rounding=ROUND_HALF_UP)
MOST_WHOLE = 10**12


@dataclass(frozen=True, slots=True)
class Currency:
    """The studio's one currency.

    code: three capital letters as in ISO 4217, shown as they are.
    places: digits after the point: 0, 2 or 3.
    """

    code: str
    places: int = 2

    def __post_init__(self) -> None:
        if not re.fullmatch("[A-Z]{3}", self.code):
            raise InvalidError(
                f"{self.code!r} is not a currency code.",
                hint="Use three capital letters such as EUR.",
                field="currency",
            )
        if isinstance(self.places, bool) or self.places not in (0, 2, 3):
            raise InvalidError("A currency has 0, 2 or 3 places.", hint="Use 0, 2 or 3.", field="currency_places")

    @property
    def step(self) -> Decimal:
        """The smallest sum that can be paid, in whole units: 0.01 for two places."""
        return Decimal((0, (1,), -self.places))

    def from_minor(self, minor: int) -> Decimal:
        """The sum in whole units, with exactly `places` digits after the point."""
        _refuse_float(minor)
        return Decimal(minor).scaleb(-self.places, _EXACT)

    def to_minor(self, amount: Decimal) -> int:
        """The sum in minor units; raises InvalidError when it does not fit the places or is past 10**12 units."""
        rounded = self.half_up(amount)
        if rounded != amount:
            raise InvalidError(
                f"{amount} has more than {self.places} places, and {self.code} has {self.places}.",
                hint=f"Use {self.from_minor(int(rounded.scaleb(self.places, _EXACT))):,f}.",
                field="amount",
            )
        return int(rounded.scaleb(self.places, _EXACT))

    def half_up(self, amount: Decimal | Fraction) -> Decimal:
        """Rounded to the places, halves away from zero, so that a refund rounds as its charge did.

        This is the only rounding of money; it is applied once, to a line that is shown (decisions 10).
        amount: whole units; a Fraction keeps divisions exact up to here.
        """
        if isinstance(amount, Fraction):
            scaled = abs(amount) * 10**self.places
            minor = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
            return self.from_minor(minor if amount >= 0 else -minor)
        _check_amount(amount)
        if amount.copy_abs() > MOST_WHOLE:
            raise InvalidError(f"{amount} is too large a sum.", hint="Check the digits.", field="amount")
        rounded = amount.quantize(self.step, ROUND_HALF_UP, _EXACT)
        return rounded or rounded.copy_abs()

    def show(self, amount: int | Decimal) -> str:
        """Plain text such as 1,234.50, without the code.

        amount: an int is minor units, a Decimal whole units; a Decimal that does not fit is refused, not rounded.
        """
        _refuse_float(amount)
        minor = self.to_minor(amount) if isinstance(amount, Decimal) else amount
        return f"{self.from_minor(minor):,f}"


def split(total_minor: int, weights: Sequence[int | Decimal | Fraction]) -> list[int]:
    """Share a sum by weight so that the parts add up to it: largest remainder, ties to the earlier place.

    total_minor: minor units; a negative sum is shared as the positive one is, with the sign turned.
    weights: not negative; one part comes back for each, in the same order.
    Raises InvalidError when there is something to share and nobody with a weight.
    """
    _refuse_float(total_minor, *weights)
    if total_minor < 0:
        return [-part for part in split(-total_minor, weights)]
    exact = [Fraction(weight) for weight in weights]
    if any(weight < 0 for weight in exact):
        raise InvalidError("A share cannot be negative.", hint="Use 0 or more.", field="weights")
    whole = sum(exact, Fraction(0))
    if not whole:
        if total_minor:
            raise InvalidError(
                "There is nothing to share the sum over.", hint="Give one share or more.", field="weights"
            )
        return [0] * len(exact)
    ideal = [total_minor * weight / whole for weight in exact]
    parts = [share.numerator // share.denominator for share in ideal]
    left = total_minor - sum(parts)
    by_remainder = sorted(range(len(parts)), key=lambda place: (parts[place] - ideal[place], place))
    for place in by_remainder[:left]:
        parts[place] += 1
    return parts


def percent_of(amount: Decimal, percent: Decimal | int) -> Decimal:
    """`percent` of `amount`, exact and not rounded: the caller rounds once, with Currency.half_up."""
    _check_amount(amount)
    _refuse_float(percent)
    share = Decimal(percent) if isinstance(percent, int) else percent
    _check_amount(share)
    with localcontext(_EXACT):
        return amount * share / 100


def _refuse_float(*values: object) -> None:
    """A float has already lost what was meant; there is no way to mend it here."""
    for value in values:
        if isinstance(value, bool | float) or not isinstance(value, int | Decimal | Fraction):
            raise InvalidError(
                f"{value!r} is not an exact number.", hint="Use whole or decimal digits.", field="amount"
            )
        if isinstance(value, Decimal) and not value.is_finite():
            raise InvalidError(f"{value} is not a sum.", hint="Use digits.", field="amount")


def _check_amount(amount: Decimal) -> None:
    _refuse_float(amount)
    if not isinstance(amount, Decimal):
        raise InvalidError(f"{amount!r} is not a sum in whole units.", hint="Use a decimal number.", field="amount")

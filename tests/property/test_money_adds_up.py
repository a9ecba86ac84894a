"""Money never appears or vanishes, whatever the sums and shares."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from scheduling.money import Currency, split

CURRENCIES = st.sampled_from([Currency("JPY", 0), Currency("USD", 2), Currency("KWD", 3)])
SUMS = st.integers(-(10**11), 10**11)
WEIGHTS = st.lists(
    st.one_of(st.integers(0, 1000), st.decimals(0, 1000, places=2), st.fractions(0, 1000)), min_size=1, max_size=12
).filter(any)


@given(CURRENCIES, SUMS)
def test_minor_units_survive_the_way_out_and_back(currency: Currency, minor: int) -> None:
    assert currency.to_minor(currency.from_minor(minor)) == minor
    assert currency.to_minor(Decimal(currency.show(minor).replace(",", ""))) == minor


@given(SUMS, WEIGHTS)
def test_shares_add_up_and_lie_within_one_of_the_exact_share(
    total: int, weights: list[int | Decimal | Fraction]
) -> None:
    parts = split(total, weights)
    assert sum(parts) == total
    whole = sum((Fraction(weight) for weight in weights), Fraction(0))
    assert all(abs(part - total * Fraction(weight) / whole) < 1 for part, weight in zip(parts, weights, strict=True))
    assert all(part == 0 for part, weight in zip(parts, weights, strict=True) if weight == 0)


@given(CURRENCIES, st.fractions(-(10**9), 10**9))
def test_rounding_is_never_more_than_half_a_step_off_and_turns_with_the_sign(
    currency: Currency, amount: Fraction
) -> None:
    rounded = currency.half_up(amount)
    assert abs(Fraction(rounded) - amount) <= Fraction(currency.step) / 2
    assert currency.half_up(-amount) == -rounded

"""Exact money: what fits, the one rounding rule, parts that add up."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from scheduling.errors import InvalidError
from scheduling.money import Currency, percent_of, split

TWO = Currency("USD")
NONE = Currency("JPY", 0)
THREE = Currency("KWD", 3)


@pytest.mark.parametrize(
    ("currency", "amount", "minor"),
    [(TWO, "58", 5800), (TWO, "-0.05", -5), (TWO, "1.50", 150), (NONE, "1200", 1200), (THREE, "1.234", 1234)],
)
def test_a_sum_goes_to_minor_units_and_back(currency: Currency, amount: str, minor: int) -> None:
    assert currency.to_minor(Decimal(amount)) == minor
    assert currency.from_minor(minor) == Decimal(amount)


def test_a_sum_comes_back_with_all_its_places() -> None:
    assert str(TWO.from_minor(5800)) == "58.00"
    assert str(THREE.from_minor(5)) == "0.005"
    assert str(NONE.from_minor(5)) == "5"


def test_a_sum_with_too_many_places_is_refused_with_the_mend() -> None:
    with pytest.raises(InvalidError) as refusal:
        TWO.to_minor(Decimal("1.005"))
    assert refusal.value.field == "amount"
    assert "1.01" in refusal.value.hint


@pytest.mark.parametrize("amount", ["1E-9999999", "0." + "0" * 300 + "1"])
def test_a_sum_too_small_to_pay_is_refused_not_lost(amount: str) -> None:
    with pytest.raises(InvalidError):
        TWO.to_minor(Decimal(amount))


@pytest.mark.parametrize("amount", ["NaN", "Infinity", "-Infinity", "1E+40", "1E+9999999", "sNaN"])
def test_what_is_no_sum_is_refused(amount: str) -> None:
    for door in (TWO.to_minor, TWO.half_up, TWO.show):
        with pytest.raises(InvalidError):
            door(Decimal(amount))


@pytest.mark.parametrize("wrong", [1.5, float("nan"), True, "1.50", None])
def test_a_float_or_a_text_is_refused_at_every_door(wrong: Any) -> None:
    for door in (TWO.to_minor, TWO.from_minor, TWO.half_up, TWO.show, lambda value: percent_of(Decimal(1), value)):
        with pytest.raises(InvalidError):
            door(wrong)
    with pytest.raises(InvalidError):
        split(wrong, [1])
    with pytest.raises(InvalidError):
        split(100, [wrong])


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [
        ("0.005", "0.01"),
        ("0.0049999", "0.00"),
        ("-0.005", "-0.01"),
        ("2.675", "2.68"),
        ("1", "1.00"),
        ("-0.001", "0.00"),
    ],
)
def test_halves_are_rounded_away_from_zero(amount: str, rounded: str) -> None:
    assert str(TWO.half_up(Decimal(amount))) == rounded
    assert str(TWO.half_up(Fraction(amount))) == rounded


def test_a_fraction_is_rounded_from_its_exact_value() -> None:
    just_under = Fraction(1, 200) - Fraction(1, 10**60)
    assert TWO.half_up(just_under) == Decimal("0.00")
    assert TWO.half_up(Fraction(200, 3)) == Decimal("66.67")


@pytest.mark.parametrize(
    ("currency", "amount", "text"),
    [
        (TWO, 123450, "1,234.50"),
        (TWO, Decimal("1234.5"), "1,234.50"),
        (TWO, -5, "-0.05"),
        (TWO, 0, "0.00"),
        (NONE, 1234567, "1,234,567"),
        (THREE, 1234, "1.234"),
    ],
)
def test_a_sum_is_shown_as_plain_text(currency: Currency, amount: int | Decimal, text: str) -> None:
    assert currency.show(amount) == text


def test_a_sum_that_does_not_fit_is_not_rounded_in_showing() -> None:
    with pytest.raises(InvalidError):
        TWO.show(Decimal("1.234"))


@pytest.mark.parametrize(("code", "places"), [("usd", 2), ("US", 2), ("", 2), ("USD", 1), ("USD", 4), ("USD", -2)])
def test_a_currency_that_cannot_be_is_refused(code: str, places: int) -> None:
    with pytest.raises(InvalidError):
        Currency(code, places)


def test_shares_add_up_and_ties_go_to_the_earlier() -> None:
    assert split(100, [1, 1, 1]) == [34, 33, 33]
    assert split(-100, [1, 1, 1]) == [-34, -33, -33]
    assert split(101, [1, 1, 1]) == [34, 34, 33]
    assert split(5, [0, 2, 0]) == [0, 5, 0]
    assert split(1200, [Decimal("0.5"), Fraction(1, 4), 1]) == [343, 171, 686]


def test_the_largest_remainder_gets_the_odd_penny() -> None:
    assert split(10, [1, 2, 4]) == [1, 3, 6]


def test_a_sum_without_anyone_to_share_it_is_refused() -> None:
    assert split(0, []) == []
    assert split(0, [0, 0]) == [0, 0]
    for weights in ([], [0, 0], [1, -1, 5]):
        with pytest.raises(InvalidError):
            split(5, weights)


def test_a_percentage_is_exact_until_it_is_rounded_once() -> None:
    assert percent_of(Decimal("58.00"), 15) == Decimal("8.70")
    assert percent_of(Decimal("72.00"), Decimal("2.9")) == Decimal("2.088")
    assert TWO.half_up(Decimal("58.00") - percent_of(Decimal("58.00"), 15)) == Decimal("49.30")

"""Sums and counts as she types them: never a guess between point and comma."""

from __future__ import annotations

import pytest

from scheduling.amounts import read_count, read_money
from scheduling.errors import InvalidError
from scheduling.money import Currency

TWO = Currency("USD")
NONE = Currency("JPY", 0)
THREE = Currency("KWD", 3)


@pytest.mark.parametrize(
    ("text", "minor"),
    [
        *(("58", 5800), ("58.00", 5800), ("58.0", 5800), ("58,5", 5850), ("45,50", 4550), ("0.05", 5), ("0", 0)),
        *(("1234.5", 123450), ("1,234.50", 123450), ("1.234,50", 123450), ("1 234,50", 123450), ("1'234.50", 123450)),
        *(("1,234", 123400), ("1,234,567", 123456700), ("1.234.567", 123456700), ("1.234.567,8", 123456780)),
        *(("58.00 USD", 5800), ("usd 58", 5800), ("58usd", 5800), ("５８．５０", 5850), ("1\u00a0234,50", 123450)),
    ],
)
def test_a_sum_is_read_from_every_usual_form(text: str, minor: int) -> None:
    understood = read_money(text, TWO)
    assert understood.value == minor
    assert understood.shown == f"{TWO.show(minor)} USD"


def test_currencies_of_other_places_read_their_own_sums() -> None:
    assert read_money("1,234", NONE).value == 1234
    assert read_money("1.234.567", NONE).value == 1_234_567
    assert read_money("1.234", THREE).value == 1234
    assert read_money("1,234.567", THREE).value == 1_234_567
    assert read_money("1234,567", THREE).value == 1_234_567


@pytest.mark.parametrize(
    ("text", "currency"), [("1.234", TWO), ("1.234", NONE), ("12.500", TWO), ("1,234", THREE), ("999,000", THREE)]
)
def test_a_sign_that_may_part_thousands_or_a_fraction_is_refused_with_both(text: str, currency: Currency) -> None:
    with pytest.raises(InvalidError, match="may be") as refusal:
        read_money(text, currency)
    assert "Write" in refusal.value.hint


@pytest.mark.parametrize(
    ("text", "currency", "mend"),
    [("1.005", TWO, None), ("0.005", TWO, "0.01"), ("45,50", NONE, "46"), ("1,234.5678", THREE, "1,234.568")],
)
def test_too_many_places_are_refused_with_the_mend(text: str, currency: Currency, mend: str | None) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_money(text, currency, field="fee")
    assert refusal.value.field == "fee"
    assert mend is None or f"Write {mend} if" in refusal.value.hint


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            " ",
            "free",
            "-5",
            "5-",
            "$5",
            "58 EUR",
            "eur 58",
            "5.",
            ".5",
            "1,23,456",
            "1,234,56",
            "1.234.56",
            "1,234.567,8",
        ),
        *("1 2", "12 34", "5e3", "nan", "1" * 13, "9" * 5000, "5²", "1,234 567", "USD"),
    ],
)
def test_what_is_no_sum_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_money(text, TWO)
    assert refusal.value.hint
    assert refusal.value.field == "amount"


def test_another_currency_is_named() -> None:
    with pytest.raises(InvalidError, match="USD, not EUR"):
        read_money("58 eur", TWO)


@pytest.mark.parametrize(
    ("text", "count"), [("12", 12), ("0", 0), (" 7 ", 7), ("1,200", 1200), ("１２", 12), ("007", 7)]
)
def test_a_count_is_a_whole_number(text: str, count: int) -> None:
    understood = read_count(text)
    assert understood.value == count
    assert understood.shown == str(count)


@pytest.mark.parametrize("text", ["", "-1", "1.5", "1.200", "twelve", "1,20", "1e3", "9" * 10, "9" * 5000])
def test_what_is_no_count_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_count(text, field="heads")
    assert refusal.value.field == "heads"


def test_a_count_outside_its_bounds_is_refused_with_them() -> None:
    assert read_count("8", least=1, most=8).value == 8
    for text, word in (("0", "few"), ("9", "many")):
        with pytest.raises(InvalidError, match=word) as refusal:
            read_count(text, least=1, most=8)
        assert refusal.value.hint == "Use 1 to 8."

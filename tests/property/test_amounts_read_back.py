"""A shown sum reads back as the same, and no text gets past the one kind of refusal."""

from __future__ import annotations

import contextlib

from hypothesis import given
from hypothesis import strategies as st

from scheduling.amounts import read_count, read_money
from scheduling.errors import InvalidError
from scheduling.money import Currency

CURRENCIES = st.sampled_from([Currency("JPY", 0), Currency("USD", 2), Currency("KWD", 3)])
ENTRIES = st.lists(st.sampled_from([*"0123456789.,' -", "USD", "usd", "²", "½"]), max_size=12).map("".join)


@given(CURRENCIES, st.integers(0, 10**11))
def test_a_shown_sum_reads_back(currency: Currency, minor: int) -> None:
    shown = read_money(currency.show(minor), currency).shown
    assert read_money(shown, currency).value == minor
    assert read_money(currency.show(minor).replace(",", ""), currency).value == minor


@given(st.sampled_from([Currency("JPY", 0), Currency("USD", 2)]), st.integers(0, 10**11))
def test_a_sum_written_with_point_and_comma_turned_round_reads_the_same_or_is_refused(
    currency: Currency, minor: int
) -> None:
    turned = currency.show(minor).translate(str.maketrans(",.", ".,"))
    with contextlib.suppress(InvalidError):
        assert read_money(turned, currency).value == minor


@given(st.text(max_size=20) | ENTRIES, CURRENCIES)
def test_no_text_raises_anything_but_a_refusal(text: str, currency: Currency) -> None:
    with contextlib.suppress(InvalidError):
        read_money(text, currency)
    with contextlib.suppress(InvalidError):
        read_count(text)

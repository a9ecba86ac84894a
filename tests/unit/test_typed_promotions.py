"""What a promotion takes off and when it ends, as it is typed."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from scheduling.errors import InvalidError
from scheduling.money import Currency
from scheduling.typed_promotions import Ends, Off, ends_typed, off_text, read_ends, read_off

EURO = Currency("EUR")
TODAY = dt.date(2028, 2, 1)


@pytest.mark.parametrize(
    ("typed", "off"),
    [
        ("15%", Off(Decimal(15), None)),
        ("12,5 %", Off(Decimal("12.5"), None)),
        ("10 percent", Off(Decimal(10), None)),
        ("12", Off(None, 1200)),
        ("12.00", Off(None, 1200)),
    ],
)
def test_a_percentage_or_a_sum_is_read_and_shown_as_it_can_be_typed(typed: str, off: Off) -> None:
    assert read_off(typed, EURO).value == off
    assert read_off(off_text(off.percent, off.minor, EURO), EURO).value == off


@pytest.mark.parametrize("typed", ["0", "0%", "101%", "-5", "much", "", "5 %%"])
def test_what_takes_nothing_or_too_much_off_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError):
        read_off(typed, EURO)


@pytest.mark.parametrize(
    ("typed", "ends", "shown"),
    [
        ("", Ends(None, None), "without an end"),
        ("T-21", Ends(None, 21), "to the end of T-21"),
        ("21 days before", Ends(None, 21), "to the end of T-21"),
        ("tue 29 feb", Ends(dt.date(2028, 2, 29), None), "to the end of Tue 29 Feb 2028"),
        ("t-0, 1 mar", Ends(dt.date(2028, 3, 1), 0), "to the end of T-0 or Wed 1 Mar 2028, whichever is sooner"),
    ],
)
def test_the_end_is_a_day_or_days_before_each_class_or_both(typed: str, ends: Ends, shown: str) -> None:
    read = read_ends(typed, today=TODAY)
    assert (read.value, read.shown) == (ends, shown)
    assert read_ends(ends_typed(ends.day, ends.days_before), today=TODAY).value == ends


@pytest.mark.parametrize("typed", ["T-21, T-14", "1 mar, 2 mar", "soon", "T-401", "30 feb"])
def test_an_end_that_is_not_understood_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError):
        read_ends(typed, today=TODAY)

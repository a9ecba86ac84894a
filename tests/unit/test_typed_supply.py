"""What forms of suppliers, rewards and materials are typed in: weekdays, closed days, bands, grams."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.errors import InvalidError
from scheduling.money import Currency
from scheduling.typed_supply import (
    bands_text,
    grams_text,
    read_bands,
    read_days,
    read_grams,
    read_weekdays,
    weekdays_text,
)

DOLLAR, YEN = Currency("USD", 2), Currency("JPY", 0)
TODAY = dt.date(2027, 2, 1)


@pytest.mark.parametrize(
    ("typed", "digits", "shown"),
    [
        ("mon-fri", "12345", "Mon-Fri"),
        ("Monday to Thursday", "1234", "Mon-Thu"),
        ("mon, wed; fri", "135", "Mon, Wed, Fri"),
        ("tue and sat", "26", "Tue, Sat"),
        ("fri-mon", "1567", "Mon, Fri, Sat, Sun"),
        ("sun", "7", "Sun"),
        ("", "1234567", "every day"),
        ("every day", "1234567", "every day"),
        ("mon-sun", "1234567", "every day"),
    ],
)
def test_weekdays_are_read_in_the_ways_people_write_them(typed: str, digits: str, shown: str) -> None:
    found = read_weekdays(typed)
    assert (found.value, found.shown) == (digits, shown)


@given(st.sets(st.integers(0, 6), min_size=1))
def test_weekdays_as_shown_read_back(days: set[int]) -> None:
    digits = "".join(str(day + 1) for day in sorted(days))
    assert read_weekdays(weekdays_text(digits)).value == digits


@pytest.mark.parametrize("typed", ["someday", "mon-", "m", "mon-never", "8"])
def test_what_is_no_weekday_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError) as caught:
        read_weekdays(typed)
    assert caught.value.field == "takes_orders_on"


def test_closed_days_come_in_order_once_each_also_over_a_leap_day() -> None:
    found = read_days("29 feb 2028, 26 mar 2027; 26 mar 2027", today=TODAY, day_first=True)
    assert found.value == (dt.date(2027, 3, 26), dt.date(2028, 2, 29))
    assert read_days("", today=TODAY, day_first=True).shown == "none"
    with pytest.raises(InvalidError):
        read_days("30 feb", today=TODAY, day_first=True)


def test_bands_are_read_in_minor_units_and_read_back() -> None:
    found = read_bands("150 a roll worth 5; 650.50 two rolls", DOLLAR)
    assert found.value == ((15000, "a roll", 500), (65050, "two rolls", 0))
    assert found.shown == "from 150.00 a roll; from 650.50 two rolls"
    assert read_bands(bands_text(found.value, DOLLAR), DOLLAR).value == found.value
    assert read_bands("15000 a roll", YEN).value == ((15000, "a roll", 0),)


@pytest.mark.parametrize("typed", ["650 two; 150 one", "150 a; 150 b", "150", "a roll"])
def test_bands_that_do_not_rise_or_are_no_bands_are_refused(typed: str) -> None:
    with pytest.raises(InvalidError):
        read_bands(typed, DOLLAR)


@given(st.integers(0, 10**9))
def test_a_weight_as_shown_reads_back_to_the_milligram(milligrams: int) -> None:
    text = grams_text(milligrams)
    assert (read_grams(text).value if text else 0) == milligrams


@pytest.mark.parametrize(("typed", "milligrams"), [("12", 12000), ("4.5 g", 4500), ("4,5", 4500), ("1.2 kg", 1200000)])
def test_weights_are_read_in_grams_and_kilograms(typed: str, milligrams: int) -> None:
    assert read_grams(typed).value == milligrams


@pytest.mark.parametrize("typed", ["heavy", "-1", "1.2345", "2000 kg"])
def test_what_is_no_weight_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError):
        read_grams(typed)

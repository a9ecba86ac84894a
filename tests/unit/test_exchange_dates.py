"""Dates in a column have one order, proven or asked; nothing is guessed row by row."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from scheduling.exchange.dates_in import DateColumn, read_dates, read_time
from scheduling.exchange.rows import DAY_FIRST, MONTH_FIRST, Value

TODAY = dt.date(2026, 3, 1)
MAY_9 = dt.date(2026, 5, 9)
EVENING = dt.datetime(2026, 5, 9, 18, 30)  # noqa: DTZ001  wall time, as workbooks hold it


def column(
    *values: Value, header: str = "Class date", order: str = "", zone: str = "", past: bool = False
) -> DateColumn:
    return read_dates(values, header, today=TODAY, given_order=order, zone=zone, is_past=past)


def days(found: DateColumn) -> list[dt.date | None]:
    return [when.day if when else None for when in found.whens]


@pytest.mark.parametrize(
    "text",
    [
        "2026-05-09", "2026/5/9", "2026.05.09", "20260509", "9 May 2026", "May 9, 2026", "Sat 9th May 2026", "9-May-26",
        "Sa., 9. Mai 2026", "9 mai 2026", "9 de mayo de 2026", "9 maggio 2026", "9. toukokuuta 2026", "9 maja 2026",
        "9. května 2026", "9 мая 2026", "2026年5月9日", "46151", "２０２６-０５-０９", "mei 9 2026",
    ],
)  # fmt: skip
def test_a_date_that_speaks_for_itself_is_read(text: str) -> None:
    found = column(text)
    assert days(found) == [MAY_9]
    assert found.question is None
    assert not found.odd


@pytest.mark.parametrize("sign", ["/", ".", "-"])
def test_one_row_proves_the_order_of_all(sign: str) -> None:
    day_first = column(f"03{sign}04{sign}2026", f"25{sign}04{sign}2026", f"05{sign}06{sign}2026")
    assert days(day_first) == [dt.date(2026, 4, 3), dt.date(2026, 4, 25), dt.date(2026, 6, 5)]
    assert (day_first.order, day_first.question) == (DAY_FIRST, None)
    month_first = column(f"03{sign}04{sign}2026", f"04{sign}25{sign}2026")
    assert days(month_first) == [dt.date(2026, 3, 4), dt.date(2026, 4, 25)]
    assert month_first.order == MONTH_FIRST


def test_without_proof_it_is_asked_and_no_day_is_given() -> None:
    found = column("03/04/2026", "05/06/2026")
    assert days(found) == [None, None]
    assert found.question is not None
    assert found.question.text == "date order of “Class date”: 3 April 2026 or 4 March 2026?"
    assert [choice.value for choice in found.question.choices] == [DAY_FIRST, MONTH_FIRST]
    assert not found.odd


def test_her_answer_settles_what_nothing_proves() -> None:
    assert days(column("03/04/2026", order=MONTH_FIRST)) == [dt.date(2026, 3, 4)]
    assert days(column("03/04/2026", order=DAY_FIRST)) == [dt.date(2026, 4, 3)]


def test_proof_goes_before_a_wrong_answer_and_says_so() -> None:
    found = column("03/04/2026", "25/04/2026", order=MONTH_FIRST)
    assert days(found) == [dt.date(2026, 4, 3), dt.date(2026, 4, 25)]
    assert found.against


def test_the_same_figure_twice_needs_no_order() -> None:
    found = column("05/05/2026", "06/06/2026")
    assert days(found) == [dt.date(2026, 5, 5), dt.date(2026, 6, 6)]
    assert found.question is None


def test_rows_that_contradict_each_other_are_asked() -> None:
    found = column("25/04/2026", "04/25/2026")
    assert found.question is not None
    assert "contradict" in found.question.text
    answered = column("25/04/2026", "04/25/2026", order=DAY_FIRST)
    assert days(answered) == [dt.date(2026, 4, 25), None]
    assert list(answered.odd) == [1]


def test_text_that_starts_with_the_year_is_never_swapped() -> None:
    assert days(column("2026-05-09", "25/04/2026", order=MONTH_FIRST))[0] == MAY_9
    assert days(column("2026-05-09", "2026-13-04")) == [MAY_9, None]


def test_a_weekday_proves_the_order() -> None:
    assert days(column("Fri 03/04/2026", "05/06/2026")) == [dt.date(2026, 4, 3), dt.date(2026, 6, 5)]
    assert days(column("Mi 03/04/2026")) == [dt.date(2026, 3, 4)]


def test_a_weekday_that_fits_no_reading_proves_nothing() -> None:
    assert column("Mon 03/04/2026").question is not None


@pytest.mark.parametrize(
    ("header", "day"),
    [("Date (dd/mm/yyyy)", dt.date(2026, 4, 3)), ("Datum TT.MM.JJJJ", dt.date(2026, 4, 3)),
     ("Date mm/dd/yy", dt.date(2026, 3, 4)), ("Fecha (dd-mm-aaaa)", dt.date(2026, 4, 3))],
)  # fmt: skip
def test_the_header_may_spell_out_the_order(header: str, day: dt.date) -> None:
    assert days(column("03/04/2026", header=header)) == [day]


@pytest.mark.parametrize(
    ("value", "time"),
    [("46151.4166666667", dt.time(10)), ("46151,75", dt.time(18)), (Decimal("46151.4166666667"), dt.time(10)),
     (46151, None), (dt.date(2026, 5, 9), None), (EVENING, dt.time(18, 30)),
     ("2026-05-09 18:30:00", dt.time(18, 30)),
     ("9 May 2026, 6.30 pm", dt.time(18, 30)), ("9 mai 2026 à 18h30", dt.time(18, 30)),
     ("Sa 9. Mai 2026, 10 Uhr", dt.time(10)), ("2026-05-09 12:15 am", dt.time(0, 15))],
)  # fmt: skip
def test_serials_and_stamps_keep_their_time(value: Value, time: dt.time | None) -> None:
    found = column(value).whens[0]
    assert found is not None
    assert (found.day, found.time) == (MAY_9, time)


def test_serials_of_the_1904_system_are_shifted() -> None:
    found = read_dates([46151 - 1462], "Class date", today=TODAY, serial_shift=1462)
    assert days(found) == [MAY_9]


@pytest.mark.parametrize(
    "value", ["31/02/2026", "29/02/2026", "9 May", "May 2026", "soon", "1776-07-04", "19999", 80_001]
)
def test_what_is_no_whole_date_is_flagged_and_none(value: Value) -> None:
    found = column(value)
    assert days(found) == [None]
    assert list(found.odd) == [0]
    assert found.question is None


def test_leap_days_are_read_in_leap_years_only() -> None:
    assert days(column("29/02/2028", "29.2.2024")) == [dt.date(2028, 2, 29), dt.date(2024, 2, 29)]


@pytest.mark.parametrize("text", ["", "-", "n/a", "keine", "none"])
def test_an_empty_cell_is_no_date_and_not_odd(text: str) -> None:
    found = column(text)
    assert (days(found), found.odd) == ([None], {})


def test_two_figure_years_lie_near_today_and_birthdays_before_it() -> None:
    assert days(column("25/04/26", "25/04/79")) == [dt.date(2026, 4, 25), dt.date(1979, 4, 25)]
    assert days(column("25/04/27", past=True)) == [dt.date(1927, 4, 25)]


@pytest.mark.parametrize(
    ("stamp", "day", "time"),
    [("2026-03-29T00:30:00Z", dt.date(2026, 3, 29), dt.time(1, 30)),   # before the clocks go forward in Berlin
     ("2026-03-29T01:30:00Z", dt.date(2026, 3, 29), dt.time(3, 30)),   # after
     ("2026-10-25T00:30:00Z", dt.date(2026, 10, 25), dt.time(2, 30)),
     ("2026-12-31T23:30:00+00:00", dt.date(2027, 1, 1), dt.time(0, 30)),
     ("2024-02-29T20:00:00-05:00", dt.date(2024, 3, 1), dt.time(2, 0))],
)  # fmt: skip
def test_a_stamp_with_an_offset_is_told_in_the_home_zone(stamp: str, day: dt.date, time: dt.time) -> None:
    found = column(stamp, zone="Europe/Berlin").whens[0]
    assert found is not None
    assert (found.day, found.time) == (day, time)


def test_without_a_home_zone_a_stamp_is_flagged() -> None:
    assert list(column("2026-05-09T10:00:00Z").odd) == [0]


def test_two_days_in_a_cell_give_the_first_and_a_flag() -> None:
    found = column("2026-05-09 - 2026-05-10")
    assert days(found) == [MAY_9]
    assert list(found.odd) == [0]


@pytest.mark.parametrize(
    ("value", "time"),
    [("18:30", dt.time(18, 30)), ("6.30 pm", dt.time(18, 30)), ("18h30", dt.time(18, 30)), ("10 Uhr", dt.time(10)),
     ("12 am", dt.time(0)), ("12:00 pm", dt.time(12)), ("0.75", dt.time(18)), (Decimal("0.75"), dt.time(18)),
     (dt.time(9, 15), dt.time(9, 15)), ("10:00-12:00", dt.time(10)), ("25:00", None), ("noonish", None), ("", None)],
)  # fmt: skip
def test_times_of_day_are_read(value: Value, time: dt.time | None) -> None:
    assert read_time(value) == time

"""Days as she types them: the forms taken, and what is refused rather than guessed."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.words import read_day, show_day

TODAY = dt.date(2027, 2, 1)  # a Monday


def _read(text: str, **how: object) -> str:
    return read_day(text, today=TODAY, **how).value.isoformat()  # type: ignore[arg-type]  # each test names its own


def _refusal(text: str, *, today: dt.date = TODAY, day_first: bool | None = True) -> InvalidError:
    with pytest.raises(InvalidError) as refusal:
        read_day(text, today=today, day_first=day_first, field="starts")
    assert refusal.value.field == "starts"
    assert refusal.value.hint
    return refusal.value


@pytest.mark.parametrize(
    "text",
    [
        *("13/3", "13/3/27", "13/3/2027", "13.3.", "13.3.2027", "13-3", "13/03", "１３／３", "١٣/٣"),
        *("13 mar", "mar 13", "13 March 2027", "March 13th, 2027", "13-Mar-27", "13mar27", "the 13th of march"),
        *("Sat 13 Mar", "saturday, 13 march 2027", "13/3 sat", "on sat 13 mar", "SAT 13 MAR '27", "sat. 13 mar."),
        *("2027-03-13", "2027/3/13", "2027.03.13", "20270313", "sat 2027-03-13", "2027\u201103\u201113"),
        *("in 40 days", "+40", "+ 40d"),
    ],
)
def test_one_day_is_read_from_every_usual_form(text: str) -> None:
    understood = read_day(text, today=TODAY)
    assert understood.value == dt.date(2027, 3, 13)
    assert understood.shown == "Sat 13 Mar 2027"


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", "2027-02-01"),
        ("Tomorrow", "2027-02-02"),
        ("yesterday", "2027-01-31"),
        ("+0", "2027-02-01"),
        ("in a week", "2027-02-08"),
        ("in two weeks", "2027-02-15"),
        ("+2w", "2027-02-15"),
        ("3 days ago", "2027-01-29"),
        ("thu", "2027-02-04"),
        ("Thursday", "2027-02-04"),
        ("weds", "2027-02-03"),
        ("coming thu", "2027-02-04"),
        ("mon", "2027-02-08"),
        ("this mon", "2027-02-01"),
        ("next thu", "2027-02-11"),
        ("last fri", "2027-01-29"),
        ("last mon", "2027-01-25"),
        ("13th", "2027-02-13"),
        ("sat 13", "2027-02-13"),
        ("31st", "2027-03-31"),
        ("the 1st", "2027-02-01"),
    ],
)
def test_a_day_is_counted_from_today(text: str, day: str) -> None:
    assert _read(text) == day


def test_the_next_week_starts_on_monday() -> None:
    sunday = dt.date(2027, 1, 31)
    assert read_day("next mon", today=sunday).value == dt.date(2027, 2, 1)
    assert read_day("next sun", today=sunday).value == dt.date(2027, 2, 7)


@pytest.mark.parametrize(("text", "day"), [("1 feb", "2027-02-01"), ("31 jan", "2028-01-31"), ("2/2", "2027-02-02")])
def test_a_day_without_a_year_is_the_next_one_from_today(text: str, day: str) -> None:
    assert _read(text) == day


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("1 feb", "2027-02-01"),
        ("31 jan", "2027-01-31"),
        ("2/2", "2026-02-02"),
        ("thu", "2027-01-28"),
        ("31st", "2027-01-31"),
        ("next thu", "2027-02-11"),
    ],
)
def test_where_the_past_is_meant_it_is_the_latest_one_up_to_today(text: str, day: str) -> None:
    assert _read(text, past=True) == day


def test_a_weekday_that_contradicts_the_date_is_refused_with_both_days() -> None:
    refusal = _refusal("fri 13 mar")
    assert refusal.message == "13 Mar 2027 is a Saturday, not a Friday."
    assert "Sat 13 Mar 2027" in refusal.hint
    assert "Fri 12 Mar 2027" in refusal.hint


@pytest.mark.parametrize(
    ("text", "nearest"),
    [
        ("29 feb", ("Sun 28 Feb 2027", "Mon 1 Mar 2027")),
        ("29/2/2100", ("Sun 28 Feb 2100", "Mon 1 Mar 2100")),
        ("30/2", ("Sun 28 Feb 2027", "Mon 1 Mar 2027")),
        ("31 apr", ("Fri 30 Apr 2027", "Sat 1 May 2027")),
        ("2027-04-31", ("Fri 30 Apr 2027", "Sat 1 May 2027")),
        ("32 dec", ("Fri 31 Dec 2027", "Sat 1 Jan 2028")),
    ],
)
def test_a_day_that_does_not_exist_is_refused_with_the_nearest(text: str, nearest: tuple[str, str]) -> None:
    hint = _refusal(text).hint
    assert all(day in hint for day in nearest)


def test_a_leap_day_is_taken_where_the_next_february_has_one() -> None:
    assert read_day("29 feb", today=dt.date(2027, 6, 1)).value == dt.date(2028, 2, 29)
    assert read_day("29 feb", today=dt.date(2028, 2, 29)).value == dt.date(2028, 2, 29)
    assert "2029" in _refusal("29 feb", today=dt.date(2028, 3, 1)).message
    assert read_day("29/2/2000", today=TODAY).value == dt.date(2000, 2, 29)


def test_the_order_of_day_and_month_is_the_studio_s() -> None:
    assert _read("3/4") == "2027-04-03"
    assert _read("3/4", day_first=False) == "2027-03-04"
    assert _read("2027-03-04", day_first=False) == "2027-03-04"


def test_where_the_order_is_not_known_both_readings_are_named() -> None:
    refusal = _refusal("3/4", day_first=None)
    assert "3 Apr" in refusal.message
    assert "4 Mar" in refusal.message
    assert _read("13/3", day_first=None) == _read("3/13", day_first=None) == "2027-03-13"
    assert _read("3/3", day_first=None) == "2027-03-03"


def test_a_month_past_twelve_is_not_turned_round_in_silence() -> None:
    assert "13 Mar" in _refusal("3/13").hint
    assert "13 Mar" in _refusal("13/3", day_first=False).hint
    assert "31 Apr" not in _refusal("31/4", day_first=False).hint


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            " ",
            "foo",
            "next week",
            "next sat 13 mar",
            "13",
            "45",
            "2027",
            "mar",
            "ma 13",
            "mar 1 327",
            "13 mar 1830",
        ),
        *(
            "0/3",
            "13/0",
            "13/13",
            "0 mar",
            "99999-01-01",
            "+99999",
            "in 3",
            "sat sun",
            "5²/3",
            "13/3/",
            "13/3.27",
            "10am",
        ),
        *("1" * 5000, "\u0000", "13 mar 2500", "tues day"),
    ],
)
def test_what_is_no_day_is_refused_with_a_hint(text: str) -> None:
    _refusal(text)


def test_a_long_entry_is_not_repeated_whole() -> None:
    assert len(_refusal("x" * 10_000).message) < 100


def test_the_year_is_shown_when_asked_or_when_it_is_another() -> None:
    day = dt.date(2027, 3, 13)
    assert show_day(day) == "Sat 13 Mar"
    assert show_day(day, today=TODAY) == "Sat 13 Mar"
    assert show_day(day, year=True) == "Sat 13 Mar 2027"
    assert show_day(day, today=dt.date(2026, 12, 31)) == "Sat 13 Mar 2027"

"""Rules that the file keeps by itself, against any program that writes to it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support.builders import a_studio, book, class_date, person


@pytest.fixture
def raw(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """A plain connection to a file with C01: 3 seats, two of them taken by B01, and B02 on the waitlist."""
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        a = class_date(studio, seats=3)
        book(studio, a, heads=2)
        book(studio, a, heads=2)
        class_date(studio, "2027-03-20", seats=0)
        person(studio, "Nobody")
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA foreign_keys = ON")
    yield connection
    connection.close()


def refused(raw: sqlite3.Connection, sql: str, why: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match=why):
        raw.execute(sql)
    raw.rollback()


_BOOKING = (
    "INSERT INTO booking (id, public_id, class_date_id, payer_id, state, fee_minor, refund_tiers, created_at,"
    " modified_at) VALUES (9, 'x', {class_date}, 1, 'confirmed', 0, '[]', '2027', '2027')"
)


def test_one_head_too_many_is_refused_and_the_last_seat_is_not(raw: sqlite3.Connection) -> None:
    raw.execute("INSERT INTO seat (booking_id) VALUES (1)")
    refused(raw, "INSERT INTO seat (booking_id) VALUES (1), (1)", "rule: seats")


def test_heads_that_wait_are_many_and_those_whose_seats_come_before_their_booking_are_counted(
    raw: sqlite3.Connection,
) -> None:
    raw.execute("INSERT INTO seat (booking_id) VALUES (2), (2), (2), (2)")
    raw.commit()
    raw.execute("PRAGMA defer_foreign_keys = ON")
    raw.execute("INSERT INTO seat (booking_id) VALUES (9), (9)")
    with pytest.raises(sqlite3.IntegrityError, match="rule: seats"):
        raw.execute(_BOOKING.format(class_date=1))
    raw.rollback()
    raw.execute("PRAGMA defer_foreign_keys = ON")
    raw.execute("INSERT INTO seat (booking_id) VALUES (9)")
    raw.execute(_BOOKING.format(class_date=1))
    raw.commit()


@pytest.mark.parametrize("state", ["held", "deposit", "confirmed", "offered"])
def test_a_booking_that_does_not_fit_is_given_no_state_that_takes_seats(raw: sqlite3.Connection, state: str) -> None:
    refused(raw, f"UPDATE booking SET state = '{state}' WHERE id = 2", "rule: seats")


def test_seats_are_not_lowered_below_the_heads_taken(raw: sqlite3.Connection) -> None:
    raw.execute("UPDATE class_date SET seats = 2 WHERE id = 1")
    refused(raw, "UPDATE class_date SET seats = 1 WHERE id = 1", "rule: seats")


def test_a_head_is_not_moved_onto_a_full_class_by_any_column(raw: sqlite3.Connection) -> None:
    refused(raw, "UPDATE booking SET class_date_id = 2 WHERE id = 1", "rule: seats")
    raw.execute("INSERT INTO seat (booking_id, given_up_at) VALUES (1, '2027'), (1, '2027')")
    refused(raw, "UPDATE seat SET given_up_at = NULL WHERE booking_id = 1", "rule: seats")
    refused(raw, "UPDATE seat SET booking_id = 1 WHERE booking_id = 2", "rule: seats")


def test_a_booking_put_under_seats_that_were_there_first_is_refused(raw: sqlite3.Connection) -> None:
    raw.execute("PRAGMA foreign_keys = OFF")
    raw.execute("INSERT INTO seat (booking_id) VALUES (9)")
    raw.commit()
    refused(raw, _BOOKING.format(class_date=2), "rule: seats")


def test_the_currency_stays_once_there_is_a_class(raw: sqlite3.Connection) -> None:
    refused(raw, "UPDATE studio SET currency = 'EUR'", "rule: currency")
    refused(raw, "UPDATE studio SET currency_places = 0", "rule: currency")


def test_a_project_version_is_never_changed(raw: sqlite3.Connection) -> None:
    refused(raw, "UPDATE project_version SET title = 'Other'", "rule: a project version")


@pytest.mark.parametrize(
    "sql",
    [
        "INSERT INTO studio SELECT * FROM studio",
        "UPDATE studio SET id = 2",
        "UPDATE studio SET name = '  '",
        "UPDATE class_date SET fee_minor = -1",
        "UPDATE class_date SET fee_minor = 1.5",
        "UPDATE class_date SET state = 'perhaps'",
        "UPDATE session SET ends = starts",
        "UPDATE session SET starts = 'soon'",
        "UPDATE person SET name = ''",
        "UPDATE person SET guardian_id = id",
        "UPDATE person SET health_erase_on = '2027-02-30'",
        "UPDATE booking SET state = 'waitlist', waiting_since = NULL",
        "UPDATE task SET state = 'completed'",
        "UPDATE task SET completed_at = '2027'",
        "INSERT INTO closed_day (day, kind) VALUES ('2027-02-29', 'blocked')",
        "INSERT INTO minutes_log (task_id, day, minutes, logged_at) VALUES (1, '2027-02-01', 0, '2027')",
        "DELETE FROM class_date",
        "DELETE FROM person WHERE id = 1",
        "UPDATE booking SET payer_id = 99",
        "UPDATE task SET class_date_id = 1, recipe_line_id = 1",
        "UPDATE session SET starts = '2027-02-30T10:00', ends = '2027-02-30T12:00'",
        "INSERT INTO series (public_id, rule, starts, zone, modified_at) VALUES ('s', 'soon', '', '', '')",
    ],
)
def test_a_row_that_cannot_be_is_refused(raw: sqlite3.Connection, sql: str) -> None:
    refused(raw, sql, "constraint failed|cannot store")


def test_a_date_of_a_series_stands_once(raw: sqlite3.Connection) -> None:
    raw.execute(
        "INSERT INTO series (public_id, rule, starts, zone, modified_at) VALUES ('s', 'FREQ=DAILY', '', '', '')"
    )
    raw.execute("UPDATE class_date SET series_id = 1, series_start = '2027-03-13T10:00' WHERE id = 1")
    refused(raw, "UPDATE class_date SET series_id = 1, series_start = '2027-03-13T10:00' WHERE id = 2", "UNIQUE")

"""Messages about single entries (RFC 5546): which of them say when she is busy, and which only pass between others."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scheduling.calendar import CalendarRead, read_calendar
from tests.unit.test_importing_busy import FAIR, TRIP, Importer, calendar, event, whats

YEAR = (dt.date(2027, 1, 1), dt.date(2028, 1, 1))
FAIR_AND_TRIP = [("2027-03-06", "Fair"), ("2027-03-10", "Trip")]
BETWEEN_OTHERS = ("REPLY", "REFRESH", "COUNTER", "DECLINECOUNTER")


@pytest.fixture
def importer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Importer:
    return Importer(tmp_path, capsys)


def read(text: str) -> CalendarRead:
    octets = text.replace("\n", "\r\n").encode()
    return read_calendar(octets, home_zone="Europe/Berlin", window=YEAR, source_name="x.ics")


@pytest.mark.parametrize("method", [*BETWEEN_OTHERS, "reply", " Counter "])
def test_a_message_between_others_is_no_busy_time_and_is_named(method: str) -> None:
    found = read(calendar(event("fair", "20270401", "Fair at noon", sequence=5), method=method))
    assert found.occurrences == ()
    assert found.is_message
    (notice,) = found.notices
    assert "Fair at noon" in notice.text
    assert f"METHOD:{method.strip().upper()}" in notice.text
    assert notice.uid == "fair"


@pytest.mark.parametrize("method", BETWEEN_OTHERS)
@pytest.mark.parametrize("more", ["", "STATUS:CANCELLED\n", "RECURRENCE-ID;VALUE=DATE:20270306\n"])
def test_nothing_that_is_kept_moves_or_goes_by_it(importer: Importer, method: str, more: str) -> None:
    importer.take(calendar(FAIR, TRIP))
    answer = importer.take(calendar(event("fair", "20270401", "Fair", sequence=9, more=more), method=method))
    assert whats(answer) == [("same", "Fair"), ("same", "Trip")]
    assert answer["undo"] == 0
    assert importer.kept() == FAIR_AND_TRIP


def test_a_private_entry_is_not_named_by_its_title() -> None:
    (notice,) = read(calendar(event("d", "20270401", "Surgery", more="CLASS:PRIVATE\n"), method="REPLY")).notices
    assert "Surgery" not in notice.text
    assert "an entry" in notice.text


def test_a_to_do_in_a_reply_is_none_of_hers() -> None:
    todo = "BEGIN:VTODO\nUID:t\nDTSTAMP:20270101T090000Z\nSUMMARY:Order kits\nDUE;VALUE=DATE:20270301\nEND:VTODO\n"
    assert read(calendar(todo)).todos != ()
    assert read(calendar(todo, method="REPLY")).todos == ()


def test_a_reply_that_gives_busy_times_is_read() -> None:
    busy = (
        "BEGIN:VFREEBUSY\nUID:fb\nDTSTAMP:20270101T090000Z\nDTSTART:20270301T000000Z\nDTEND:20270308T000000Z\n"
        "FREEBUSY:20270302T080000Z/20270302T100000Z\nEND:VFREEBUSY\n"
    )
    (one,) = read(calendar(busy, method="REPLY")).occurrences
    assert one.start == dt.datetime(2027, 3, 2, 8, tzinfo=dt.UTC)
    assert read(calendar(busy, method="REFRESH")).occurrences == ()


def test_a_reply_beside_a_calendar_in_one_file_leaves_the_calendar(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    both = calendar(FAIR) + calendar(event("trip", "20270501", "Trip", sequence=4), method="COUNTER")
    assert whats(importer.take(both)) == [("same", "Fair"), ("same", "Trip")]
    assert importer.kept() == FAIR_AND_TRIP


def test_a_date_that_is_added_stands_beside_the_others(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    added = event("trip", "20270410", "Trip", sequence=1)
    assert whats(importer.take(calendar(added, method="ADD"))) == [("new", "Trip"), ("same", "Fair"), ("same", "Trip")]
    assert importer.kept() == [*FAIR_AND_TRIP, ("2027-04-10", "Trip")]
    assert importer.take(calendar(added, method="ADD"))["undo"] == 0, "the same message again adds nothing"


def test_a_date_added_to_a_rule_stands_beside_its_dates(importer: Importer) -> None:
    importer.take(calendar(event("w", "20270301", "Choir", more="RRULE:FREQ=WEEKLY;COUNT=3\n")))
    importer.take(calendar(event("w", "20270318", "Choir", sequence=1), method="ADD"))
    assert [day for day, _ in importer.kept()] == ["2027-03-01", "2027-03-08", "2027-03-15", "2027-03-18"]


def test_a_date_that_was_added_before_the_entry_was_sent_anew_is_ignored(importer: Importer) -> None:
    importer.take(calendar(event("trip", "20270310", "Trip", sequence=3)))
    answer = importer.take(calendar(event("trip", "20270410", "Trip", sequence=1), method="ADD"))
    assert whats(answer) == [("ignored", "Trip"), ("same", "Trip")]
    assert importer.kept() == [("2027-03-10", "Trip")]


def test_what_was_added_goes_when_the_entry_is_sent_anew_or_called_off(importer: Importer) -> None:
    importer.take(calendar(TRIP))
    importer.take(calendar(event("trip", "20270410", "Trip", sequence=1), method="ADD"))
    importer.take(calendar(event("trip", "20270312", "Trip", sequence=2), method="REQUEST"))
    assert importer.kept() == [("2027-03-12", "Trip")]
    importer.take(calendar(event("trip", "20270312", "Trip", sequence=3), method="CANCEL"))
    assert importer.kept() == []


def test_a_message_of_nobody_knows_what_kind_is_read_as_a_plain_calendar() -> None:
    assert len(read(calendar(FAIR, method="X-THING")).occurrences) == 1


def test_the_command_line_names_it_and_keeps_nothing(importer: Importer) -> None:
    answer = importer.take(calendar(FAIR, method="REPLY"))
    assert any("METHOD:REPLY" in str(note) for note in answer["notices"])
    assert importer.kept() == []

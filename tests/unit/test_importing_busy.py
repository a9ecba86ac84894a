"""A calendar file read again: what is new, changed, gone, ignored, and what never goes by a bad file."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from scheduling.commands.undoing import Undo
from scheduling.errors import InvalidError
from scheduling.outside import read_busy
from scheduling.queries.history import History
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date
from tui.lines import entry

Kept = list[tuple[str, str]]


def event(uid: str, day: str, title: str, *, sequence: int = 0, stamp: str = "20270101T090000Z", more: str = "") -> str:
    return (
        f"BEGIN:VEVENT\nUID:{uid}\nDTSTAMP:{stamp}\nSEQUENCE:{sequence}\nSUMMARY:{title}\n"
        f"DTSTART;VALUE=DATE:{day}\n{more}END:VEVENT\n"
    )


def calendar(*events: str, method: str = "") -> str:
    head = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//EN\n{f'METHOD:{method}{chr(10)}' if method else ''}"
    return f"{head}{''.join(events)}END:VCALENDAR\n"


FAIR, TRIP = event("fair", "20270306", "Fair"), event("trip", "20270310", "Trip")


class Importer:
    """A studio in a folder; `take` keeps a calendar through the command line and gives the JSON answer."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path, self._folder, self._capsys = folder / "s.kitwright", folder, capsys
        a_studio(self.path).close()

    def take(self, text: str, *options: str, name: str = "busy.ics", keep: bool = True) -> dict[str, Any]:
        file = self._folder / name
        file.write_bytes(text.replace("\n", "\r\n").encode())
        given = ["import", str(file), "--file", str(self.path), "--json", *options, *(["--keep"] if keep else [])]
        self._capsys.readouterr()
        entry.run(given)
        return dict(json.loads(self._capsys.readouterr().out))

    def kept(self) -> Kept:
        with Studio(str(self.path)) as studio:
            return studio.ask(_Busy())


class _Busy:
    def fetch(self, reader: Any) -> Kept:
        return [(row["starts"], row["title"]) for row in reader.rows("SELECT * FROM busy_time ORDER BY starts")]


@pytest.fixture
def importer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Importer:
    return Importer(tmp_path, capsys)


def whats(answer: dict[str, Any]) -> list[tuple[str, str]]:
    return sorted((row["what"], row["title"]) for row in answer["rows"])


def test_a_second_reading_tells_new_changed_gone_and_the_same(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP, event("old", "20270320", "Old")))
    moved = event("trip", "20270311", "Trip", sequence=1)
    answer = importer.take(calendar(FAIR, moved, event("new", "20270401", "New")), keep=False)
    assert whats(answer) == [("changed", "Trip"), ("gone", "Old"), ("new", "New"), ("same", "Fair")]
    assert importer.kept() == [("2027-03-06", "Fair"), ("2027-03-10", "Trip"), ("2027-03-20", "Old")]


def test_the_same_file_again_changes_nothing_and_makes_no_action(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    answer = importer.take(calendar(FAIR, TRIP))
    assert answer["undo"] == 0
    assert whats(importer.take(calendar(FAIR, TRIP), keep=False)) == [("same", "Fair"), ("same", "Trip")]


def test_a_renamed_entry_is_changed_in_place(importer: Importer) -> None:
    importer.take(calendar(FAIR))
    answer = importer.take(calendar(event("fair", "20270306", "Spring fair", sequence=1)))
    assert whats(answer) == [("changed", "Spring fair")]
    assert importer.kept() == [("2027-03-06", "Spring fair")]


def test_an_older_revision_is_ignored(importer: Importer) -> None:
    importer.take(calendar(event("fair", "20270306", "Fair at noon", sequence=3)))
    answer = importer.take(calendar(event("fair", "20270306", "Fair at nine", sequence=2)))
    assert whats(answer) == [("ignored", "Fair at nine"), ("same", "Fair at noon")]
    assert importer.kept() == [("2027-03-06", "Fair at noon")]


def test_an_entry_that_moved_is_changed_in_place_and_no_older_copy_moves_it_back(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    moved = event("fair", "20270313", "Fair", sequence=2)
    assert whats(importer.take(calendar(moved, TRIP))) == [("changed", "Fair"), ("same", "Trip")]
    assert whats(importer.take(calendar(FAIR, TRIP))) == [("ignored", "Fair"), ("same", "Fair"), ("same", "Trip")]
    assert importer.kept() == [("2027-03-10", "Trip"), ("2027-03-13", "Fair")]


def test_a_moved_occurrence_of_a_rule_is_changed_and_the_others_stay(importer: Importer) -> None:
    weekly = event("w", "20270301", "Choir", more="RRULE:FREQ=WEEKLY;COUNT=3\n")
    moved = event("w", "20270309", "Choir", sequence=1, more="RECURRENCE-ID;VALUE=DATE:20270308\n")
    importer.take(calendar(weekly))
    answer = importer.take(calendar(weekly, moved))
    assert whats(answer) == [("changed", "Choir"), ("same", "Choir"), ("same", "Choir")]
    assert [day for day, _ in importer.kept()] == ["2027-03-01", "2027-03-09", "2027-03-15"]


def test_of_equal_revisions_the_later_stamp_wins(importer: Importer) -> None:
    importer.take(calendar(event("fair", "20270306", "First", stamp="20270101T090000Z")))
    importer.take(calendar(event("fair", "20270306", "Second", stamp="20270102T090000Z")))
    importer.take(calendar(event("fair", "20270306", "Late copy", stamp="20270101T100000Z")))
    assert importer.kept() == [("2027-03-06", "Second")]


def test_a_cancelled_entry_is_free_and_no_older_copy_brings_it_back(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    off = event("fair", "20270306", "Fair", sequence=2, more="STATUS:CANCELLED\n")
    answer = importer.take(calendar(off, TRIP))
    assert ("free now", "Fair") in whats(answer)
    assert importer.kept() == [("2027-03-10", "Trip")]
    importer.take(calendar(event("fair", "20270306", "Fair", sequence=1), TRIP))
    assert importer.kept() == [("2027-03-10", "Trip")]


def test_a_message_that_cancels_one_entry_leaves_the_others_and_finds_their_source(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP), "--as", "family")
    off = event("fair", "20270306", "Fair", sequence=1, more="STATUS:CANCELLED\n")
    importer.take(calendar(off, method="CANCEL"), name="cancelled.ics")
    assert importer.kept() == [("2027-03-10", "Trip")]


WEEKLY = event("w", "20270301", "Choir", more="RRULE:FREQ=WEEKLY;COUNT=4\n")


@pytest.mark.parametrize(
    ("message", "left"),
    [
        ("", []),
        ("RRULE:FREQ=WEEKLY;COUNT=4\n", []),
        ("RECURRENCE-ID;VALUE=DATE:20270308\n", ["2027-03-01", "2027-03-15", "2027-03-22"]),
        ("RECURRENCE-ID;VALUE=DATE;RANGE=THISANDFUTURE:20270315\n", ["2027-03-01", "2027-03-08"]),
    ],
)
def test_a_cancelled_series_frees_all_its_dates_and_a_cancelled_date_that_one(
    importer: Importer, message: str, left: list[str]
) -> None:
    importer.take(calendar(WEEKLY, TRIP), "--as", "family")
    day = "20270301" if "RECURRENCE-ID" not in message else message.rpartition(":")[2].strip()
    off = event("w", day, "Choir", sequence=1, more=message)
    answer = importer.take(calendar(off, method="CANCEL"), name="cancelled.ics")
    assert [start for start, title in importer.kept() if title == "Choir"] == left
    assert ("2027-03-10", "Trip") in importer.kept()
    assert whats(answer).count(("free now", "Choir")) == 4 - len(left)
    importer.take(calendar(WEEKLY, TRIP), "--as", "family")
    assert [start for start, title in importer.kept() if title == "Choir"] == left


def test_a_cancellation_that_names_no_start_or_one_before_the_window_frees_the_series(importer: Importer) -> None:
    importer.take(calendar(event("w", "20250106", "Choir", more="RRULE:FREQ=WEEKLY;UNTIL=20270401\n")))
    assert len(importer.kept()) > 10
    off = "BEGIN:VEVENT\nUID:w\nDTSTAMP:20270101T090000Z\nSEQUENCE:1\nSTATUS:CANCELLED\nEND:VEVENT\n"
    importer.take(calendar(off, method="CANCEL"), name="cancelled.ics")
    assert importer.kept() == []


def test_an_older_cancellation_changes_nothing(importer: Importer) -> None:
    importer.take(calendar(event("w", "20270301", "Choir", sequence=3, more="RRULE:FREQ=WEEKLY;COUNT=4\n")))
    importer.take(calendar(event("w", "20270301", "Choir", sequence=2), method="CANCEL"), name="cancelled.ics")
    assert len(importer.kept()) == 4


def test_a_series_sent_anew_on_another_weekday_leaves_none_of_its_old_dates(importer: Importer) -> None:
    importer.take(calendar(WEEKLY, TRIP))
    anew = event("w", "20270302", "Choir", sequence=1, more="RRULE:FREQ=WEEKLY;COUNT=2\n")
    importer.take(calendar(anew, method="REQUEST"), name="invitation.ics")
    assert importer.kept() == [("2027-03-02", "Choir"), ("2027-03-09", "Choir"), ("2027-03-10", "Trip")]


def test_a_file_that_breaks_off_adds_but_takes_nothing_away(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    whole = calendar(event("new", "20270401", "New"), FAIR)
    answer = importer.take(whole[: whole.index("DTSTART;VALUE=DATE:20270306")])
    assert any("not whole" in notice for notice in answer["notices"])
    assert importer.kept() == [("2027-03-06", "Fair"), ("2027-03-10", "Trip"), ("2027-04-01", "New")]


@pytest.mark.parametrize("broken", ["", "<html>not found</html>", "BEGIN:VCALENDAR\n"])
def test_a_broken_file_is_refused_and_nothing_kept_goes(importer: Importer, broken: str) -> None:
    importer.take(calendar(FAIR))
    importer.take(broken)
    assert importer.kept() == [("2027-03-06", "Fair")]


def test_an_empty_calendar_empties_only_when_that_is_meant(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    refused = importer.take(calendar())
    assert refused["kind"] == "refused"
    assert len(importer.kept()) == 2
    importer.take(calendar(), "--empty")
    assert importer.kept() == []


def test_one_undo_takes_a_whole_import_back_revisions_too(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    importer.take(calendar(event("fair", "20270306", "Moved on", sequence=5)))
    with Studio(str(importer.path), origin="window test") as studio:
        studio.do(Undo(history_id=studio.ask(History())[0].id))
    assert importer.kept() == [("2027-03-06", "Fair"), ("2027-03-10", "Trip")]
    importer.take(calendar(event("fair", "20270306", "By an older one", sequence=1), TRIP))
    assert ("2027-03-06", "By an older one") in importer.kept()


def test_a_whole_day_that_ended_before_the_window_is_not_taken_for_gone(importer: Importer) -> None:
    importer.take(calendar(event("edge", "20270101", "Edge"), FAIR))
    answer = importer.take(calendar(event("edge", "20270101", "Edge"), FAIR), keep=False)
    assert ("gone", "Edge") not in whats(answer)


def test_an_imported_title_is_inert_on_the_terminal(importer: Importer, capsys: pytest.CaptureFixture[str]) -> None:
    file = importer.path.parent / "esc.ics"
    file.write_bytes(calendar(event("x", "20270306", "Fair\x1b[31m\u202eevil")).encode())
    capsys.readouterr()
    assert entry.run(["import", str(file), "--file", str(importer.path)]) == 0
    shown = capsys.readouterr().out
    assert "\x1b" not in shown
    assert "\u202e" not in shown


def test_busy_times_told_by_the_old_columns_are_compared_by_their_start(importer: Importer) -> None:
    importer.take(calendar(FAIR))
    connection = sqlite3.connect(importer.path)
    connection.execute("UPDATE outside_time SET origin = '', stamp = ''")
    connection.commit()
    connection.close()
    assert whats(importer.take(calendar(FAIR), keep=False)) == [("same", "Fair")]


def test_a_source_name_longer_than_a_line_is_kept_whole(importer: Importer) -> None:
    importer.take(calendar(FAIR), "--as", "x" * 200)
    assert importer.kept() == [("2027-03-06", "Fair")]


def test_a_clash_with_a_class_is_told(importer: Importer) -> None:
    with Studio(str(importer.path), origin="window test") as studio:
        class_date(studio, "2027-03-06", title="Album")
    answer = importer.take(calendar(FAIR), keep=False)
    assert any("C01 Album" in notice and "Fair" in notice for notice in answer["notices"])


def test_a_file_without_a_calendar_is_refused_by_the_reading_itself() -> None:
    with pytest.raises(InvalidError):
        read_busy(b"", "x.ics", home_zone="UTC", window=(dt.date(2027, 1, 1), dt.date(2028, 1, 1)), zones={})

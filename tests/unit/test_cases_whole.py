"""What cases say of more than one reading: taken in, written out again, read a second and a third time, undone.

All of it through the command line, over a studio in a file.
"""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import icalendar
import openpyxl
import pytest

from scheduling.commands.undoing import Undo
from scheduling.queries.people import FindPeople
from scheduling.queries.roster import Roster
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, dump
from tui.lines import entry

CASES = Path(__file__).parents[1] / "cases"


class House:
    """A studio with one class to come, and the command line over it."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.path, self._capsys = folder, folder / "s.kitwright", capsys
        with a_studio(self.path) as studio:
            class_date(studio, title="Clay")

    def say(self, *arguments: str) -> dict[str, Any]:
        self._capsys.readouterr()
        status = entry.run([*arguments, "--file", str(self.path), "--json"])
        answer = dict(json.loads(self._capsys.readouterr().out))
        assert status == 0, answer
        return answer

    def take(self, case: str, name: str = "input.csv") -> dict[str, Any]:
        """Import a file of a case under one name, as she does who exports it anew; rows of no class go to the class."""
        source = self.folder / f"{case}.csv"
        source.write_bytes((CASES / case / name).read_bytes())
        return self.say("import", str(source), "--class", "C01", "--keep")

    def written(self, *arguments: str, suffix: str = ".csv") -> bytes:
        target = self.folder / f"out{suffix}"
        target.unlink(missing_ok=True)
        self.say(*arguments, "--to", str(target))
        return target.read_bytes()

    def state(self) -> dict[str, Any]:
        with Studio(str(self.path)) as studio:
            without = frozenset({"modified_at", "sequence"})
            return {
                table: rows for table, rows in dump(studio, without=without).items() if not table.startswith("history")
            }

    def seated(self) -> list[str]:
        with Studio(str(self.path)) as studio:
            return sorted(row.name or "?" for row in studio.ask(Roster(1)).seated)


@pytest.fixture
def house(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> House:
    return House(tmp_path, capsys)


def expected(case: str) -> dict[str, Any]:
    return dict(tomllib.loads((CASES / case / "case.toml").read_text("utf-8"))["expect"])


LISTS = (("people",), ("bookings",), ("roster", "C01"))


@pytest.mark.parametrize("of", LISTS, ids=lambda of: of[0])
def test_no_written_cell_begins_like_a_formula_and_all_are_read_back_as_they_were(
    house: House, of: tuple[str, ...]
) -> None:
    house.take("csv-formula-injection")
    right = expected("csv-formula-injection")
    rows = list(csv.reader(io.StringIO(house.written("write", *of).decode("utf-8-sig"))))
    cells = [cell for row in rows for cell in row]
    evil = [cell for cell in cells if cell.lstrip("'").startswith(tuple(right["must_neutralise"]))]
    assert [cell for cell in evil if not cell.startswith("'")] == []
    assert [cell for cell in cells if cell[:1] in "=+-@\t\r" and cell and cell not in right["must_keep"]] == []
    assert any(cell.startswith("'=cmd|") for cell in cells)
    if of[0] == "people":
        assert "+44 7700 900125" in cells


def test_a_list_of_people_read_in_elsewhere_has_the_names_as_they_were(house: House, tmp_path: Path) -> None:
    house.take("csv-formula-injection")
    octets = house.written("write", "people")
    (tmp_path / "other").mkdir()
    other = House(tmp_path / "other", house._capsys)
    (other.folder / "people.csv").write_bytes(octets)
    other.say("import", str(other.folder / "people.csv"), "--class", "C01", "--keep")
    with Studio(str(house.path)) as one, Studio(str(other.path)) as two:
        names = [sorted(row.name for row in studio.ask(FindPeople("")).rows) for studio in (one, two)]
    assert names[0] == names[1]
    assert "=cmd|' /C calc'!A0" in names[0]


@pytest.mark.parametrize("of", LISTS, ids=lambda of: of[0])
def test_a_workbook_holds_such_cells_as_text(house: House, of: tuple[str, ...]) -> None:
    house.take("csv-formula-injection")
    book = openpyxl.load_workbook(io.BytesIO(house.written("write", *of, suffix=".xlsx")))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert "f" not in {cell.data_type for cell in cells}
    assert any(str(cell.value).lstrip("'").startswith("=cmd|") and cell.data_type == "s" for cell in cells)


def test_health_stays_out_of_calendars_default_lists_and_answers(house: House) -> None:
    answer = house.take("csv-health-notes")
    words = [word.encode() for word in expected("csv-health-notes")["forbidden_in_export"]]
    calendars = [("export",), ("export", "private", "--blocks"), ("export", "class", "C01")]
    for arguments in [*calendars, ("export", "attendee", "Ned")]:
        octets = house.written(*arguments, suffix=".ics").replace(b"\r\n ", b"")
        assert [word for word in words if word in octets] == [], arguments
    health = [word for word in words if b"@" not in word]
    for of in LISTS:
        assert [word for word in health if word in house.written("write", *of)] == [], of
    assert b"nut allergy" in house.written("write", "roster", "C01", "--with", "health")
    assert "nut allergy" not in json.dumps(answer)
    assert "nut allergy" not in json.dumps(house.say("history"))


def test_a_file_read_a_second_and_a_third_time_adds_changes_and_is_undone_step_by_step(house: House) -> None:
    states = [house.state()]
    first = house.take("csv-repeat-import")
    assert sorted(row["what"] for row in first["rows"]) == ["new", "new"]
    states.append(house.state())
    second = house.take("csv-repeat-import", "second.csv")
    assert {row["what"] for row in second["rows"]} == {"same"}
    assert second["undo"] == 0
    assert house.state() == states[1]
    third = house.take("csv-repeat-import", "third.csv")
    right = expected("csv-repeat-import")["after_third"]
    assert len(third["rows"]) == right["signups"]
    assert {row["name"]: row["what"] for row in third["rows"]} == {
        "Wim Aas": "new",
        "Valerie Zahn": "changed",
        "Una Yde": "changed",
    }
    assert len(house.seated()) == right["signups"] - right["cancelled"]
    assert "Una Yde" not in house.seated()
    assert "Valerie Zahn" in house.seated()
    for number, state in ((third["undo"], states[1]), (first["undo"], states[0])):
        with Studio(str(house.path)) as studio:
            studio.do(Undo(history_id=number))
        assert house.state() == state


INJECTED = """
import csv, sys
from scheduling.queries.calendars import ClassCalendar
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, venue
with a_studio() as studio:
    for row in csv.DictReader(open(sys.argv[1], encoding="utf-8", newline="")):
        room = venue(studio, name="Mill", address=row["Place"])
        day = row["Date"].replace("2026", "2027")
        class_date(studio, day, row["Start"], row["End"], title=row["Title"], venue_id=room)
    sys.stdout.buffer.write(studio.ask(ClassCalendar()))
"""


@pytest.mark.parametrize("options", [[], ["-O"]], ids=["as usual", "without assert"])
def test_no_title_or_place_adds_a_line_to_a_calendar(options: list[str]) -> None:
    source = CASES / "export-line-injection" / "input.csv"
    command = [sys.executable, *options, "-c", INJECTED, str(source)]
    octets = subprocess.run(command, capture_output=True, check=True, timeout=120).stdout
    assert octets.count(b"\r") == octets.count(b"\n") == octets.count(b"\r\n")
    assert b"\r\nX-EVIL" not in octets.replace(b"\r\n ", b"")
    events = list(icalendar.Calendar.from_ical(octets).walk("VEVENT"))
    assert len(events) == expected("export-line-injection")["counts"]["events"]
    assert str(events[0]["LOCATION"]) == "Mill, Mill 4, north; room \\n 2"
    assert str(events[1]["LOCATION"]) == 'Mill, say "hi"'

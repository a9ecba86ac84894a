"""Lists for a spreadsheet: what they hold, what they keep back, and that no spreadsheet runs what they say."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from demo.load import make_demo
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.erasing import ErasePerson
from scheduling.commands.people import RetirePerson
from scheduling.exchange.read import read_people
from scheduling.queries.classes import Classes
from scheduling.queries.lists import BookingsList, MoneyList, PeopleList, RosterList, StockList, WrittenList
from scheduling.queries.owed import Owed
from scheduling.studio import Studio
from tests.support.builders import a_studio, book, class_date, person
from tui.lines import entry

TODAY = dt.date(2027, 2, 1)


def cells(found: WrittenList, title: str) -> list[Any]:
    at = [column.title for column in found.columns].index(title)
    return [row[at] for row in found.rows]


def csv_rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8-sig"), newline="")))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        number = class_date(studio, title="Album", seats=2)
        ada = person(studio, "Ada Wren", email="ada@example.org", health_note="nuts", access_needs="step-free")
        book(studio, number, ada, heads=2, note="=HYPERLINK(1)")
        book(studio, number, person(studio, '@Bea "Finch"'), state="waitlist")
    return path


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Studio:
    path = tmp_path_factory.mktemp("demo") / "demo.kitwright"
    make_demo(path)
    return Studio(str(path))


def write(path: Path, *arguments: str) -> int:
    return entry.run(["write", *arguments, "--file", str(path)])


def test_a_roster_has_a_row_for_each_head_and_for_each_who_waits(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "roster.csv"
    assert write(path, "roster", "C01", "--to", str(target)) == 0
    rows = csv_rows(target)
    assert [(row["Name"], row["Status"], row["Payer"]) for row in rows] == [
        ("Ada Wren", "confirmed", "Ada Wren"),
        ("", "confirmed", "Ada Wren"),
        ('\'@Bea "Finch"', "waitlist", '\'@Bea "Finch"'),
    ]
    assert rows[0]["Class date"] == "2027-03-13"


def test_nothing_in_a_csv_starts_a_formula(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "roster.csv"
    write(path, "roster", "C01", "--to", str(target))
    assert csv_rows(target)[0]["Note"] == "'=HYPERLINK(1)"
    assert not [cell for row in csv_rows(target) for cell in row.values() if cell[:1] in "=+-@\t\r" and cell]


def test_a_csv_is_rfc_4180_with_a_mark_and_crlf(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "people.csv"
    write(path, "people", "--to", str(target))
    octets = target.read_bytes()
    assert octets.startswith(b"\xef\xbb\xbf")
    assert octets.count(b"\r\n") == octets.count(b"\n") == 3
    assert b'"\'@Bea ""Finch"""' in octets


@pytest.mark.parametrize("which", [("roster", "C01"), ("people",)])
@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_health_and_needs_are_left_out_unless_asked_for_by_name(
    path: Path, tmp_path: Path, which: tuple[str, ...], suffix: str
) -> None:
    def text(*options: str) -> str:
        target = tmp_path / f"list{suffix}"
        assert write(path, *which, *options, "--to", str(target)) == 0
        if suffix == ".csv":
            return target.read_text("utf-8-sig")
        return str([[cell.value for cell in row] for row in openpyxl.load_workbook(target).active.iter_rows()])  # type: ignore[union-attr]  # a book has a sheet

    assert "nuts" not in text()
    assert "step-free" not in text()
    assert "nuts" in text("--with", "health")
    assert "step-free" not in text("--with", "health")
    assert "step-free" in text("--with", "needs")
    assert "nuts" not in text("--with", "needs")


def test_only_she_may_read_a_list(path: Path, tmp_path: Path) -> None:
    for name in ("people.csv", "people.xlsx"):
        write(path, "people", "--to", str(tmp_path / name))
        assert (tmp_path / name).stat().st_mode & 0o777 == 0o600


def test_a_workbook_stores_text_as_text_and_days_as_days(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "roster.xlsx"
    write(path, "roster", "C01", "--to", str(target))
    sheet = openpyxl.load_workbook(target)["Roster C01"]
    head = [cell.value for cell in sheet[1]]
    note, day = sheet[2][head.index("Note")], sheet[2][head.index("Class date")]
    assert (note.value, note.data_type) == ("=HYPERLINK(1)", "s")
    assert day.value == dt.datetime.fromisoformat("2027-03-13")


def test_the_same_list_again_leaves_the_file_alone(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for changed in (True, False):
        capsys.readouterr()
        write(path, "people", "--to", str(tmp_path / "people.xlsx"), "--json")
        assert json.loads(capsys.readouterr().out)["changed"] is changed


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        (("roster", "--to", "x.csv"), "class"),
        (("people", "C01", "--to", "x.csv"), "class"),
        (("money", "--with", "health", "--to", "x.csv"), "with"),
        (("people", "--to", "x.pdf"), "to"),
    ],
)
def test_what_makes_no_sense_is_refused(
    path: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], field: str
) -> None:
    assert write(path, *arguments, "--json") == 1
    assert json.loads(capsys.readouterr().out)["field"] == field


def test_erased_people_are_on_no_list_and_retired_ones_only_when_wanted(path: Path) -> None:
    with Studio(str(path), origin="window test") as studio:
        gone, old = person(studio, "Gone"), person(studio, "Old")
        studio.do(ErasePerson(person_id=gone))
        studio.do(RetirePerson(person_id=old))
        assert "Old" not in cells(studio.ask(PeopleList()), "Name")
        names = cells(studio.ask(PeopleList(with_retired=True)), "Name")
        assert "Old" in names
        assert not [name for name in names if "Gone" in name or "Erased" in name]


def test_a_written_list_of_people_is_read_back_as_the_same_people(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "people.csv"
    write(path, "people", "--to", str(target))
    read = read_people(target.read_bytes(), target.name, today=TODAY)
    assert {(one.name, one.emails) for one in read.people} == {
        ("Ada Wren", ("ada@example.org",)),
        ('@Bea "Finch"', ()),
    }


def test_every_movement_of_money_adds_up_to_what_is_held(demo: Studio) -> None:
    found = demo.ask(MoneyList())
    amounts = [
        amount
        for amount, bounced in zip(cells(found, "Amount"), cells(found, "Did not come"), strict=True)
        if not bounced
    ]
    held = sum(cells(demo.ask(BookingsList()), "Held"), Decimal())
    assert sum(amounts, Decimal()) == held > 0
    assert cells(found, "Day") == sorted(cells(found, "Day"))


def test_what_bookings_owe_agrees_with_what_is_owed(demo: Studio) -> None:
    found, owed = demo.ask(BookingsList()), demo.ask(Owed())
    asked = sum(cells(found, "To pay"), Decimal())
    assert asked == owed.currency.from_minor(sum(one.balance.to_pay for one in owed.to_pay))


def test_money_is_cut_to_the_days_wanted(demo: Studio) -> None:
    days = cells(demo.ask(MoneyList()), "Day")
    first, until = days[5], days[-5]
    cut = cells(demo.ask(MoneyList(first, until)), "Day")
    assert cut == [day for day in days if first <= day < until]
    assert 0 < len(cut) < len(days)


def test_stock_is_listed_with_its_sizes_in_the_studios_own_form(demo: Studio) -> None:
    found = demo.ask(StockList())
    rows = [row[1:9] for row in found.rows]
    assert ("Binder's board 0.080 in", "sheet", "whole", "30 in", "20 in", "long", 6, 10) in rows
    assert {row[2] for row in rows} == {"whole", "begun"}
    assert all(bool(row[3]) == (row[1] != "each") for row in rows)


def test_every_class_of_the_demo_has_a_roster_to_write(demo: Studio) -> None:
    for row in demo.ask(Classes("all")):
        found = demo.ask(RosterList(row.id))
        assert all(len(cells_) == len(found.columns) for cells_ in found.rows)


def test_a_booking_given_up_is_off_the_roster_and_stays_among_the_bookings(path: Path) -> None:
    with Studio(str(path), origin="window test") as studio:
        studio.do(CancelBooking(booking_id=1))
        assert "Ada Wren" not in cells(studio.ask(RosterList(1)), "Name")
        assert cells(studio.ask(BookingsList()), "State")[0] == "cancelled"

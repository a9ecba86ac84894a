"""Workbooks give what she sees in them: the right sheet, whole numbers, merges, and a word on what is missing."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Callable, Sequence
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from scheduling.errors import InvalidError
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import PeopleRead

TODAY = dt.date(2026, 3, 1)
PEOPLE: list[list[Any]] = [["Name", "E-mail", "Seats"], ["Ada Roe", "ada@p.example", 2]]
Rows = Sequence[Sequence[Any]]


def workbook(sheets: dict[str, Rows], change: Callable[[Any], None] | None = None) -> bytes:
    """The bytes of a workbook; `change` is called with it before it is saved."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    if change:
        change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def reading(content: bytes, **more: Any) -> PeopleRead:
    return read_people(content, "list.xlsx", today=TODAY, **more)


def notices(read: PeopleRead) -> list[str]:
    return [str(notice) for notice in read.notices]


def test_the_sheet_of_people_is_read_and_named() -> None:
    read = reading(workbook({"Prices": [["Item", "Price"], ["Clay", 3]], "People": PEOPLE}))
    assert (read.source.sheet, read.source.sheets, read.ask) == ("People", ("Prices", "People"), ())
    assert notices(read) == ["Of 2 sheets “People” is read."]


def test_two_sheets_of_people_are_asked_for() -> None:
    content = workbook({"May": PEOPLE, "June": [PEOPLE[0], ["Ben Sol", "ben@p.example", 1]]})
    read = reading(content)
    assert [question.text for question in read.ask] == ["sheet: which one is meant, “May” or “June”?"]
    assert [person.name for person in reading(content, sheet="June").people] == ["Ben Sol"]
    mapping = read.mapping.answered("sheet", "sheet", "June")
    assert [person.name for person in reading(content, mapping=mapping).people] == ["Ben Sol"]


def test_hidden_sheets_are_not_read() -> None:
    def hide(book: Any) -> None:
        book["Old"].sheet_state = "hidden"

    read = reading(workbook({"Old": [PEOPLE[0], ["Gone", "g@p.example", 1]], "New": PEOPLE}, hide))
    assert ([person.name for person in read.people], read.ask) == (["Ada Roe"], ())


def test_a_cell_merged_downwards_counts_for_all_its_rows_and_titles_for_none() -> None:
    def merge(book: Any) -> None:
        for span in ("A1:D1", "A3:A4", "D3:D4"):
            book["S"].merge_cells(span)

    rows: list[list[Any]] = [
        ["Spring", None, None, None],
        ["Class", "Name", "E-mail", "Seats"],
        ["Clay", "A B", "a@p.example", 2],
        [None, "C D", "c@p.example", None],
        ["Soap", "E F", "e@p.example", 1],
    ]
    read = reading(workbook({"S": rows}, merge))
    assert [(s.class_text, s.heads) for s in read.sign_ups] == [("Clay", 2), ("Clay", 2), ("Soap", 1)]
    assert notices(read) == ["Row 4: “Seats” is merged with the row above; it counts again."]


def test_numbers_have_no_point_and_no_exponent() -> None:
    def pad(book: Any) -> None:
        book["S"]["B4"].number_format = "00000000000"

    rows: list[list[Any]] = [
        ["Name", "Phone", "Seats", "Member no"],
        ["A", 447700900123.0, 2.0, 7],
        ["B", 4.477e20, "2", 8],
        ["C", 7700900123, 1, 9],
    ]
    read = reading(workbook({"S": rows}, pad))
    assert [(p.phones[0].number, p.phones[0].damaged, p.source_id) for p in read.people] == [
        ("447700900123", False, "7"),
        ("", True, "8"),
        ("07700900123", False, "9"),
    ]
    assert [sign_up.heads for sign_up in read.sign_ups] == [2, 2, 1]
    assert [notice.row for notice in read.notices] == [2, 3]


def test_formulas_without_a_result_and_errors_are_told_by_cell() -> None:
    rows: list[list[Any]] = [
        ["First", "Last", "Name", "Seats", "Class date"],
        ["Sal", "Egan", '=A2&" "&B2', "=1+1", "=TODAY()"],
        ["Tam", "Finn", "Tam Finn", "#N/A", "#REF!"],
    ]
    read = reading(workbook({"S": rows}))
    assert [(person.name, s.heads, s.day) for person, s in zip(read.people, read.sign_ups, strict=True)] == [
        ("Sal Egan", None, None),
        ("Tam Finn", None, None),
    ]
    assert [text for text in notices(read) if "heads" not in text] == [
        "Row 2: formula without result: C2, D2, E2.",
        "Row 3: #N/A: D3.",
        "Row 3: #REF!: E3.",
    ]


def test_dates_times_and_truth_are_what_they_show() -> None:
    ten = dt.datetime(2026, 5, 9, 10, 0)  # noqa: DTZ001  a workbook holds wall time
    rows: list[list[Any]] = [
        ["Name", "Class date", "Start time", "Cancelled"],
        ["A", ten, None, True],
        ["B", dt.date(2026, 5, 10), dt.time(18, 30), False],
        ["C", 46153, 0.75, None],
        ["D", "25/04/2026", "6.30 pm", None],
    ]
    read = reading(workbook({"S": rows}))
    assert [(s.day, s.starts, s.state) for s in read.sign_ups] == [
        (dt.date(2026, 5, 9), dt.time(10), "cancelled"),
        (dt.date(2026, 5, 10), dt.time(18, 30), "confirmed"),
        (dt.date(2026, 5, 11), dt.time(18), "confirmed"),
        (dt.date(2026, 4, 25), dt.time(18, 30), "confirmed"),
    ]


def test_a_book_of_the_1904_system_gives_the_same_days() -> None:
    def early(book: Any) -> None:
        book.epoch = CALENDAR_MAC_1904

    rows: list[list[Any]] = [["Name", "Class date"], ["A", dt.date(2026, 5, 9)], ["B", 46151 - 1462]]
    assert [s.day for s in reading(workbook({"S": rows}, early)).sign_ups] == [dt.date(2026, 5, 9)] * 2


def test_formatted_empty_rows_and_gaps_are_passed_over() -> None:
    def colour(book: Any) -> None:
        for number in range(5, 3000):
            book["S"].cell(number, 1).number_format = "0.00"

    read = reading(workbook({"S": [*PEOPLE, [], ["Ben Sol", "ben@p.example", 1]]}, colour))
    assert [person.row for person in read.people] == [2, 4]
    assert notices(read) == []


def test_progress_rises_once_over_cutting_and_reading_and_can_stop() -> None:
    content = workbook({"S": [PEOPLE[0], *([f"P {n}", f"p{n}@p.example", 1] for n in range(2500))]})
    calls: list[tuple[int, int]] = []

    def note(done: int, total: int) -> bool:
        calls.append((done, total))
        return True

    reading(content, progress=note)
    shares = [done / total for done, total in calls]
    assert shares == sorted(shares)
    assert shares[-1] == 1
    with pytest.raises(InvalidError) as stopped:
        reading(content, progress=lambda done, _: done < 1)
    assert stopped.value.field == "stopped"


def package(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in parts.items():
            made.writestr(name, content)
    return out.getvalue()


def test_a_package_that_unpacks_to_too_much_is_refused_before_it_is_unpacked() -> None:
    content = package({"[Content_Types].xml": b"x", "xl/worksheets/sheet1.xml": bytes(201_000_000)})
    assert len(content) < 1_000_000
    with pytest.raises(InvalidError, match="unpacks to more"):
        reading(content)


def test_a_workbook_that_declares_entities_is_refused() -> None:
    with zipfile.ZipFile(io.BytesIO(workbook({"S": PEOPLE}))) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa">]>'
    parts["xl/worksheets/sheet1.xml"] = bomb + parts["xl/worksheets/sheet1.xml"]
    with pytest.raises(InvalidError, match="declarations"):
        reading(package(parts))


@pytest.mark.parametrize(
    "content",
    [
        b"PK\x03\x04 and nothing more",
        package({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet"}),
        package({"[Content_Types].xml": b"<x/>"}),
        workbook({"S": PEOPLE})[:3000],
    ],
)
def test_what_is_no_whole_workbook_is_refused(content: bytes) -> None:
    with pytest.raises(InvalidError) as refused:
        reading(content)
    assert refused.value.hint


def test_real_dates_beside_text_that_a_spreadsheet_could_not_swap_are_told() -> None:
    rows: list[list[Any]] = [
        ["Name", "Class date"],
        ["A", dt.date(2026, 3, 4)],
        ["B", "25/04/2026"],
        ["C", "28/04/2026"],
    ]
    read = reading(workbook({"S": rows}))
    assert "may have swapped day and month" in notices(read)[0]
    rows.append(["D", dt.date(2026, 5, 30)])
    assert notices(reading(workbook({"S": rows}))) == []

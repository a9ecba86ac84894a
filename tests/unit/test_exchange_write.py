"""Lists are written so that no spreadsheet evaluates them and nothing of health goes out unasked."""

from __future__ import annotations

import csv
import datetime as dt
import io
from decimal import Decimal

import openpyxl
import pytest

from scheduling.errors import InvalidError
from scheduling.exchange.read import read_people
from scheduling.exchange.write import Cell, Column, csv_bytes, guarded, xlsx_bytes

TODAY = dt.date(2026, 3, 1)


@pytest.mark.parametrize(
    "text",
    ["=cmd|' /C calc'!A0", "@SUM(1+1)", "-2+3", "+1-1", '=HYPERLINK("http://bad.example")', "\t=1", "\rx", " =1+1",
     "＝1", "＋1",
     "\u200b=1", "+44-7700", "-", "+", "--5", "'=1", "''-5"],
)  # fmt: skip
def test_what_a_spreadsheet_may_evaluate_gets_an_apostrophe(text: str) -> None:
    assert guarded(text) == f"'{text}"


@pytest.mark.parametrize(
    "text", ["-5", "-5.50", "-5,50", "+44 7700 900125", "+4930123456", "O'Neill", "'t Hooft", "a=b", "", "1+1", "5-6"]
)
def test_numbers_phone_numbers_and_plain_words_stay(text: str) -> None:
    assert guarded(text) == text


def test_a_csv_has_a_mark_crlf_and_quotes_by_rfc_4180() -> None:
    content = csv_bytes(["Name", "Note"], [["Zoë, Ann", 'says "hi"\nthere'], ["B", None]])
    assert content == '\ufeffName,Note\r\n"Zoë, Ann","says ""hi""\nthere"\r\nB,\r\n'.encode()


def test_cells_of_every_kind_are_written_plainly() -> None:
    moment = dt.datetime(2026, 5, 9, 18, 30)  # noqa: DTZ001  wall time
    row: list[Cell] = [
        3,
        Decimal("1E+2"),
        Decimal("45.50"),
        True,
        False,
        dt.date(2026, 2, 28),
        moment,
        dt.time(9, 5),
        None,
        -5,
    ]
    text = csv_bytes(["x"] * len(row), [row]).decode("utf-8-sig").splitlines()[1]
    assert text == "3,100,45.50,yes,no,2026-02-28,2026-05-09 18:30,09:05,,-5"


def test_control_characters_and_direction_overrides_do_not_go_out() -> None:
    text = csv_bytes(["Name"], [["a\x00b\x1b[31m\u202ec"]]).decode("utf-8-sig")
    assert text == "Name\r\nab[31mc\r\n"


def test_health_is_left_out_unless_it_is_asked_for_by_name() -> None:
    columns: list[Column | str] = ["Name", Column("Allergies", is_health=True), Column("Access", is_health=True)]
    rows = [["Ned Roe", "nut allergy", "wheelchair"]]
    assert csv_bytes(columns, rows).decode("utf-8-sig") == "Name\r\nNed Roe\r\n"
    asked = csv_bytes(columns, rows, health=["Allergies"]).decode("utf-8-sig")
    assert asked == "Name,Allergies\r\nNed Roe,nut allergy\r\n"
    for written in (xlsx_bytes({"S": (columns, rows)}), xlsx_bytes({"S": (columns, rows)}, health=["Access"])):
        values = [cell.value for row in openpyxl.load_workbook(io.BytesIO(written))["S"] for cell in row]
        assert "nut allergy" not in values


@pytest.mark.parametrize("write", [csv_bytes, lambda columns, rows, **more: xlsx_bytes({"S": (columns, rows)}, **more)])
def test_a_health_column_that_is_not_there_is_refused(write: object) -> None:
    with pytest.raises(InvalidError) as refused:
        write(["Name"], [["A"]], health=["Allergies"])  # type: ignore[operator]
    assert refused.value.field == "health"


def test_workbook_cells_of_text_are_strings_and_numbers_are_numbers() -> None:
    rows: list[list[Cell]] = [["=1+1", "#N/A", "+44 7700 900125", Decimal("45.50"), -5, dt.date(2026, 5, 9)]]
    sheet = openpyxl.load_workbook(io.BytesIO(xlsx_bytes({"People": (list("abcdef"), rows)})))["People"]
    cells = [(cell.value, cell.data_type) for cell in sheet[2]]
    assert cells == [
        ("=1+1", "s"),
        ("#N/A", "s"),
        ("+44 7700 900125", "s"),
        (45.5, "n"),
        (-5, "n"),
        (dt.datetime(2026, 5, 9), "d"),  # noqa: DTZ001  a workbook holds wall time
    ]


def test_equal_lists_give_equal_bytes() -> None:
    lists: dict[str, tuple[list[str], list[list[Cell]]]] = {
        "A": (["Name"], [["Ada"]]),
        "B": (["Day"], [[dt.date(2026, 5, 9)]]),
    }
    assert xlsx_bytes(lists) == xlsx_bytes(lists)


@pytest.mark.parametrize("name", ["", "a/b", "x" * 32, "[y]"])
def test_a_name_that_no_sheet_can_have_is_refused(name: str) -> None:
    with pytest.raises(InvalidError) as refused:
        xlsx_bytes({name: (["Name"], [])})
    assert refused.value.field == "sheet"


def test_a_workbook_without_a_sheet_is_refused() -> None:
    with pytest.raises(InvalidError):
        xlsx_bytes({})


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_is_written_is_read_back_with_its_text(kind: str) -> None:
    columns = ["Name", "E-mail", "Phone", "Class date", "Seats", "Paid", "Note"]
    rows: list[list[Cell]] = [
        ["=cmd|' /C calc'!A0", "x@p.example", "+44 7700 900125", dt.date(2026, 4, 3), 2, Decimal("1091.50"), "+1-1"],
        ["'=x", "y@p.example", "0171 123456", dt.date(2026, 4, 5), 1, None, "-5"],
    ]
    content = csv_bytes(columns, rows) if kind == "csv" else xlsx_bytes({"People": (columns, rows)})
    read = read_people(content, f"people.{kind}", today=TODAY)
    assert [(person.typed, person.phones[0].typed) for person in read.people] == [(row[0], row[2]) for row in rows]
    assert [(s.day, s.heads, s.paid, s.note) for s in read.sign_ups] == [
        (row[3], row[4], row[5], row[6]) for row in rows
    ]
    assert read.ask == ()


def test_a_row_of_one_empty_cell_is_not_a_blank_line() -> None:
    text = csv_bytes(["Name"], [[""], ["A"]]).decode("utf-8-sig")
    assert list(csv.reader(io.StringIO(text, newline=""))) == [["Name"], [""], ["A"]]

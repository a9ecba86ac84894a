"""Text files are cut into the rows and columns that were meant."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.exchange import sheets
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import Notices, PeopleRead

TODAY = dt.date(2026, 3, 1)


def reading(text: str) -> PeopleRead:
    return read_people(text.encode(), "list.csv", today=TODAY)


def cells(text: str) -> list[list[object]]:
    return [list(row.cells) for row in sheets.split(text, Notices()).rows]


def texts(read: PeopleRead) -> list[str]:
    return [str(notice) for notice in read.notices]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_every_delimiter_and_line_end_gives_the_same_people(delimiter: str, line_end: str) -> None:
    rows = [["Name", "E-mail", "Seats"], ["Ada Roe", "ada@p.example", "2"], ["Ben Sol", "ben@p.example", "1"]]
    read = reading(line_end.join(delimiter.join(row) for row in rows) + line_end)
    assert read.source.delimiter == delimiter
    assert [(p.name, s.heads) for p, s in zip(read.people, read.sign_ups, strict=True)] == [
        ("Ada Roe", 2),
        ("Ben Sol", 1),
    ]


def test_decimal_commas_do_not_make_columns() -> None:
    assert reading("Name;Bezahlt;Plätze\nAda;45,50;1\nBen;1.091,00;2\n").source.delimiter == ";"


def test_commas_in_names_under_one_header_are_one_column() -> None:
    read = reading("Name\nSmith, John\nDoe, Jane\n")
    assert [person.name for person in read.people] == ["John Smith", "Jane Doe"]


def test_the_sep_line_is_obeyed_and_counted_as_a_row() -> None:
    read = reading("sep=|\nName|E-mail\nAda, Roe|ada@p.example\n")
    assert (read.source.delimiter, read.source.header_row) == ("|", 2)


def test_the_header_is_found_under_title_rows() -> None:
    read = reading("Class,Linocut,\nDate,9 May 2026,\nSeats,8,\n,,\nName,E-mail,Seats\nAda Roe,ada@p.example,2\n")
    assert read.source.header_row == 5
    assert [person.name for person in read.people] == ["Ada Roe"]


def test_two_levels_of_header_are_joined() -> None:
    read = reading("Person,,Class,,Paid\nFirst,Last,Title,Date,\nKit,Vane,Felt,2026-05-09,yes\n")
    assert read.header == ("Person First", "Person Last", "Class Title", "Class Date", "Paid")
    assert read.people[0].name == "Kit Vane"


def test_doubled_and_empty_headers_are_numbered() -> None:
    read = reading("Name,E-mail,E-mail,,\nUna Park,una@p.example,una@w.example,x,y\n")
    assert read.header == ("Name", "E-mail", "E-mail (2)", "column 4", "column 5")
    assert read.people[0].emails == ("una@p.example",)
    assert read.people[0].other_emails == ("una@w.example",)
    assert read.samples[2] == ("una@w.example",)


def test_a_header_that_comes_again_is_no_person() -> None:
    assert len(reading("Name,E-mail\nA B,a@p.example\nName,E-mail\nC D,c@p.example\n").people) == 2


@pytest.mark.parametrize("total", ["Total", "Summe:", "TOTAL 12", "合計", "Итого"])
def test_a_row_of_totals_is_no_person(total: str) -> None:
    assert len(reading(f"Name;E-mail;Seats\nA B;a@p.example;2\n;;\n{total};;2\n").people) == 1


def test_a_remark_alone_in_its_row_is_left_out_with_a_word() -> None:
    read = reading("Name,E-mail,Seats\nA B,a@p.example,2\nExported on 1 May 2026,,\nC D,,\n")
    assert [person.name for person in read.people] == ["A B", "C D"]
    assert texts(read) == ["Row 3: “Exported on 1 May 2026” names nobody and is left out."]


def test_short_and_long_rows_are_kept_and_told() -> None:
    read = reading("Name,E-mail,Class\nA B,a@p.example\nC D,c@p.example,Clay,more\n")
    assert [sign_up.class_text for sign_up in read.sign_ups] == ["", "Clay"]
    assert texts(read) == ["Row 2: has 2 of 3 cells.", "Row 3: has 4 cells under 3 headers; the rest is left."]


def test_a_name_without_quotes_is_mended_where_its_address_proves_it() -> None:
    read = reading("Name,E-mail,Class,Seats\nRoe, Ada,ada@p.example,Clay,2\nBen Sol,b@p.example,Clay,1,\n")
    assert [(p.name, p.emails, s.heads) for p, s in zip(read.people, read.sign_ups, strict=True)] == [
        ("Ada Roe", ("ada@p.example",), 2),
        ("Ben Sol", ("b@p.example",), 1),
    ]
    assert texts(read) == ["Row 2: holds a name without quotes, read as “Roe, Ada”."]


def test_a_quote_that_is_never_closed_loses_no_row() -> None:
    read = reading('Name,E-mail,Note\nA B,a@p.example,"oops\nC D,c@p.example,x\nE F,e@p.example,y\n')
    assert [person.name for person in read.people] == ["A B", "C D", "E F"]
    assert texts(read) == ["Row 2: a quotation mark is opened and never closed."]


def test_line_breaks_in_quotes_stay_in_the_cell() -> None:
    read = reading('Name,Address,Note\nIda Falk,"Mill Lane 4\nFlat 2\r\nRedhill","says ""hi"""\n')
    assert read.people[0].address == "Mill Lane 4\nFlat 2\nRedhill"
    assert read.sign_ups[0].note == 'says "hi"'


def test_a_giant_cell_is_cut_to_what_a_spreadsheet_holds() -> None:
    read = reading(f"Name,Note\nEli Ito,{'clay ' * 40_000}\nFlo Jay,\n")
    assert len(read.sign_ups[0].note) <= sheets.MOST_CELL
    assert texts(read) == ["Row 2: a cell of 200,000 characters is cut to 32,767 of them."]


def test_rows_past_the_limit_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "MOST_ROWS", 3)
    read = reading("Name\nA\nB\nC\nD\n")
    assert len(read.people) == 2
    assert texts(read) == ["Only the first 3 rows are read."]


def test_wrapped_and_guarded_cells_are_read_as_meant() -> None:
    assert cells('A,B\n"=""0301234567""","\'+4930"\n\'=1+1,O\'Neill\n') == [
        ["A", "B"],
        ["0301234567", "+4930"],
        ["=1+1", "O'Neill"],
    ]


@pytest.mark.parametrize(
    "text",
    [
        "<html><body>Name</body></html>",
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
        '{"name": "Ada", "email": "a@p.example"}',
        "Dear all,\nthanks for coming, see you soon.\nBest\n",
        "1,2\n3,4\n",
    ],
)
def test_what_lists_nobody_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refused:
        reading(text)
    assert refused.value.field == "file"
    assert refused.value.hint


def test_a_header_without_rows_is_told() -> None:
    read = reading("Name,E-mail\n")
    assert (read.people, texts(read)) == ((), ["There is a header and no row under it."])


def test_commas_in_addresses_do_not_beat_the_semicolon_between_the_cells() -> None:
    read = reading(
        "Ada Roe;ada@p.example;4 Mill Lane, Redhill, Surrey, UK\nBen Sol;b@p.example;5 Mill Lane, Redhill, Surrey, UK\n"
    )
    assert read.source.delimiter == ";"
    assert [person.emails for person in read.people] == [("ada@p.example",), ("b@p.example",)]

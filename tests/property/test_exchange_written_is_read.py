"""Any list that we write is read back the same, cell for cell."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re

from hypothesis import given
from hypothesis import strategies as st

from scheduling.exchange.read import read_people
from scheduling.exchange.rows import Notices
from scheduling.exchange.sheets import read_sheet
from scheduling.exchange.text import without_guard
from scheduling.exchange.write import csv_bytes, guarded, xlsx_bytes
from scheduling.exchange.xlsx import read_workbook

# All of Unicode but what is never written: control characters, direction overrides, halves of characters.
LETTERS = st.characters(
    exclude_categories=("Cs", "Cc"), exclude_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
SPICE = st.sampled_from(
    ["=", "+", "-", "@", "'", '"', ",", ";", "\t", "\n", "\r\n", "\r", "＝", " ", '="', "5", "sep=", "|", "x"]
)
CELLS = st.lists(st.one_of(SPICE, st.text(LETTERS, max_size=6)), max_size=6).map("".join)
TABLES = st.integers(2, 5).flatmap(
    lambda width: st.lists(st.lists(CELLS, min_size=width, max_size=width), min_size=1, max_size=8)
)


@given(CELLS)
def test_a_guarded_cell_is_read_as_it_was_and_never_evaluated(text: str) -> None:
    safe = guarded(text)
    assert without_guard(safe) == text
    first = safe.lstrip(" \t\r\n\xa0\u00ad\u200b\u200c\u200d\u2060\ufeff")[:1]
    assert first not in set("=+-@＝＋－＠") or re.fullmatch(r"-?\d+([.,]\d+)?|\+\d[\d ]*", safe)
    assert safe[:1] not in set("\t\r\n")


@given(TABLES)
def test_any_csv_that_we_write_is_read_back_the_same(rows: list[list[str]]) -> None:
    header = [f"Header {index}" for index in range(len(rows[0]))]
    sheet = read_sheet(csv_bytes(header, rows), Notices())
    written = [header, *rows]
    kept = [
        (number, row)
        for number, row in enumerate(written, 1)
        if any(cell and not guarded(cell).isspace() for cell in row)
    ]
    assert sheet.delimiter == ","
    assert [(row.number, row.cells) for row in sheet.rows] == kept


@given(TABLES)
def test_any_csv_that_we_write_is_rfc_4180(rows: list[list[str]]) -> None:
    text = csv_bytes(["a"] * len(rows[0]), rows).decode("utf-8-sig")
    strict = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert [[without_guard(cell) for cell in row] for row in strict[1:]] == rows


@given(st.lists(st.lists(st.text(LETTERS, max_size=12), min_size=3, max_size=3), min_size=1, max_size=6))
def test_any_workbook_that_we_write_is_read_back_the_same(rows: list[list[str]]) -> None:
    sheet, ask = read_workbook(xlsx_bytes({"S": (["Name", "E-mail", "Note"], rows)}), Notices(), "", None)
    kept = [[cell if not cell.isspace() else "" for cell in row] for row in rows]
    for row in kept:
        while row and row[-1] == "":
            row.pop()
    assert [row.cells for row in sheet.rows[1:]] == [row for row in kept if row]
    assert not ask


NAMES = st.text(st.characters(categories=("Lu", "Ll", "Lo")), min_size=1, max_size=12)
DAYS = st.dates(dt.date(2024, 1, 1), dt.date(2032, 12, 31))


@given(st.lists(st.tuples(NAMES, DAYS, st.integers(1, 20), st.decimals(0, 9999, places=2)), min_size=1, max_size=8))
def test_sign_ups_that_we_write_come_back(entries: list[tuple[str, dt.date, int, object]]) -> None:
    rows = [
        [f"{name} Roe", f"p{number}@people.example", day, heads, paid]
        for number, (name, day, heads, paid) in enumerate(entries)
    ]
    content = csv_bytes(["Name", "E-mail", "Class date", "Seats", "Paid"], rows)  # type: ignore[arg-type]  # plain cells
    read = read_people(content, "people.csv", today=dt.date(2026, 3, 1))
    assert not read.ask
    assert [(s.day, s.heads, s.paid) for s in read.sign_ups] == [(row[2], row[3], row[4]) for row in rows]
    assert [person.emails for person in read.people] == [(row[1],) for row in rows]


@given(st.lists(st.dates(dt.date(2024, 1, 1), dt.date(2032, 12, 31)), min_size=1, max_size=12), st.sampled_from("/.-"))
def test_a_column_of_days_is_read_right_or_asked_and_never_wrong(days: list[dt.date], sign: str) -> None:
    for order in ("%d{0}%m{0}%Y", "%m{0}%d{0}%Y"):
        texts = [day.strftime(order.format(sign)) for day in days]
        rows = [[f"P {number} Roe", f"p{number}@people.example", text] for number, text in enumerate(texts)]
        read = read_people(csv_bytes(["Name", "E-mail", "Class date"], rows), "people.csv", today=dt.date(2026, 3, 1))
        seen = [sign_up.day for sign_up in read.sign_ups]
        assert seen == days or (read.ask and all(day in (None, right) for day, right in zip(seen, days, strict=True)))

"""Workbooks (.xlsx) cut into rows: the sheet that lists people, typed cells, merges, formulas without a result.

openpyxl is imported only when a workbook is read.
"""

from __future__ import annotations

import datetime as dt
import io
import posixpath
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as Xml

from scheduling.errors import InvalidError
from scheduling.exchange.columns import header_strength
from scheduling.exchange.rows import Choice, Notices, NoValue, Progress, Question, Value
from scheduling.exchange.sheets import MOST_CELL, MOST_COLUMNS, MOST_ROWS, Row, Sheet

if TYPE_CHECKING:
    from openpyxl import Workbook

MOST_UNPACKED = 200_000_000
"""Bytes that a workbook may unpack to; real sheets of 200,000 rows stay below."""
_MOST_PARTS = 2_000
_MOST_MERGES = 20_000
_MOST_FILLS = 400_000
_STEP = 1000
_LOOK_AT = 40
_1904_SHIFT = 1462
"""Days between the two date systems (ECMA-376 Part 1, 18.17.4.1)."""
_NS = {
    "m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
    "r": "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    "p": "http://schemas.openxmlformats.org/package/2006/relationships",
}
_MERGE = re.compile(rb'<(?:\w+:)?mergeCell\s+ref="([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})"')
_NO_RESULT = "formula without result"


def is_workbook(content: bytes) -> bool:
    """Whether the bytes are a zip file, as workbooks are."""
    return content[:4] == b"PK\x03\x04"


def read_workbook(
    content: bytes, notices: Notices, wanted: str, progress: Progress | None
) -> tuple[Sheet, list[Question]]:
    """The rows of one sheet.

    wanted: its name; empty takes the sheet whose header names most kinds of column, and asks where two are alike.
    Raises InvalidError: no workbook, one that unpacks to too much, no sheet of that name, or stopped.
    """
    parts = _checked_parts(content)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl warns of parts that it leaves out, none of them cells
            return _read(content, parts, notices, wanted, progress)
    except InvalidError:
        raise
    except Exception as error:
        raise InvalidError(
            "The workbook is damaged or not a workbook.", hint="Open it, save it again as .xlsx or CSV.", field="file"
        ) from error


def _checked_parts(content: bytes) -> zipfile.ZipFile:
    """The open package, refused when it would unpack to too much or declares XML entities."""
    try:
        package = zipfile.ZipFile(io.BytesIO(content))
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise InvalidError("The packed file is damaged.", hint="Save the workbook again.", field="file") from error
    names = package.namelist()
    unpacked = sum(part.file_size for part in package.infolist())
    if unpacked > MOST_UNPACKED or len(names) > _MOST_PARTS:
        raise InvalidError(
            f"The workbook unpacks to more than {MOST_UNPACKED // 1_000_000} MB.",
            hint="Save the list as CSV.",
            field="file",
        )
    if "[Content_Types].xml" not in names:
        raise InvalidError(
            "The file is packed, but no .xlsx workbook.", hint="Save the list as .xlsx or CSV.", field="file"
        )
    return package


def _read(
    content: bytes, package: zipfile.ZipFile, notices: Notices, wanted: str, progress: Progress | None
) -> tuple[Sheet, list[Question]]:
    import openpyxl

    _refuse_entities(package)
    book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
    try:
        name, ask = _chosen(book, wanted, notices)
        xml = _sheet_xml(package, name)
        formulas = _formula_cells(content, name) if b"<f" in xml or b":f>" in xml else set()
        rows = _rows(book[name], formulas, notices, progress)
        joined = _fill_merged(rows, xml)
        shift = _1904_SHIFT if book.epoch.year == 1904 else 0
        return Sheet(
            rows, name=name, names=tuple(book.sheetnames), is_typed=True, joined=joined, serial_shift=shift
        ), ask
    finally:
        book.close()


def _refuse_entities(package: zipfile.ZipFile) -> None:
    for part in package.infolist():
        if part.filename.endswith((".xml", ".rels")):
            with package.open(part) as stream:
                if b"<!DOCTYPE" in stream.read(4096).replace(b"\0", b""):
                    raise InvalidError(
                        "The workbook holds declarations that no spreadsheet writes.",
                        hint="Save the list as CSV.",
                        field="file",
                    )


def _chosen(book: Workbook, wanted: str, notices: Notices) -> tuple[str, list[Question]]:
    sheets = {sheet.title: sheet for sheet in book.worksheets}
    if wanted:
        if wanted in sheets:
            return wanted, []
        notices.add(0, "sheet", f"There is no sheet “{wanted}”; another is read.")
    strengths = {
        title: header_strength(Sheet([Row(at, _values(cells)) for at, cells in _numbered(sheet, _LOOK_AT)]))
        for title, sheet in sheets.items()
        if sheet.sheet_state == "visible" or len(sheets) == 1
    }
    if not strengths:
        raise InvalidError("The workbook holds no visible sheet.", hint="Show the sheet and save again.", field="sheet")
    best = max(strengths.values())
    name = next(title for title, strength in strengths.items() if strength == best)
    rivals = [title for title, strength in strengths.items() if strength >= 2 and strength >= best - 1]
    if len(rivals) > 1 and not wanted:
        text = f"sheet: which one is meant, {' or '.join(f'“{title}”' for title in rivals[:6])}?"
        return name, [Question("sheet", "sheet", text, tuple(Choice(title, title) for title in rivals), name)]
    if len(sheets) > 1:
        notices.add(0, "sheet", f"Of {len(sheets)} sheets “{name}” is read.")
    return name, []


def _numbered(sheet: Any, most: int | None = None) -> Iterator[tuple[int, Iterable[Any]]]:
    sheet.reset_dimensions()  # what the file says of its size is often wrong
    yield from enumerate(sheet.iter_rows(max_row=most), 1)


def _values(cells: Iterable[Any]) -> list[Value]:
    values: list[Value] = [_value(cell) for cell in cells]
    while values and values[-1] == "":
        values.pop()
    return values[:MOST_COLUMNS]


def _rows(sheet: Any, formulas: set[tuple[int, int]], notices: Notices, progress: Progress | None) -> list[Row]:
    """Rows with content; formatted empty ones are passed over without a word."""
    rows: list[Row] = []
    likely = sheet.max_row or 0
    for number, cells in _numbered(sheet):
        if number % _STEP == 0 and progress is not None and not progress(number // 2, max(likely, number)):
            raise InvalidError("The reading was stopped.", hint="Nothing of the file is kept.", field="stopped")
        values = _values(cells)
        _put_missing(values, number, formulas)
        if not values:
            continue
        if len(rows) == MOST_ROWS:
            notices.add(0, "too many rows", f"Only the first {MOST_ROWS:,} rows are read.")
            break
        _tell_missing(values, number, notices)
        rows.append(Row(number, values))
    return rows


def _put_missing(values: list[Value], number: int, formulas: set[tuple[int, int]]) -> None:
    """Mark the cells of a row that hold a formula and no stored result."""
    if not formulas:
        return
    columns = (
        [column for row, column in formulas if row == number]
        if len(formulas) < 50
        else [column for column in range(MOST_COLUMNS) if (number, column) in formulas]
    )
    for column in columns:
        values.extend([""] * (column + 1 - len(values)))
        if values[column] == "":
            values[column] = NoValue(_NO_RESULT)


def _tell_missing(values: list[Value], number: int, notices: Notices) -> None:
    by_reason: dict[str, list[str]] = {}
    for column, value in enumerate(values):
        if isinstance(value, NoValue):
            by_reason.setdefault(value.reason, []).append(f"{_letters(column)}{number}")
    for reason, cells in by_reason.items():
        notices.add(number, "cells without a value", f"{reason}: {', '.join(cells[:10])}.")


def _value(cell: Any) -> Value:
    """A cell as text, exact number, date or time; errors are NoValue; truth is "yes" or "no"."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, str):
        if cell.data_type == "e":
            return NoValue(value[:20])
        text = value.replace("_x000D_\n", "\n").replace("_x000D_", "\n")
        return text[:MOST_CELL] if not text.isspace() else ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number(value, cell.number_format)
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        return value.date()
    if isinstance(value, dt.datetime | dt.date | dt.time):
        return value
    return str(value)[:MOST_CELL]


def _number(value: float, number_format: str) -> Value:
    """An exact number; one shown with leading zeros ("0000") is the text that she sees."""
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not exact.is_finite():
        return NoValue("#NUM!")
    if exact != exact.to_integral_value():
        return exact
    whole = int(exact)
    if re.fullmatch(r"0{2,}", number_format or "") and whole >= 0:
        return str(whole).zfill(len(number_format))
    return whole


def _formula_cells(content: bytes, name: str) -> set[tuple[int, int]]:
    """(row, column from 0) of every formula; their results are looked up in the other reading."""
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=False)
    try:
        return {
            (number, column)
            for number, cells in _numbered(book[name])
            for column, cell in enumerate(cells)
            if cell.data_type == "f"
        }
    finally:
        book.close()


def _sheet_xml(package: zipfile.ZipFile, name: str) -> bytes:
    """The sheet's own part, for what the reading row by row does not tell: merges, and whether there are formulas."""
    try:
        book_path = "xl/workbook.xml"
        tops = Xml.fromstring(package.read("_rels/.rels"))  # noqa: S314  no DOCTYPE: checked by _refuse_entities
        for link in tops.findall("p:Relationship", _NS):
            if link.get("Type", "").endswith("/officeDocument"):
                book_path = link.get("Target", book_path).lstrip("/")
        book = Xml.fromstring(package.read(book_path))  # noqa: S314  as above
        folder, file_name = posixpath.split(book_path)
        links = Xml.fromstring(package.read(f"{folder}/_rels/{file_name}.rels"))  # noqa: S314  as above
        ids = {entry.get("name"): entry.get(f"{{{_NS['r']}}}id") for entry in book.iterfind("m:sheets/m:sheet", _NS)}
        targets = {link.get("Id"): link.get("Target", "") for link in links.findall("p:Relationship", _NS)}
        target = targets[ids[name]]
        path = target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
        return package.read(path)
    except (KeyError, Xml.ParseError):
        return b""


def _fill_merged(rows: list[Row], xml: bytes) -> dict[int, frozenset[int]]:
    """Give a cell merged downwards its value in every row that holds anything; returns what was filled.

    To the right nothing is filled: a title over the whole width is not a value of every column.
    """
    by_number = {row.number: row for row in rows}
    filled: dict[int, set[int]] = {}
    left = _MOST_FILLS
    for at, match in enumerate(_MERGE.finditer(xml)):
        column, first, last = _column(match.group(1)), int(match.group(2)), int(match.group(4))
        top = by_number.get(first)
        if at == _MOST_MERGES or top is None or column >= min(len(top.cells), MOST_COLUMNS):
            continue
        for number in range(first + 1, min(last, rows[-1].number) + 1):
            left -= 1
            row = by_number.get(number)
            if left < 0 or row is None:
                continue
            row.cells.extend([""] * (column + 1 - len(row.cells)))
            if row.cells[column] == "":
                row.cells[column] = top.cells[column]
                filled.setdefault(number, set()).add(column)
    return {number: frozenset(columns) for number, columns in filled.items()}


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number - 1


def _letters(column: int) -> str:
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text

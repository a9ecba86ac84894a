"""Lists written for spreadsheets: CSV that no spreadsheet takes for formulas, and workbooks of plain cells."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
import zipfile
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeVar

from scheduling.errors import InvalidError
from scheduling.exchange.sheets import MOST_CELL
from scheduling.exchange.text import LIKE_A_FORMULA

Item = TypeVar("Item")
Cell = str | int | bool | Decimal | dt.datetime | dt.date | dt.time | None

_HARMLESS = re.compile(r"-?\d+(?:[.,]\d+)?|\+\d[\d ]*")
_CONTROLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069]")
_LONE_SURROGATES = re.compile("[\ud800-\udfff]")
_MOST_SHEET_NAME = 31
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a list; is_health: health or access needs, written only when asked for by its title."""

    title: str
    is_health: bool = False


def csv_bytes(
    columns: Sequence[Column | str], rows: Iterable[Sequence[Cell]], *, health: Collection[str] = ()
) -> bytes:
    """A list as CSV: RFC 4180, commas, CRLF, UTF-8 with a mark so that spreadsheets see the accents.

    columns: one for each cell of a row; rows: in the order given.
    health: titles of health columns that she asked for; the others are left out.
    Cells: text is made harmless by `guarded`; amounts have a point; dates are YYYY-MM-DD, times HH:MM.
    Raises InvalidError: `health` names no health column of the list.
    """
    kept = _kept(columns, health)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([guarded(_column(column).title) for column in _only(columns, kept)])
    for row in rows:
        cells = [_as_text(cell) for cell in _only(row, kept)]
        # A row of one empty cell would be a blank line, which readers drop.
        out.write('""\r\n') if cells == [""] else writer.writerow(cells)
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def xlsx_bytes(
    sheets: Mapping[str, tuple[Sequence[Column | str], Iterable[Sequence[Cell]]]], *, health: Collection[str] = ()
) -> bytes:
    """Lists as one workbook, a sheet for each name; text is stored as text, never as a formula.

    Numbers, amounts, dates and times are stored as such, so that they can be summed and sorted.
    health: as in `csv_bytes`. The bytes depend on the content alone: no time of writing stands in them.
    Raises InvalidError: no sheet, a name that a workbook cannot hold, or an unknown health column.
    """
    import openpyxl
    from openpyxl.styles import Font

    _check_sheets(sheets, health)
    book = openpyxl.Workbook(write_only=True)
    for name, (columns, rows) in sheets.items():
        sheet = book.create_sheet(name)
        sheet.freeze_panes = "A2"
        here = [column.title for column in map(_column, columns) if column.is_health and column.title in health]
        kept = _kept(columns, here)

        head = [_stored(sheet, _column(column).title) for column in _only(columns, kept)]
        for cell in head:
            cell.font = Font(bold=True)
        sheet.append(head)
        for row in rows:
            sheet.append([_stored(sheet, cell) if isinstance(cell, str) else _plain(cell) for cell in _only(row, kept)])
    book.properties.created = book.properties.modified = dt.datetime(*_ZIP_TIME)  # noqa: DTZ001  a fixed mark
    out = io.BytesIO()
    book.save(out)
    return _without_times(out.getvalue())


def guarded(text: str) -> str:
    """Text as a CSV cell that no spreadsheet evaluates.

    An apostrophe goes before text whose first visible character is = + - @ (also full-width), or that starts with a
    tab or line end; plain numbers ("-5") and phone numbers of digits and spaces ("+44 7700 900125") stay. Text that
    would look guarded gets one too, so that reading back (`text.without_guard`) is exact. Control characters go.
    Source: interop.md 4; CWE-1236.
    """
    text = _harmless(text)
    if LIKE_A_FORMULA.match(text) and not _HARMLESS.fullmatch(text):
        return f"'{text}"
    return text


def _harmless(text: str) -> str:
    """Text without control characters, direction overrides and half characters."""
    if text.isascii() and text.isprintable():
        return text
    return _LONE_SURROGATES.sub("\ufffd", _CONTROLS.sub("", text))


def _as_text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return guarded(cell)
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    if isinstance(cell, dt.datetime):
        return f"{cell:%Y-%m-%d %H:%M}"
    if isinstance(cell, dt.time):
        return f"{cell:%H:%M}"
    return str(cell)


def _stored(sheet: Any, text: str) -> Any:
    """A cell of text, also where the text looks like a formula or an error."""
    from openpyxl.cell import WriteOnlyCell

    cell = WriteOnlyCell(sheet, value=_harmless(text)[:MOST_CELL])
    cell.data_type = "s"
    return cell


def _plain(cell: Cell) -> Cell:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, dt.datetime):
        return cell.replace(tzinfo=None)  # a workbook holds wall time only
    return cell


def _column(column: Column | str) -> Column:
    return column if isinstance(column, Column) else Column(column)


def _kept(columns: Sequence[Column | str], health: Collection[str]) -> list[bool]:
    known = {column.title for column in map(_column, columns) if column.is_health}
    unknown = sorted(set(health) - known)
    if unknown:
        _refuse_health(unknown)
    return [not column.is_health or column.title in health for column in map(_column, columns)]


def _only(cells: Sequence[Item], kept: Sequence[bool]) -> list[Item]:
    return [cell for cell, is_kept in zip(cells, kept, strict=True) if is_kept]


def _refuse_health(titles: Sequence[str]) -> None:
    raise InvalidError(
        f"There is no health column called {', '.join(titles)} in this list.",
        hint="Name one of the list.",
        field="health",
    )


def _check_sheets(sheets: Mapping[str, tuple[Sequence[Column | str], object]], health: Collection[str]) -> None:
    if not sheets:
        raise InvalidError("A workbook needs a sheet.", hint="Choose a list to write.", field="sheets")
    known = {column.title for columns, _ in sheets.values() for column in map(_column, columns) if column.is_health}
    if unknown := sorted(set(health) - known):
        _refuse_health(unknown)
    for name in sheets:
        if not name.strip() or len(name) > _MOST_SHEET_NAME or re.search(r"[\[\]:*?/\\]|^'|'$", name):
            raise InvalidError(
                f"A sheet cannot be called {name!r}.",
                hint=f"Use up to {_MOST_SHEET_NAME} characters without [ ] : * ? / \\.",
                field="sheet",
            )


def _without_times(content: bytes) -> bytes:
    """The same package with fixed times, so that equal lists give equal bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "docProps/core.xml":
                part = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", b"1980-01-01T00:00:00Z", part)
            new.writestr(zipfile.ZipInfo(name, _ZIP_TIME), part, zipfile.ZIP_DEFLATED)
    return out.getvalue()

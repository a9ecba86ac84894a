"""Text turned into rows of cells: delimiter by the most consistent parse, `sep=` line, unclosed quotes, limits."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from scheduling.exchange.decode import MOST_BYTES, decode
from scheduling.exchange.headers import meaning_of
from scheduling.exchange.rows import Notices, Value
from scheduling.exchange.text import without_guard

MOST_ROWS = 200_000
MOST_CELL = 32_767
"""Characters kept of one cell: what a spreadsheet's own cell can hold."""
MOST_COLUMNS = 500

_DELIMITERS = ",;\t|"
_NO_DELIMITER = "\x1f"
_SAMPLE_LINES = 400
_LOOK_AT, _WIDE = 40, 150
"""Rows and cells searched for header words while the delimiter is sought."""
_LONGEST_SEP, _LONGEST_ADDRESS = 200, 320
_ADDRESS = re.compile(r"[^\s@,;|]+@[^\s@,;|]+\.[^\s@,;|]+")
_SEP_LINE = re.compile(r'\s*"?sep=(.)"?[,;\t|]*\s*$', re.IGNORECASE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number as a spreadsheet would count it (from 1), and its cells."""

    number: int
    cells: list[Value]


@dataclass(frozen=True, slots=True)
class Sheet:
    """All rows of one sheet, blank ones left out.

    joined: for each row number, the columns whose cell was filled from a merge (workbooks only).
    serial_shift: days to add to bare date serials, 1462 in a workbook of the 1904 system.
    """

    rows: list[Row]
    encoding: str = ""
    delimiter: str = ""
    name: str = ""
    names: tuple[str, ...] = ()
    is_typed: bool = False
    joined: dict[int, frozenset[int]] = field(default_factory=dict)
    serial_shift: int = 0


def read_sheet(content: bytes, notices: Notices, encoding: str = "", delimiter: str = "") -> Sheet:
    """The rows of a CSV or TSV file in any common encoding.

    Raises InvalidError: see `decode`.
    """
    found = decode(content, encoding)
    if found.guessed:
        notices.add(0, "encoding", f"The file is not all UTF-8; it is read as {found.encoding}. Look at the accents.")
    return split(found.text, notices, encoding=found.encoding, delimiter=delimiter)


def split(text: str, notices: Notices, *, encoding: str = "", delimiter: str = "") -> Sheet:
    """Cut `text` into rows and cells (RFC 4180, any line end), cells unwrapped by `text.without_guard`.

    delimiter: hers, where the guess was wrong; it goes before a `sep=` line.
    """
    lines = list(io.StringIO(text, newline=""))
    skipped, said = 0, ""
    if lines and len(lines[0]) < _LONGEST_SEP and (sep := _SEP_LINE.match(lines[0].strip("\r\n"))):
        skipped, said = 1, sep.group(1)
    body = lines[skipped:]
    csv.field_size_limit(MOST_BYTES)
    delimiter = delimiter or said or best_delimiter(body)
    rows: list[Row] = []
    for number, record in enumerate(_records(body, delimiter, notices), skipped + 1):
        if not any(cell and not cell.isspace() for cell in record):
            continue
        if len(rows) == MOST_ROWS:
            notices.add(0, "too many rows", f"Only the first {MOST_ROWS:,} rows are read.")
            break
        rows.append(Row(number, _cells(record, number, notices)))
    return Sheet(rows, encoding=encoding, delimiter="" if delimiter == _NO_DELIMITER else delimiter)


def _cells(record: list[str], number: int, notices: Notices) -> list[Value]:
    if len(record) > MOST_COLUMNS:
        notices.add(number, "too many cells", f"only the first {MOST_COLUMNS} of {len(record):,} cells are read.")
        record = record[:MOST_COLUMNS]
    cells: list[Value] = []
    for cell in record:
        if len(cell) > MOST_CELL:
            notices.add(
                number, "very long cells", f"a cell of {len(cell):,} characters is cut to {MOST_CELL:,} of them."
            )
            cell = cell[:MOST_CELL]  # noqa: PLW2901  the cut cell goes on
        cells.append(without_guard(cell) if cell[:1] in "='" else cell)
    return cells


def _records(lines: list[str], delimiter: str, notices: Notices) -> Iterator[list[str]]:
    """Records of `lines`; a quote that is opened and never closed is read as a plain character."""
    reader = csv.reader(lines, delimiter=delimiter)
    number = 0
    while True:
        start = reader.line_num
        try:
            record = next(reader, None)
        except csv.Error:  # a cell over the byte limit: cannot be, the file is no larger
            return
        if record is None:
            return
        number += 1
        if reader.line_num == len(lines) and reader.line_num - start > 1 and _is_unclosed(lines[start:], delimiter):
            notices.add(number, "quotes never closed", "a quotation mark is opened and never closed.")
            yield from csv.reader(lines[start:], delimiter=delimiter, quoting=csv.QUOTE_NONE)
            return
        yield record


def _is_unclosed(lines: list[str], delimiter: str) -> bool:
    try:
        list(csv.reader(lines, delimiter=delimiter, strict=True))
    except csv.Error as error:
        return "unexpected end" in str(error)
    return False


def best_delimiter(lines: list[str]) -> str:
    """The delimiter whose parse is most like a table.

    By, in this order: header words recognised in one row (two or more), the share of rows with a cell that is an
    e-mail address and nothing else, the share of rows that have the commonest width, that width. A file of one
    column gets a delimiter that it does not hold. (csv.Sniffer is not used: it takes letters and line ends for
    delimiters, interop.md 4.)
    """
    sample = lines[:_SAMPLE_LINES]
    best, best_score = _NO_DELIMITER, (0, 0.0, 0.0, 1)
    for delimiter in _DELIMITERS:
        score = _score(sample, delimiter)
        if score > best_score:
            best, best_score = delimiter, score
    return best


def _score(lines: list[str], delimiter: str) -> tuple[int, float, float, int]:
    widths: Counter[int] = Counter()
    known = addresses = 0
    for index, record in enumerate(csv.reader(lines, delimiter=delimiter)):
        if not any(record):
            continue
        widths[len(record)] += 1
        addresses += any("@" in cell and _ADDRESS.fullmatch(cell[:_LONGEST_ADDRESS].strip()) for cell in record[:_WIDE])
        if index < _LOOK_AT:
            meanings = {meaning_of(cell) for cell in record[:_WIDE] if cell and len(cell) < 80} - {None}
            if index < 3 and len(record) == 1 and meanings and delimiter not in "".join(lines[:1]):
                return (0, 0.0, 0.0, 1)  # "Name" over "Smith, John": one column
            known = max(known, len(meanings))
    if not widths:
        return (0, 0.0, 0.0, 1)
    width, count = max(widths.items(), key=lambda item: (item[1] * (item[0] > 1), item[0]))
    if width == 1:
        return (0, 0.0, 0.0, 1)
    rows = widths.total()
    return (known if known > 1 else 0, round(addresses / rows, 1), round(count / rows, 1), width)

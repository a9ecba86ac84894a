"""The one way in: bytes of a CSV, TSV, XLSX or contact file to people, sign-ups, questions and notices."""

from __future__ import annotations

import datetime as dt

from scheduling.errors import InvalidError
from scheduling.exchange.contacts import read_contacts
from scheduling.exchange.decode import MOST_BYTES
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.rows import DAY_FIRST, MONTH_FIRST, Notices, PeopleRead, Progress
from scheduling.exchange.sheets import Sheet, read_sheet
from scheduling.exchange.table import read_table
from scheduling.exchange.vcards import looks_like_cards
from scheduling.exchange.xlsx import is_workbook, read_workbook
from scheduling.pause import collector_paused


def read_people(
    content: bytes,
    file_name: str,
    *,
    today: dt.date,
    mapping: Mapping | None = None,
    date_order: str | None = None,
    sheet: str | None = None,
    encoding: str = "",
    zone: str = "",
    progress: Progress | None = None,
    asks_names: bool = False,
) -> PeopleRead:
    """Understand a file of people or sign-ups; nothing is kept.

    file_name: for words only; the kind of file is told by its content.
    today: settles the century of two-figure years.
    mapping: what was settled for this source before; what it leaves open is guessed or asked.
    date_order: "day-first" or "month-first", her answer for every column that proves nothing itself.
    sheet: the workbook's sheet to read.
    encoding: of a text file, where the guess told in a notice was wrong.
    zone: IANA name of the home zone, for stamps with an offset.
    progress: called with (done, total) rows; False stops.
    asks_names: ask which column holds names where a list without a header shows none, instead of refusing it.
    While `ask` is not empty nothing of the result may be kept: give the answers (Mapping.answered) and read again.
    Raises InvalidError: no table and no contacts, too large, or stopped by `progress` (field "stopped").
    Source: interop.md 4.
    """
    if date_order not in (None, DAY_FIRST, MONTH_FIRST):
        raise InvalidError(
            f"{date_order!r} is no date order.", hint=f"Use {DAY_FIRST} or {MONTH_FIRST}.", field="date_order"
        )
    if len(content) > MOST_BYTES:
        raise InvalidError(
            f"The file {file_name} is larger than {MOST_BYTES // 1_000_000} MB.", hint="Split it.", field="file"
        )
    if looks_like_cards(content):
        return read_contacts(content, Notices("Card"), progress)
    notices = Notices()
    kept = mapping or Mapping()
    if is_workbook(content):
        table, ask = read_workbook(content, notices, sheet or kept.sheet, progress)
    else:
        table, ask = read_sheet(content, notices, encoding or kept.encoding, kept.delimiter), []
        _refuse_other_text(table)
    with collector_paused():
        return read_table(
            table,
            notices,
            today=today,
            mapping=kept,
            date_order=date_order or "",
            zone=zone,
            progress=progress,
            ask=ask,
            asks_names=asks_names,
        )


_OTHER_TEXT = (
    ("BEGIN:VCALENDAR", "a calendar", "Read it as a calendar instead."),
    ("<!DOCTYPE HTML", "a web page", "Save the list as CSV or XLSX instead."),
    ("<HTML", "a web page", "Save the list as CSV or XLSX instead."),
    ("<?XML", "XML, not a table", "Save the list as CSV or XLSX instead."),
    ("{", "no table", "Save the list as CSV or XLSX instead."),
    ("[", "no table", "Save the list as CSV or XLSX instead."),
    ("{\\RTF", "a text document", "Save the list as CSV or XLSX instead."),
)


def _refuse_other_text(sheet: Sheet) -> None:
    first = str(sheet.rows[0].cells[0]).lstrip().upper() if sheet.rows and sheet.rows[0].cells else ""
    for start, kind, hint in _OTHER_TEXT:
        if first.startswith(start):
            raise InvalidError(f"The file is {kind}.", hint=hint, field="file")

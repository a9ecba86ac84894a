"""The one way in: bytes of a CSV, TSV, XLSX or contact file to people, sign-ups, questions and notices."""

from __future__ import annotations

import datetime as dt

from scheduling.errors import InvalidError
from scheduling.exchange.decode import MOST_BYTES
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.rows import DAY_FIRST, MONTH_FIRST, Notices, PeopleRead, Progress
from scheduling.exchange.sheets import read_sheet
from scheduling.exchange.table import read_table


def read_people(
    content: bytes,
    file_name: str,
    *,
    today: dt.date,
    mapping: Mapping | None = None,
    date_order: str | None = None,
    sheet: str | None = None,
    zone: str = "",
    progress: Progress | None = None,
) -> PeopleRead:
    """Understand a file of people or sign-ups; nothing is kept.

    file_name: for words only; the kind of file is told by its content.
    today: settles the century of two-figure years.
    mapping: what was settled for this source before; what it leaves open is guessed or asked.
    date_order: "day-first" or "month-first", her answer for every column that proves nothing itself.
    sheet: the workbook's sheet to read.
    zone: IANA name of the home zone, for stamps with an offset.
    progress: called with (done, total) rows; False stops.
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
    notices = Notices()
    kept = mapping or Mapping()
    table = read_sheet(content, notices)
    return read_table(
        table, notices, today=today, mapping=kept, date_order=date_order or "", zone=zone, progress=progress
    )

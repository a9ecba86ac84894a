"""A sheet of rows made into people and sign-ups: each column read as a whole, then each row."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from scheduling.errors import InvalidError
from scheduling.exchange.amounts import AmountColumn, read_amounts
from scheduling.exchange.columns import Columns, as_text, understand
from scheduling.exchange.dates_in import DateColumn, read_dates
from scheduling.exchange.entries import RowReader, WholeColumns
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.meanings import Meaning
from scheduling.exchange.people import Entry, Gathering, shared_numbers
from scheduling.exchange.rows import (
    CONFIRMED,
    DAY_FIRST,
    STATES,
    Choice,
    Notices,
    PeopleRead,
    Progress,
    Question,
    Source,
    StatusWord,
    Value,
)
from scheduling.exchange.sheets import Row, Sheet
from scheduling.exchange.states import known_state, likely_state
from scheduling.exchange.text import clean, fold, one_line, words_of

_TOTAL_WORDS = """
    total | totals | grand total | sub total | subtotal | sum | summe | gesamt | gesamtsumme | zwischensumme |
    insgesamt | somme | total general | totale | totaal | suma | totalt | i alt | yhteensä | razem | celkem | összesen |
    итого | всего | 合計 | 小計 | 总计 | 合计 | 합계 | toplam | average | durchschnitt | count | anzahl
"""
_TOTALS = frozenset(fold(word) for word in words_of(_TOTAL_WORDS))
_COUNTED = frozenset(
    fold(word)
    for word in words_of(
        "people|persons|heads|seats|tickets|places|bookings|entries|attendees|participants|guests|rows|of|"
        "personen|teilnehmer|teilnehmende|plätze|anmeldungen|personnes|places|inscrits|personas|plazas|persone|posti|"
        "personer|platser|fő|osób|osob"
    )
)
_TOP_ROWS = 20
_STEP = 1000
"""Rows between two calls of `progress`."""


def read_table(
    sheet: Sheet,
    notices: Notices,
    *,
    today: dt.date,
    mapping: Mapping,
    date_order: str,
    zone: str,
    progress: Progress | None,
    ask: Sequence[Question] = (),
    asks_names: bool = False,
) -> PeopleRead:
    """See `read.read_people`; the rows of `sheet` are cut already, `ask` holds what is open about the sheet."""
    columns = understand(sheet, mapping)
    reading = _Reading(sheet, columns, notices, today, mapping, date_order, zone, progress, ask, asks_names)
    return reading.run()


def _is_total(text: str) -> bool:
    """Whether a row's first words head a sum: "Total", "Summe: 12", "Total (2 people)"."""
    words = fold(re.sub(r"\([^)]*\)|[\d.,]+", " ", text[:80]))
    return words in _TOTALS or (" ".join(word for word in words.split() if word not in _COUNTED) in _TOTALS)


class _Reading:
    """One reading of one sheet; lives only as long as `run`."""

    def __init__(
        self,
        sheet: Sheet,
        columns: Columns,
        notices: Notices,
        today: dt.date,
        mapping: Mapping,
        date_order: str,
        zone: str,
        progress: Progress | None,
        ask: Sequence[Question],
        asks_names: bool,
    ) -> None:
        self._sheet = sheet
        self._columns = columns
        self._notices = notices
        self._today = today
        self._mapping = mapping
        self._order = date_order
        self._zone = zone
        self._progress = progress
        self._ask: list[Question] = list(ask)
        self._asks_names = asks_names
        self._at = {meaning: columns.of(meaning) for meaning in Meaning}
        self._rows = [self._mended(row) for row in columns.rows if not self._is_no_entry(row)]

    def run(self) -> PeopleRead:
        columns = self._columns
        lists_people = self._check_columns()
        whole = WholeColumns(
            self._date_column(Meaning.DATE),
            self._date_column(Meaning.BIRTHDAY, is_past=True),
            self._amounts(Meaning.PAID),
            self._amounts(Meaning.PRICE),
        )
        reader = RowReader(columns, whole, self._mapping, self._notices)
        entries: list[Entry] = []
        total = len(self._rows)
        for index, row in enumerate(self._rows if lists_people else ()):
            if index % _STEP == 0:
                self._tell(index, total)
            self._tell_width(row)
            self._tell_joined(row)
            entry = reader.entry(index, row)
            if entry is not None:
                entries.append(entry)
        gathering = Gathering(self._notices)
        shared = shared_numbers(entries)
        for entry in entries:
            gathering.add(entry, shared_ids=shared)
        gathered = gathering.finish()
        self._tell(total, total)
        words = self._status_words(reader.words)
        return PeopleRead(
            people=tuple(gathered.people),
            sign_ups=tuple(gathered.sign_ups),
            ask=tuple(self._ask),
            notices=self._notices.all(),
            mapping=self._settled(whole),
            header=columns.header,
            source=Source(
                "table",
                self._sheet.encoding,
                self._sheet.delimiter,
                self._sheet.name,
                self._sheet.names,
                columns.header_row,
            ),
            samples=self._samples(),
            top=self._top(),
            status_words=words,
            alike=gathered.alike,
            health=tuple(gathered.health),
        )

    # --- what the sheet is ---

    def _check_columns(self) -> bool:
        """Whether the sheet lists people; asks for the names where it may, refuses where it cannot."""
        has_address = bool(self._at[Meaning.EMAIL] or self._at[Meaning.PHONE])
        has_person = has_address or any(self._at[m] for m in (Meaning.NAME, Meaning.FIRST, Meaning.LAST))
        has_header = bool(self._columns.header_row) or any(map(self._mapping.meaning, self._columns.header))
        if has_person and has_header and not self._rows:
            self._notices.add(0, "no rows", "There is a header and no row under it.")
        elif has_address and not has_header:
            self._notices.add(0, "no header", "There is no header row; columns are guessed by what they hold.")
        elif has_person and has_header and self._columns.guessed:
            self._notices.add(0, "guessed columns", "Some columns are guessed by what they hold; look at them.")
        if has_person and (has_header or has_address):
            return True
        if not self._rows or not (self._asks_names or (has_header and len(self._columns.header) > 1)):
            raise InvalidError(
                "The file is not a list of people.",
                hint="Give names or e-mail addresses under a header row, as CSV or XLSX, or a contact file.",
                field="file",
            )
        choices = tuple(Choice(name, name) for name in self._columns.header)
        text = "names column: no column of names or e-mail addresses is found; which one is it?"
        self._ask.append(Question("names column", "names", text, choices))
        return False

    def _is_no_entry(self, row: Row) -> bool:
        """Blank rows, a header that comes again, and rows of totals."""
        cells = row.cells[:40]
        first = next((text for cell in cells if (text := one_line(as_text(cell)))), "")
        if not first:
            return True
        if not any(isinstance(cell, str) and "@" in cell for cell in cells) and _is_total(first):
            return True
        header = self._columns.header
        if first != header[0] or len(header) < 2:
            return False
        return tuple(one_line(as_text(cell)) for cell in cells[: len(header)]) == header

    def _mended(self, row: Row) -> Row:
        """A row whose name holds delimiters without quotes ("Roe, Ada" under "Name"), as its moved address proves."""
        more = len(row.cells) - len(self._columns.header)
        names, emails = self._at[Meaning.NAME], self._at[Meaning.EMAIL]
        if more < 1 or self._sheet.is_typed or len(names) != 1 or len(emails) != 1 or names[0] > emails[0]:
            return row
        name, email = names[0], emails[0]
        before, after = as_text(row.cells[email]), as_text(row.cells[email + more])
        if "@" in before or "@" not in after:
            return row
        whole = f"{self._sheet.delimiter} ".join(as_text(cell).strip() for cell in row.cells[name : name + more + 1])
        self._notices.add(row.number, "names without quotes", f"holds a name without quotes, read as “{whole[:60]}”.")
        return Row(row.number, [*row.cells[:name], whole, *row.cells[name + more + 1 :]])

    def _tell_width(self, row: Row) -> None:
        width, cells = len(self._columns.header), len(row.cells)
        if cells == width:
            return
        if cells > width:
            if any(clean(as_text(cell)) for cell in row.cells[width:]):
                self._notices.add(
                    row.number,
                    "rows with too many cells",
                    f"has {cells} cells under {width} headers; the rest is left.",
                )
        elif not self._sheet.is_typed:
            self._notices.add(row.number, "rows with too few cells", f"has {cells} of {width} cells.")

    def _tell_joined(self, row: Row) -> None:
        """A number of heads or an amount merged over several rows may be meant once for all of them."""
        for index in self._sheet.joined.get(row.number, ()):
            if any(index in self._at[meaning] for meaning in (Meaning.HEADS, Meaning.PAID)):
                header = self._columns.header[index]
                self._notices.add(
                    row.number, "merged cells", f"“{header}” is merged with the row above; it counts again."
                )

    def _tell(self, done: int, total: int) -> None:
        if self._sheet.is_typed and done < total:  # cutting the workbook was the first half
            done = (total + done) // 2
        if self._progress is not None and not self._progress(done, total):
            raise InvalidError("The reading was stopped.", hint="Nothing of the file is kept.", field="stopped")

    def _samples(self) -> tuple[tuple[str, ...], ...]:
        samples = []
        for index in range(len(self._columns.header)):
            filled = (one_line(as_text(row.cells[index]))[:60] for row in self._rows[:50] if index < len(row.cells))
            is_health = index in self._at[Meaning.HEALTH]
            samples.append(() if is_health else tuple([text for text in filled if text][:3]))
        return tuple(samples)

    def _top(self) -> tuple[tuple[int, str], ...]:
        health, header_row = set(self._at[Meaning.HEALTH]), self._columns.header_row
        found = []
        for row in self._sheet.rows[:_TOP_ROWS]:
            shown = (
                one_line(as_text(cell))[:30]
                for at, cell in enumerate(row.cells[:20])
                if row.number <= header_row or at not in health
            )
            found.append((row.number, ", ".join(text for text in shown if text)))
        return tuple(found)

    def _settled(self, whole: WholeColumns) -> Mapping:
        """The mapping as used, so that the caller can keep it for the source's next file."""
        columns = self._columns
        used = tuple((name, meaning.value) for name, meaning in zip(columns.header, columns.meanings, strict=True))
        settled = replace(self._mapping, columns=used, sheet=self._sheet.name)
        of_class = Meaning.DATE if self._at[Meaning.DATE] else Meaning.CLASS
        for meaning, dates in ((of_class, whole.dates), (Meaning.BIRTHDAY, whole.births)):
            if dates and dates.order and not dates.question:
                settled = settled.answered("date order", self._header(meaning), dates.order)
        for meaning, amounts in ((Meaning.PAID, whole.paid), (Meaning.PRICE, whole.price)):
            if amounts and amounts.sign:
                settled = settled.answered("decimal sign", self._header(meaning), amounts.sign)
        return settled

    # --- columns read as a whole ---

    def _header(self, meaning: Meaning) -> str:
        return self._columns.header[self._at[meaning][0]]

    def _column(self, index: int) -> list[Value]:
        return [row.cells[index] if index < len(row.cells) else "" for row in self._rows]

    def _date_column(self, meaning: Meaning, *, is_past: bool = False) -> DateColumn | None:
        if self._at[meaning]:
            read = self._read_dates(meaning, is_past=is_past)
        elif meaning is Meaning.DATE and self._at[Meaning.CLASS]:
            read = self._read_dates(Meaning.CLASS)
            filled = sum(bool(as_text(value).strip()) for value in self._column(self._at[Meaning.CLASS][0]))
            if len(read.odd) * 5 > filled:  # the classes are not called by their dates
                return None
        else:
            return None
        header = self._header(meaning if self._at[meaning] else Meaning.CLASS)
        if read.question:
            self._ask.append(replace(read.question, suggested=self._order_elsewhere(header)))
        if read.against:
            self._notices.add(0, "order", f"The dates of “{header}” prove that they are {read.order}; that is used.")
        if read.is_mixed:
            self._notices.add(
                0, "mixed dates", f"“{header}” holds real dates and text; a spreadsheet may have swapped day and month."
            )
        for at, odd in read.odd.items():
            self._notices.add(self._rows[at].number, "dates not read", f"{odd}.")
        return read

    def _read_dates(self, meaning: Meaning, *, is_past: bool = False) -> DateColumn:
        header = self._header(meaning)
        return read_dates(
            self._column(self._at[meaning][0]),
            header,
            today=self._today,
            given_order=self._order or self._mapping.date_order(header),
            zone=self._zone,
            is_past=is_past,
            serial_shift=self._sheet.serial_shift,
        )

    def _order_elsewhere(self, header: str) -> str:
        """The order that another column of the sheet proves, to be suggested; dots are mostly day-first."""
        for other in (Meaning.DATE, Meaning.BIRTHDAY, Meaning.SIGNED_AT):
            if self._at[other] and self._header(other) != header:
                values = self._column(self._at[other][0])
                order = read_dates(values, self._header(other), today=self._today).order
                if order:
                    return order
        values = self._column(self._columns.header.index(header))
        return DAY_FIRST if any(re.search(r"\d\.\s?\d{1,2}\.", as_text(value)[:40]) for value in values) else ""

    def _amounts(self, meaning: Meaning) -> AmountColumn | None:
        if not self._at[meaning]:
            return None
        header = self._header(meaning)
        read = read_amounts(self._column(self._at[meaning][0]), header, self._mapping.decimal_sign(header))
        if read.question:
            self._ask.append(read.question)
        for at, odd in read.odd.items():
            self._notices.add(self._rows[at].number, "amounts not read", f"{odd}.")
        return read

    def _status_words(self, counts: Counter[str]) -> tuple[StatusWord, ...]:
        """Every status word with its count; those not known are asked."""
        words = []
        for word, count in counts.most_common():
            settled = self._mapping.state(word) or known_state(word)
            state = settled or likely_state(word)
            words.append(StatusWord(word, count, state or CONFIRMED, bool(state)))
            if not state and len(self._ask) < 100:
                rows = "1 row" if count == 1 else f"{count:,} rows"
                text = f"status: what does “{word[:40]}” mean ({rows})?"
                self._ask.append(Question("status", word, text, tuple(Choice(s, s) for s in STATES)))
        return tuple(words)

"""A sheet of rows made into people and sign-ups: each column read as a whole, then each row."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from dataclasses import replace
from decimal import Decimal

from scheduling.errors import InvalidError
from scheduling.exchange.amounts import AmountColumn, read_amounts
from scheduling.exchange.columns import Columns, as_text, understand
from scheduling.exchange.dates_in import DateColumn, read_dates, read_time
from scheduling.exchange.emails import read_emails
from scheduling.exchange.headers import has_words_for
from scheduling.exchange.heads import read_heads
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.meanings import Meaning
from scheduling.exchange.names import guest_names, joined_name, may_be_several, shown_name
from scheduling.exchange.people import Entry, Gathering, person_key, shared_numbers
from scheduling.exchange.phones import read_phones
from scheduling.exchange.rows import (
    CONFIRMED,
    STATES,
    Birthday,
    Choice,
    Consent,
    Notices,
    NoValue,
    PeopleRead,
    Person,
    Phone,
    Progress,
    Question,
    SignUp,
    Source,
    StatusWord,
    Value,
)
from scheduling.exchange.sheets import Row, Sheet
from scheduling.exchange.states import known_state, likely_state, says_yes, state_of_header
from scheduling.exchange.text import clean, fold, one_line, says_nothing, words_of

_TOTAL_WORDS = """
    total | totals | grand total | sub total | subtotal | sum | summe | gesamt | gesamtsumme | zwischensumme |
    insgesamt | somme | total general | totale | totaal | suma | totalt | i alt | yhteensä | razem | celkem | összesen | итого |
    всего | 合計 | 小計 | 总计 | 合计 | 합계 | toplam | average | durchschnitt | count | anzahl
"""
_TOTALS = frozenset(fold(word) for word in words_of(_TOTAL_WORDS))
_STEP = 1000
"""Rows between two calls of `progress`."""
_RANK = ("confirmed", "waitlist", "attended", "no-show", "cancelled")


def read_table(
    sheet: Sheet,
    notices: Notices,
    *,
    today: dt.date,
    mapping: Mapping,
    date_order: str,
    zone: str,
    progress: Progress | None,
) -> PeopleRead:
    """See `read.read_people`; the rows of `sheet` are cut already."""
    columns = understand(sheet, mapping)
    reading = _Reading(sheet, columns, notices, today, mapping, date_order, zone, progress)
    return reading.run()


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
    ) -> None:
        self._sheet = sheet
        self._columns = columns
        self._notices = notices
        self._today = today
        self._mapping = mapping
        self._order = date_order
        self._zone = zone
        self._progress = progress
        self._ask: list[Question] = []
        self._words: Counter[str] = Counter()
        self._rows = [row for row in columns.rows if not self._is_no_entry(row)]
        self._at = {meaning: columns.of(meaning) for meaning in Meaning}

    def run(self) -> PeopleRead:
        columns = self._columns
        self._check_columns()
        dates = self._date_column(Meaning.DATE)
        births = self._date_column(Meaning.BIRTHDAY, is_past=True)
        paid, price = self._amounts(Meaning.PAID), self._amounts(Meaning.PRICE)
        entries: list[Entry] = []
        total = len(self._rows)
        for index, row in enumerate(self._rows):
            if index % _STEP == 0:
                self._tell(index, total)
            self._tell_width(row)
            entry = self._entry(index, row, dates, births, paid, price)
            if entry is not None:
                entries.append(entry)
        gathering = Gathering(self._notices)
        shared = shared_numbers(entries)
        for entry in entries:
            gathering.add(entry, shared_ids=shared)
        gathered = gathering.finish()
        self._tell(total, total)
        words = self._status_words()
        return PeopleRead(
            people=tuple(gathered.people),
            sign_ups=tuple(gathered.sign_ups),
            ask=tuple(self._ask),
            notices=self._notices.all(),
            mapping=self._settled(dates, paid, price),
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
            status_words=words,
            alike=gathered.alike,
            health=tuple(gathered.health),
        )

    # --- what the sheet is ---

    def _check_columns(self) -> None:
        has_person = any(self._at[m] for m in (Meaning.NAME, Meaning.FIRST, Meaning.LAST, Meaning.EMAIL))
        if has_person and self._rows:
            if not self._columns.header_row:
                self._notices.add(0, "no header", "There is no header row; columns are guessed by what they hold.")
            elif self._columns.guessed:
                self._notices.add(0, "guessed columns", "Some columns are guessed by what they hold; look at them.")
            return
        if not self._rows and self._columns.header_row and has_person:
            self._notices.add(0, "no rows", "There is a header and no row under it.")
            return
        if len(self._columns.header) < 2 or not self._rows:
            raise InvalidError(
                "The file is not a list of people.",
                hint="Give a CSV, XLSX or contact file with names or e-mail addresses.",
                field="file",
            )
        choices = tuple(Choice(name, name) for name in self._columns.header)
        text = "names column: no column of names or e-mail addresses is found; which one is it?"
        self._ask.append(Question("names column", "names", text, choices))

    def _is_no_entry(self, row: Row) -> bool:
        """Blank rows, a header that comes again, and rows of totals."""
        texts = [one_line(cell) if isinstance(cell, str) else as_text(cell) for cell in row.cells[:40]]
        if not any(texts):
            return True
        first = next(text for text in texts if text)
        if fold(first) in _TOTALS and not any("@" in text for text in texts):
            return True
        header = self._columns.header
        return first == header[0] and len(header) > 1 and tuple(texts[: len(header)]) == header

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

    def _tell(self, done: int, total: int) -> None:
        if self._progress is not None and not self._progress(done, total):
            raise InvalidError("The reading was stopped.", hint="Nothing of the file is kept.", field="stopped")

    def _samples(self) -> tuple[tuple[str, ...], ...]:
        samples = []
        for index in range(len(self._columns.header)):
            filled = (one_line(as_text(row.cells[index]))[:60] for row in self._rows[:50] if index < len(row.cells))
            samples.append(tuple([text for text in filled if text][:3]))
        return tuple(samples)

    def _settled(self, dates: DateColumn | None, paid: AmountColumn | None, price: AmountColumn | None) -> Mapping:
        """The mapping as used, so that the caller can keep it for the source's next file."""
        columns = self._columns
        used = tuple((name, meaning.value) for name, meaning in zip(columns.header, columns.meanings, strict=True))
        settled = replace(self._mapping, columns=used, sheet=self._sheet.name)
        if dates and dates.order and not dates.question:
            settled = settled.answered("date order", self._header(Meaning.DATE), dates.order)
        for meaning, amounts in ((Meaning.PAID, paid), (Meaning.PRICE, price)):
            if amounts and amounts.sign:
                settled = settled.answered("decimal sign", self._header(meaning), amounts.sign)
        return settled

    # --- columns read as a whole ---

    def _header(self, meaning: Meaning) -> str:
        return self._columns.header[self._at[meaning][0]]

    def _column(self, index: int) -> list[Value]:
        return [row.cells[index] if index < len(row.cells) else "" for row in self._rows]

    def _date_column(self, meaning: Meaning, *, is_past: bool = False) -> DateColumn | None:
        if not self._at[meaning]:
            return None
        header = self._header(meaning)
        given = self._order or self._mapping.date_order(header)
        values = self._column(self._at[meaning][0])
        suggested = self._order_elsewhere(meaning)
        read = read_dates(
            values,
            header,
            today=self._today,
            given_order=given,
            suggested=suggested,
            zone=self._zone,
            is_past=is_past,
        )
        if read.question:
            self._ask.append(read.question)
        if read.against:
            self._notices.add(0, "order", f"The dates of “{header}” prove that they are {read.order}; that is used.")
        for at, odd in read.odd.items():
            self._notices.add(self._rows[at].number, "dates not read", f"{odd}.")
        return read

    def _order_elsewhere(self, meaning: Meaning) -> str:
        """The order that another column of the sheet proves, to be suggested; dots are mostly day-first."""
        for other in (Meaning.DATE, Meaning.BIRTHDAY, Meaning.SIGNED_AT):
            if other is meaning or not self._at[other]:
                continue
            order = read_dates(self._column(self._at[other][0]), self._header(other), today=self._today).order
            if order:
                return order
        values = self._column(self._at[meaning][0])
        return "day-first" if any(re.search(r"\d\.\s?\d{1,2}\.", as_text(value)) for value in values) else ""

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

    def _status_words(self) -> tuple[StatusWord, ...]:
        """Every status word with its count; those not known are asked."""
        words = []
        for word, count in self._words.most_common():
            settled = self._mapping.state(word) or known_state(word)
            state = settled or likely_state(word)
            words.append(StatusWord(word, count, state or CONFIRMED, bool(state)))
            if not state and len(self._ask) < 100:
                rows = "1 row" if count == 1 else f"{count:,} rows"
                text = f"status: what does “{word[:40]}” mean ({rows})?"
                self._ask.append(Question("status", word, text, tuple(Choice(s, s) for s in STATES)))
        return tuple(words)

    # --- rows ---

    def _entry(
        self,
        index: int,
        row: Row,
        dates: DateColumn | None,
        births: DateColumn | None,
        paid: AmountColumn | None,
        price: AmountColumn | None,
    ) -> Entry | None:
        self._tell_no_values(row)
        person = self._person(index, row, births)
        if person is None:
            return None
        when = dates.whens[index] if dates else None
        time_cell = self._first(row, Meaning.TIME)
        amount = paid.amounts[index] if paid else None
        said = paid.said[index] if paid else None
        cost = price.amounts[index] if price else None
        state, word = self._state(row)
        heads, guests = self._heads(row)
        sign_up = SignUp(
            person=0,
            key="",
            rows=(row.number,),
            class_text=one_line(self._text(row, Meaning.CLASS)),
            day=when.day if when else None,
            starts=(read_time(time_cell) if time_cell != "" else None) or (when.time if when else None),
            heads=heads,
            guests=guests,
            state=state,
            state_word=word,
            paid=cost if amount is None and said else amount,
            said_paid=said,
            price=cost,
            note=self._joined(row, Meaning.NOTE),
            guardian=self._joined(row, Meaning.GUARDIAN),
            source_id=self._text(row, Meaning.ROW_ID),
            order_id=self._text(row, Meaning.ORDER_ID),
        )
        return Entry(row.number, person, sign_up, self._joined(row, Meaning.HEALTH))

    def _person(self, index: int, row: Row, births: DateColumn | None) -> Person | None:
        typed = self._typed_name(row)
        emails, others = self._emails(row)
        phones = self._phones(row)
        if not typed and not emails and not phones:
            if row.cells:
                self._notices.add(row.number, "rows that name nobody", "names nobody and is left out.")
            return None
        name = shown_name(typed)
        if not name:
            name = (*emails, *others, *(phone.typed for phone in phones))[0]
            self._notices.add(row.number, "rows without a name", f"has no name; {name} stands for it.")
        elif may_be_several(typed):
            self._notices.add(row.number, "names of two people", f"“{name[:60]}” may be two people; kept as one.")
        born = births.whens[index] if births else None
        return Person(
            name=name,
            typed=typed or name,
            key=person_key(name, emails[0] if emails else ""),
            row=row.number,
            emails=emails,
            other_emails=others,
            phones=phones,
            birthday=Birthday(born.day.month, born.day.day, born.day.year) if born else None,
            address=self._address(row),
            consents=self._consents(row),
            source_id=self._text(row, Meaning.PERSON_ID),
        )

    def _typed_name(self, row: Row) -> str:
        whole = self._text(row, Meaning.NAME)
        if whole and not says_nothing(whole):
            return whole
        first, last = self._text(row, Meaning.FIRST), self._text(row, Meaning.LAST)
        return joined_name("" if says_nothing(first) else first, "" if says_nothing(last) else last)

    def _emails(self, row: Row) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """(main address, further addresses)."""
        found: list[str] = []
        for index in self._at[Meaning.EMAIL]:
            text = as_text(row.cells[index]) if index < len(row.cells) else ""
            if not text:
                continue
            read = read_emails(text)
            found += [email for email in read.found if email.casefold() not in (known.casefold() for known in found)]
            if read.odd:
                self._notices.add(row.number, "e-mail addresses", f"{read.odd}.")
        return tuple(found[:1]), tuple(found[1:])

    def _phones(self, row: Row) -> tuple[Phone, ...]:
        phones: list[Phone] = []
        for index in self._at[Meaning.PHONE]:
            value = row.cells[index] if index < len(row.cells) else ""
            if value == "" or isinstance(value, NoValue):
                continue
            read, odd = read_phones(value)
            phones += [phone for phone in read if phone not in phones]
            if odd:
                self._notices.add(row.number, "phone numbers", f"{odd}.")
        return tuple(phones)

    def _heads(self, row: Row) -> tuple[int | None, tuple[str, ...]]:
        """Seats asked for, and guests' names; without a seats column guests are counted."""
        cell = self._first(row, Meaning.GUESTS)
        guests = () if isinstance(cell, str) and says_nothing(clean(cell)) else guest_names(as_text(cell))
        if self._at[Meaning.HEADS]:
            heads, odd = read_heads(self._first(row, Meaning.HEADS))
            if odd:
                self._notices.add(row.number, "heads", f"{odd}.")
            elif heads is not None and heads <= len(guests) and guests:
                self._notices.add(row.number, "heads", f"names {len(guests)} guests and asks for {heads} heads.")
            return heads, guests
        more, odd = len(guests), ""
        if not guests and cell != "" and not says_nothing(as_text(cell).strip()):
            text = as_text(cell).strip().removeprefix("+")
            count, odd = read_heads(text)
            more = count or 0
        if more:
            self._notices.add(row.number, "guests counted", f"is counted as {1 + more} heads with its guests.")
        elif odd and odd != "zero heads":
            self._notices.add(row.number, "heads", f"{odd}.")
        return 1 + more, guests

    def _state(self, row: Row) -> tuple[str, str]:
        """The state that the row's status columns give together; the furthest along wins."""
        found, shown = CONFIRMED, ""
        for index in self._at[Meaning.STATE]:
            value = row.cells[index] if index < len(row.cells) else ""
            word = one_line(as_text(value))[:80]
            if not word:
                continue
            state = self._state_of(word, value, self._columns.header[index])
            if state and (_RANK.index(state) > _RANK.index(found) or not shown):
                found, shown = state, word
        return found, shown

    def _state_of(self, word: str, value: Value, header: str) -> str:
        settled = self._mapping.state(word)
        own = state_of_header(header)
        if own and not settled:  # "Cancelled?": yes, x or a date says so
            if says_yes(value) or isinstance(value, dt.date | dt.datetime) or known_state(word) == own:
                return own
            if known_state(word) in ("", CONFIRMED) or fold(word) in ("no", "nein", "non", "0", "false"):
                return ""
        self._words[word] += 1
        return settled or known_state(word) or likely_state(word) or CONFIRMED

    def _consents(self, row: Row) -> tuple[Consent, ...]:
        return tuple(
            Consent(
                _consent_kind(self._columns.header[index]),
                self._columns.header[index],
                says_yes(row.cells[index]) if index < len(row.cells) else False,
            )
            for index in self._at[Meaning.CONSENT]
        )

    def _address(self, row: Row) -> str:
        parts = [self._joined(row, meaning) for meaning in (Meaning.ADDRESS, Meaning.STREET)]
        town = " ".join(part for m in (Meaning.POSTCODE, Meaning.CITY) if (part := self._text(row, m)))
        return "\n".join(part for part in (*parts, town, self._text(row, Meaning.COUNTRY)) if part)

    def _tell_no_values(self, row: Row) -> None:
        if not self._sheet.is_typed:
            return
        for index, value in enumerate(row.cells):
            if isinstance(value, NoValue) and index < len(self._columns.header):
                header = self._columns.header[index]
                self._notices.add(row.number, "cells without a value", f"“{header}” holds no value: {value.reason}.")

    # --- cells ---

    def _first(self, row: Row, meaning: Meaning) -> Value:
        at = self._at[meaning]
        return row.cells[at[0]] if at and at[0] < len(row.cells) else ""

    def _text(self, row: Row, meaning: Meaning) -> str:
        value = self._first(row, meaning)
        if isinstance(value, Decimal):
            return f"{value.normalize():f}"
        return clean(as_text(value)) if value != "" else ""

    def _joined(self, row: Row, meaning: Meaning) -> str:
        """The texts of all columns of a meaning, one a line; "none" is nothing."""
        texts = [clean(as_text(row.cells[i])) for i in self._at[meaning] if i < len(row.cells) and row.cells[i] != ""]
        return "\n".join(text for text in texts if not says_nothing(text))


def _consent_kind(header: str) -> str:
    folded = fold(header)
    if re.search(r"foto|photo|image|bild|picture|写真", folded):
        return "photo"
    if has_words_for(header, Meaning.EMAIL) or re.search(r"newsletter|marketing|mailing", folded):
        return "mail"
    return "other"

"""One row of a sheet made into a person and a sign-up; what is odd in it is told."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from scheduling.exchange.amounts import AmountColumn
from scheduling.exchange.columns import Columns, as_text
from scheduling.exchange.dates_in import DateColumn, read_time
from scheduling.exchange.emails import name_beside, read_emails
from scheduling.exchange.headers import has_words_for
from scheduling.exchange.heads import read_heads
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.meanings import Meaning
from scheduling.exchange.names import guest_names, joined_name, may_be_several, shown_name
from scheduling.exchange.people import Entry, person_key
from scheduling.exchange.phones import read_phones
from scheduling.exchange.rows import (
    CONFIRMED,
    Birthday,
    Consent,
    Notices,
    NoValue,
    Person,
    Phone,
    SignUp,
    Value,
)
from scheduling.exchange.sheets import Row
from scheduling.exchange.states import known_state, likely_state, says_no, says_yes, state_of_header
from scheduling.exchange.text import clean, fold, one_line, says_nothing
from scheduling.model.bookings import heads_text

_RANK = ("confirmed", "waitlist", "attended", "no-show", "cancelled")


@dataclass(frozen=True, slots=True)
class WholeColumns:
    """The columns that are read as a whole, one value for each row; None where the sheet has no such column."""

    dates: DateColumn | None
    births: DateColumn | None
    paid: AmountColumn | None
    price: AmountColumn | None


class RowReader:
    """Reads the rows of one sheet; `words` counts what its status columns say."""

    def __init__(self, columns: Columns, whole: WholeColumns, mapping: Mapping, notices: Notices) -> None:
        self._columns = columns
        self._whole = whole
        self._mapping = mapping
        self._notices = notices
        self._at = {meaning: columns.of(meaning) for meaning in Meaning}
        self.words: Counter[str] = Counter()

    def entry(self, index: int, row: Row) -> Entry | None:
        """The row as a person and a sign-up; None when it names nobody."""
        dates, paid, price = self._whole.dates, self._whole.paid, self._whole.price
        person = self._person(index, row)
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

    def _person(self, index: int, row: Row) -> Person | None:
        typed = self._typed_name(row) or self._name_beside(row)
        emails, others = self._emails(row)
        phones = self._phones(row)
        if not typed and not emails and not phones:
            if row.cells:
                self._notices.add(row.number, "rows that name nobody", "names nobody and is left out.")
            return None
        if not emails and not phones and self._is_remark(typed, row):
            self._notices.add(row.number, "remarks between the rows", f"“{typed[:60]}” names nobody and is left out.")
            return None
        name = shown_name(typed)
        if not name:
            name = (*emails, *others, *(phone.typed for phone in phones))[0]
            self._notices.add(row.number, "rows without a name", f"has no name; {name} stands for it.")
        elif may_be_several(typed):
            self._notices.add(row.number, "names of two people", f"“{name[:60]}” may be two people; kept as one.")
        births = self._whole.births
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

    def _name_beside(self, row: Row) -> str:
        cells = (as_text(row.cells[index]) for index in self._at[Meaning.EMAIL] if index < len(row.cells))
        return next((name for cell in cells if "<" in cell and (name := name_beside(cell))), "")

    def _is_remark(self, typed: str, row: Row) -> bool:
        """A line such as "Exported on 1 May 2026" or "Group 2:" that stands alone in its row."""
        alone = sum(bool(clean(as_text(cell))) for cell in row.cells) == 1 and len(self._columns.header) > 1
        return alone and (any(char.isdecimal() for char in typed) or ":" in typed or len(typed.split()) > 5)

    def _typed_name(self, row: Row) -> str:
        for index in self._at[Meaning.NAME]:
            whole = clean(as_text(row.cells[index])) if index < len(row.cells) else ""
            if not says_nothing(whole):
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
        if len(found) > 1:
            others = ", ".join(found[1:4]) + (" and more" if len(found) > 4 else "")
            self._notices.add(
                row.number,
                "further e-mail addresses",
                f"has several e-mail addresses: {found[0]} counts, not {others}.",
            )
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
        """Seats asked for, and guests' names; where no number of seats stands, guests are counted."""
        cell = self._first(row, Meaning.GUESTS)
        guests = () if isinstance(cell, str) and says_nothing(clean(cell)) else guest_names(as_text(cell))
        seats = self._first(row, Meaning.HEADS)
        if self._at[Meaning.HEADS] and not (guests and isinstance(seats, str) and not clean(seats).strip("-–—")):
            heads, odd = read_heads(seats)
            if odd:
                self._notices.add(row.number, "heads", f"{odd}.")
            elif heads is not None and heads <= len(guests) and guests:
                named = "1 guest" if len(guests) == 1 else f"{len(guests)} guests"
                self._notices.add(row.number, "heads", f"names {named} and asks for {heads_text(heads)}.")
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
        if own and not settled:  # "Cancelled?": yes, x, a date or a place in the row says so
            if says_no(word) and own != CONFIRMED:
                return ""
            if says_yes(value) or known_state(word) == own or any(char.isdecimal() for char in word):
                return own
        self.words[word] += 1
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

    # --- cells ---

    def _first(self, row: Row, meaning: Meaning) -> Value:
        at = self._at[meaning]
        return row.cells[at[0]] if at and at[0] < len(row.cells) else ""

    def _text(self, row: Row, meaning: Meaning) -> str:
        value = self._first(row, meaning)
        if value == "":
            return ""
        if isinstance(value, Decimal):
            return f"{value.normalize():f}"
        return clean(as_text(value))

    def _joined(self, row: Row, meaning: Meaning) -> str:
        """The texts of all columns of a meaning, one a line; "none" is nothing."""
        at = self._at[meaning]
        if not at:
            return ""
        texts = [clean(as_text(row.cells[i])) for i in at if i < len(row.cells) and row.cells[i] != ""]
        return "\n".join(text for text in texts if not says_nothing(text))


def _consent_kind(header: str) -> str:
    folded = fold(header)
    if re.search(r"foto|photo|image|bild|picture|写真", folded):
        return "photo"
    if has_words_for(header, Meaning.EMAIL) or re.search(r"newsletter|marketing|mailing", folded):
        return "mail"
    return "other"

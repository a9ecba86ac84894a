"""What a file of people means, as frozen rows: people, sign-ups, questions and notices."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduling.exchange.mapping import Mapping

CONFIRMED, WAITLIST, CANCELLED, NO_SHOW, ATTENDED = "confirmed", "waitlist", "cancelled", "no-show", "attended"
STATES = (CONFIRMED, WAITLIST, CANCELLED, NO_SHOW, ATTENDED)
DAY_FIRST, MONTH_FIRST = "day-first", "month-first"

Progress = Callable[[int, int], bool]
"""Called with (done, total) rows; False stops the reading."""


@dataclass(frozen=True, slots=True)
class NoValue:
    """A cell that a spreadsheet could not fill: an error such as #N/A, or a formula without a stored result."""

    reason: str


Value = str | int | Decimal | dt.datetime | dt.date | dt.time | NoValue
"""One cell. Files of text hold only str; a workbook holds what it stored. Empty is "" everywhere."""


@dataclass(frozen=True, slots=True)
class Phone:
    """A phone number as text.

    typed: as it stood in the file, unwrapped.
    number: digits with a leading + where there was one; no trunk zero behind a country code; "" when damaged.
    extension: digits behind "ext.", "x", "Durchwahl"; may be empty.
    damaged: digits are lost for good (a spreadsheet's exponent), never to be dialled.
    """

    typed: str
    number: str
    extension: str = ""
    damaged: bool = False


@dataclass(frozen=True, slots=True)
class Birthday:
    """A day of birth; year is None where the file leaves it out."""

    month: int
    day: int
    year: int | None = None


@dataclass(frozen=True, slots=True)
class Consent:
    """A yes or no given in a column; empty or not understood is no.

    kind: "mail", "photo" or "other"; header: the column's words.
    """

    kind: str
    header: str
    given: bool


@dataclass(frozen=True, slots=True)
class Person:
    """One person of the file.

    name: as shown ("Siobhán O'Neill"); typed: as it stood ("O'Neill, Siobhán").
    emails: main address first, as first typed; other_emails: from further columns or cells, not for use by itself.
    source_id: the sheet's number of this person or the card's UID; may be empty.
    key: the same for the same person in every file: main e-mail, case folded, and folded name (interop.md 4).
    row: where the person first stands in the file (a card's number in a contact file).
    """

    name: str
    typed: str
    key: str
    row: int
    emails: tuple[str, ...] = ()
    other_emails: tuple[str, ...] = ()
    phones: tuple[Phone, ...] = ()
    birthday: Birthday | None = None
    address: str = ""
    consents: tuple[Consent, ...] = ()
    note: str = ""
    source_id: str = ""
    is_organisation: bool = False


@dataclass(frozen=True, slots=True)
class SignUp:
    """One sign-up as it stands at the end of the file.

    person: index into PeopleRead.people.
    heads: seats taken, the person included; None when the cell cannot be read; 0 stays 0 and is flagged.
    guests: names only; they are never made into people by themselves.
    state: one of STATES; state_word: the file's own word.
    paid: amount exactly as written, no currency; said_paid: a bare yes or no.
    day, starts: local wall time as written; None when empty, not readable or still asked.
    rows: every row that speaks of it, the deciding one last.
    key: stands for it in every file of the source: row id, else person, class and day.
    """

    person: int
    key: str
    rows: tuple[int, ...]
    class_text: str = ""
    day: dt.date | None = None
    starts: dt.time | None = None
    heads: int | None = 1
    guests: tuple[str, ...] = ()
    state: str = CONFIRMED
    state_word: str = ""
    paid: Decimal | None = None
    said_paid: bool | None = None
    price: Decimal | None = None
    note: str = ""
    guardian: str = ""
    source_id: str = ""
    order_id: str = ""

    def placed(self, person: int, key: str) -> SignUp:
        """This sign-up with its person and key, which are known last; for very many rows `replace` is slow."""
        return SignUp(
            person,
            key,
            self.rows,
            self.class_text,
            self.day,
            self.starts,
            self.heads,
            self.guests,
            self.state,
            self.state_word,
            self.paid,
            self.said_paid,
            self.price,
            self.note,
            self.guardian,
            self.source_id,
            self.order_id,
        )

    @property
    def row(self) -> int:
        """The row that decides."""
        return self.rows[-1]


@dataclass(frozen=True, slots=True)
class HealthNote:
    """Health or access needs, kept apart from people and sign-ups so that nothing shows them unasked."""

    person: int
    sign_up: int | None
    text: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to a question: the value to give back and what it means, spelled out."""

    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Question:
    """What must be answered before anything may be kept.

    kind: "date order", "decimal sign", "status", "sheet", "names column" or "changed here".
    about: the column's header, the status word; given back with the answer (Mapping.answered).
    suggested: the value of the likeliest choice, or empty.
    """

    kind: str
    about: str
    text: str
    choices: tuple[Choice, ...] = ()
    suggested: str = ""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something odd: row is 0 when it speaks of the whole file; unit is what is counted, "Row" or "Card"."""

    row: int
    text: str
    unit: str = "Row"

    def __str__(self) -> str:
        return f"{self.unit} {self.row}: {self.text}" if self.row else self.text


@dataclass(frozen=True, slots=True)
class StatusWord:
    """A word of the status columns: how often, what it is taken for, and whether that is sure."""

    word: str
    count: int
    state: str
    known: bool


@dataclass(frozen=True, slots=True)
class Source:
    """How the file was read: kind "table" or "contacts", its encoding, delimiter, sheet and header row (0 = none)."""

    kind: str
    encoding: str = ""
    delimiter: str = ""
    sheet: str = ""
    sheets: tuple[str, ...] = ()
    header_row: int = 0


@dataclass(frozen=True, slots=True)
class PeopleRead:
    """All that a file of people and sign-ups means; nothing of it is kept anywhere.

    people: different persons in file order; sign_ups: in file order (none for a contact file).
    alike: groups of indexes into people with the same name and different addresses: perhaps one person.
    samples: up to three cells of each column, in the order of header; none of health columns.
    top: number and words of the first rows, of which one may be the header; nothing of health columns below it.
    """

    people: tuple[Person, ...]
    sign_ups: tuple[SignUp, ...]
    ask: tuple[Question, ...]
    notices: tuple[Notice, ...]
    mapping: Mapping
    header: tuple[str, ...]
    source: Source
    samples: tuple[tuple[str, ...], ...] = field(default=(), repr=False)
    top: tuple[tuple[int, str], ...] = field(default=(), repr=False)
    status_words: tuple[StatusWord, ...] = ()
    alike: tuple[tuple[int, ...], ...] = ()
    health: tuple[HealthNote, ...] = field(default=(), repr=False)


class Notices:
    """Collects notices and keeps the list short: after MOST of a kind only their number is told."""

    MOST = 50

    def __init__(self, unit: str = "Row") -> None:
        self._unit = unit
        self._kept: list[Notice] = []
        self._counts: dict[str, int] = {}

    def add(self, row: int, kind: str, text: str) -> None:
        """Note `text` about `row`; kind groups notices of one cause and ends the summary line."""
        count = self._counts.get(kind, 0) + 1
        self._counts[kind] = count
        if count <= self.MOST:
            self._kept.append(Notice(row, text, self._unit))

    def all(self) -> tuple[Notice, ...]:
        """Whole-file notices first, then by row."""
        more = [
            Notice(0, f"{count - self.MOST:,} more {self._unit.casefold()}s: {kind}.")
            for kind, count in self._counts.items()
            if count > self.MOST
        ]
        return tuple(sorted([*self._kept, *more], key=lambda notice: notice.row))

"""What a file of people and sign-ups would change, before anything of it is kept."""

from __future__ import annotations

import datetime as dt
import json
import re
import sqlite3
from collections import defaultdict
from dataclasses import dataclass
from typing import Literal

from scheduling.exchange.mapping import FILE, HERE, Mapping, mapping_from
from scheduling.exchange.rows import (
    ATTENDED,
    CANCELLED,
    NO_SHOW,
    Choice,
    Notice,
    Notices,
    PeopleRead,
    Person,
    Question,
    SignUp,
)
from scheduling.folding import fold_text
from scheduling.model.bookings import TAKES_SEATS, heads_text
from scheduling.model.refs import ref, ref_id
from scheduling.model.row_details import LABELS, compared, may_be_another, said_keys
from scheduling.model.taking_in import PersonEntry, SignUpEntry, What, opaque_key
from scheduling.queries.classes import Classes, ClassRow
from scheduling.queries.importing_busy import BusyPreview, KeptZones, PreviewBusy
from scheduling.store.known_people import KnownPeople
from scheduling.store.rows import Reader
from scheduling.words import show_day


@dataclass(frozen=True, slots=True)
class KeptMapping:
    """The column mapping that was settled for a source before; an empty one where there is none."""

    source: str

    def fetch(self, reader: Reader) -> Mapping:
        text = reader.value("SELECT mapping FROM outside_source WHERE kind = 'sign-ups' AND name = ?", (self.source,))
        return mapping_from(json.loads(text)) if text else Mapping()


@dataclass(frozen=True, slots=True)
class SignUpPreview:
    """What a file of people would add.

    ask: what must be answered first; nothing may be kept before. people, sign_ups: for KeepSignUps as they stand.
    new_people: how many are not known yet; counts: sign-ups by what they are to the studio.
    """

    ask: tuple[Question, ...]
    notices: tuple[str, ...]
    people: tuple[PersonEntry, ...]
    sign_ups: tuple[SignUpEntry, ...]
    new_people: int
    counts: dict[str, int]
    mapping: Mapping
    source: str

    @property
    def may_keep(self) -> bool:
        return not self.ask and (self.new_people > 0 or any(self.counts.get(what) for what in ("new", "changed")))


@dataclass(frozen=True, slots=True)
class PreviewSignUps:
    """Match what was read with the studio's attendees, classes and earlier imports of the same source.

    source: the name under which the file's answers and rows are remembered, usually the file's name.
    class_date_id: the class of every row that names none.
    heads: (row, heads) as she says of rows whose number of heads cannot be read, or is to be another.
    """

    read: PeopleRead
    source: str
    class_date_id: int | None = None
    heads: tuple[tuple[int, int], ...] = ()

    def fetch(self, reader: Reader) -> SignUpPreview:
        known = KnownPeople(reader)
        people = _people(reader, self.read, self.source, known)
        mapping = self.read.mapping
        for row, heads in self.heads:
            for sign_up in (one for one in self.read.sign_ups if one.row == row):
                mapping = mapping.with_heads(opaque_key(sign_up.key), sign_up.heads, heads)
        matching = _Matching(reader, self.source, self.class_date_id, people, known)
        entries = matching.entries(self.read, mapping)
        counts: dict[str, int] = defaultdict(int)
        for entry in entries:
            counts[entry.what] += 1
        return SignUpPreview(
            ask=(*self.read.ask, *matching.ask),
            notices=tuple(str(notice) for notice in (*self.read.notices, *_left_behind(self.read, people))),
            people=tuple(people),
            sign_ups=tuple(entries),
            new_people=sum(person.person_id is None for person in people),
            counts=dict(counts),
            mapping=mapping,
            source=self.source,
        )


def _people(reader: Reader, read: PeopleRead, source: str, known: KnownPeople) -> list[PersonEntry]:
    """The people of a file; one whose sign-up was kept before is its payer, also under another name by now."""
    payers = {
        row["source_row"]: int(row["payer_id"])
        for row in reader.rows(
            """SELECT booking.source_row, booking.payer_id FROM booking
               JOIN outside_source ON outside_source.id = booking.source_id
               WHERE outside_source.kind = 'sign-ups' AND outside_source.name = ?""",
            (source,),
        )
    }
    kept = {sign_up.person: payers.get(opaque_key(sign_up.key)) for sign_up in reversed(read.sign_ups)}
    health: dict[int, dict[str, None]] = defaultdict(dict)  # each note of a person once, in the order of the file
    for note in read.health:
        health[note.person][note.text] = None
    return [_entry(person, known, "; ".join(health[n]), kept.get(n)) for n, person in enumerate(read.people)]


def _entry(person: Person, known: KnownPeople, health: str, payer: int | None) -> PersonEntry:
    email = person.emails[0] if person.emails else ""
    given = {consent.kind: consent.given for consent in person.consents}
    phone = next((one.typed for one in person.phones if not one.damaged), "")
    return PersonEntry(
        name=person.name or email,
        person_id=payer or known.match(person.name or email, email),
        email=email,
        phone=phone,
        address=person.address,
        birth_year=person.birthday.year if person.birthday else None,
        photos=_consent(given.get("photo")),
        news=_consent(given.get("mail")),
        health_note=health,
        note=person.note,
    )


def _left_behind(read: PeopleRead, people: list[PersonEntry]) -> tuple[Notice, ...]:
    """What new people of a file have more than the studio keeps: one address and one phone number."""
    notices = Notices("Card" if read.source.kind == "contacts" else "Row")
    for person, entry in zip(read.people, people, strict=True):
        if entry.person_id is not None:
            continue
        phones = [one.typed for one in person.phones if not one.damaged]
        for words, more in (("e-mail addresses", person.emails), ("phone numbers", phones)):
            if len(more) > 1:
                notices.add(person.row, f"further {words}", f"has {len(more)} {words}; {more[0]} is kept.")
    return notices.all()


def _consent(given: bool | None) -> Literal["yes", "no", "unknown"]:
    return "unknown" if given is None else "yes" if given else "no"


Details = tuple[tuple[str, str, str], ...]
"""(field, here, in the file)"""


class _Matching:
    """Finds for each sign-up its class, the booking it made before, and what it changes."""

    def __init__(
        self,
        reader: Reader,
        source: str,
        class_date_id: int | None,
        people: list[PersonEntry],
        known: KnownPeople,
    ) -> None:
        self.ask: list[Question] = []
        self._people, self._known = people, known
        self._classes = [row for row in Classes("all").fetch(reader) if row.state != "cancelled"]
        self._by_day: dict[dt.date, list[ClassRow]] = defaultdict(list)
        for row in self._classes:
            for day in {session.starts.local.date() for session in row.sessions}:
                self._by_day[day].append(row)
        self._words = {row.id: fold_text(f"{row.title} {row.project}") for row in self._classes}
        self._found: dict[tuple[str, dt.date | None, dt.time | None], tuple[ClassRow | None, str]] = {}
        self._given = class_date_id
        self._kept = {
            row["source_row"]: row
            for row in reader.rows(
                """SELECT booking.source_row, booking.id, booking.state, booking.class_date_id, booking.source_said,
                     booking.payer_id, person.name, person.email, person.phone, person.erased_at,
                     (SELECT count(*) FROM seat WHERE booking_id = booking.id AND given_up_at IS NULL) AS heads,
                     (SELECT count(*) FROM seat
                      WHERE booking_id = booking.id AND given_up_at IS NULL AND mark <> '') AS marked
                   FROM booking JOIN outside_source ON outside_source.id = booking.source_id
                   JOIN person ON person.id = booking.payer_id
                   WHERE outside_source.kind = 'sign-ups' AND outside_source.name = ?""",
                (source,),
            )
        }
        self._seated = {
            (row["class_date_id"], row["person_id"]): row["id"]
            for row in reader.rows(
                """SELECT booking.class_date_id, seat.person_id, booking.id FROM booking
                   JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
                   WHERE booking.state NOT IN ('cancelled', 'transferred') AND seat.person_id IS NOT NULL"""
            )
        }

    def entries(self, read: PeopleRead, mapping: Mapping) -> list[SignUpEntry]:
        return [self._sign_up(sign_up, self._people[sign_up.person], mapping) for sign_up in read.sign_ups]

    def _sign_up(self, sign_up: SignUp, person: PersonEntry, mapping: Mapping) -> SignUpEntry:
        key = opaque_key(sign_up.key)
        said = mapping.heads_of(key, sign_up.heads)
        asked = (sign_up.class_text, sign_up.day, sign_up.starts)
        if asked not in self._found:
            self._found[asked] = self._class_of(sign_up)
        class_row, trouble = self._found[asked]
        heads = said or 0
        before = self._kept.get(key)
        what: What = "new"
        about, booking_id = "", None
        details: Details = ()
        says = {name: str(getattr(person, name)) for name in LABELS}
        if not heads:
            trouble = "the file says no heads" if said == 0 else "the number of heads cannot be read"
            what, about = "left out", f"{trouble}: say how many they are"
        elif before is not None:
            booking_id = before["id"]
            what, about = self._against(before, sign_up, heads, class_row)
            if before["erased_at"] is None and before["state"] not in ("cancelled", "transferred"):
                what, about, details = self._with_details(before, sign_up, says, mapping, (what, about))
        elif class_row is None:
            what, about = "left out", trouble
        elif sign_up.state == "cancelled":
            what, about = "left out", "cancelled in the file"
        elif person.person_id is not None and (class_row.id, person.person_id) in self._seated:
            there = ref("booking", self._seated[class_row.id, person.person_id])
            what, about = "same", f"on the class already ({there})"
        notes = [sign_up.note, f"with {', '.join(sign_up.guests)}" if sign_up.guests else ""]
        notes += [f"the file says paid {sign_up.paid}" if sign_up.paid is not None else ""]
        notes += [f"guardian {sign_up.guardian}" if sign_up.guardian else ""]
        return SignUpEntry(
            row=sign_up.row,
            key=key,
            person=sign_up.person,
            class_date_id=None if class_row is None else class_row.id,
            class_text=_class_words(sign_up) if class_row is None else f"{class_row.ref} {class_row.title}",
            heads=heads,
            state=sign_up.state,  # type: ignore[arg-type]  # the reader gives one of these words
            what=what,
            about=about,
            booking_id=booking_id,
            note="; ".join(note for note in notes if note),
            said=said_keys(key, says, None if before is None else before["source_said"]),
            details=details,
        )

    def _with_details(
        self, before: sqlite3.Row, sign_up: SignUp, says: dict[str, str], mapping: Mapping, so_far: tuple[What, str]
    ) -> tuple[What, str, Details]:
        """What else is changed: the payer's name, address and phone; asks where they were changed here too."""
        here = {name: str(before[name]) for name in LABELS}
        key = opaque_key(sign_up.key)
        found = compared(key, says, here, before["source_said"])
        changed = [*found.taken, *found.asked]
        if not (changed or found.apart):
            return *so_far, ()
        payer = ref("person", before["payer_id"])
        if any(name == "name" for name, _, _ in changed):
            other = self._known.match(says["name"], says["email"])
            if other not in (None, before["payer_id"]):
                there = ref("person", int(other or 0))
                return "left out", f"stood for {here['name']} ({payer}) before, and names {there} now", ()
            if may_be_another(says, here):
                return "left out", f"stood for {here['name']} ({payer}) before: change or add them by hand", ()
        what, about = so_far
        parts, taken = [about] if about else [], list(found.taken)
        for name, kept, new in found.asked:
            asked = f"{sign_up.row} {name}"
            holds = mapping.holds(asked)
            if holds == FILE:
                taken.append((name, kept, new))
            elif holds == HERE:
                what = "changed"
                parts.append(f"{LABELS[name]} stays {kept or 'empty'}")
            else:
                self.ask.append(_changed_in_both(asked, sign_up.row, LABELS[name], kept, new))
        parts += [f"{LABELS[name]} {kept or 'empty'} here, {new} in the file" for name, kept, new in taken]
        parts += [f"{LABELS[name]} {kept or 'empty'} stays, {new} in the file" for name, kept, new in found.apart]
        return "changed" if taken else what, "; ".join(parts), tuple(taken)

    @staticmethod
    def _against(before: sqlite3.Row, sign_up: SignUp, heads: int, class_row: ClassRow | None) -> tuple[What, str]:
        """What a sign-up kept before is now."""
        state, kept = before["state"], before["heads"]
        if sign_up.state == CANCELLED:
            return ("same", "") if state == "cancelled" else ("changed", "cancelled in the file")
        if state in ("cancelled", "transferred"):
            return "same", f"{state} here"
        if heads != kept:
            return "changed", f"{heads_text(kept)} here, {heads_text(heads)} in the file"
        if sign_up.state in (ATTENDED, NO_SHOW) and state in TAKES_SEATS and not before["marked"]:
            return "changed", f"{sign_up.state} in the file"
        if class_row is not None and class_row.id != before["class_date_id"]:
            here = ref("class_date", before["class_date_id"])
            return "same", f"on {here} here, transfer it by hand if it is to move"
        if sign_up.state == "confirmed" and state == "waitlist":
            return "same", "waits here"
        if sign_up.state == "waitlist" and state != "waitlist":
            return "same", f"{state} here"
        return "same", ""

    def _class_of(self, sign_up: SignUp) -> tuple[ClassRow | None, str]:
        """The one class that day, time and words fit; else None and why."""
        named = re.search(r"\bC0*\d+\b", sign_up.class_text, re.IGNORECASE)
        if named:
            wanted = ref_id(named[0], "class_date")
            found = [row for row in self._classes if row.id == wanted]
            if found:
                return found[0], ""
        rows = self._classes
        if sign_up.day is not None:
            rows = self._by_day.get(sign_up.day, [])
            if sign_up.starts is not None and len(rows) > 1:
                rows = [row for row in rows if any(s.starts.local.time() == sign_up.starts for s in row.sessions)]
        words = fold_text(re.sub(r"\d{4}-\d\d-\d\d", "", sign_up.class_text)).split()
        titled = [row for row in rows if words and all(word in self._words[row.id] for word in words)]
        if sign_up.day is None and not words:
            given = [row for row in self._classes if row.id == self._given]
            return (given[0], "") if given else (None, "the row names no class")
        rows = titled or (rows if sign_up.day is not None and not words else [])
        if len(rows) == 1:
            return rows[0], ""
        given = [row for row in self._classes if row.id == self._given]
        if given and not rows:
            return given[0], ""
        if rows:
            return None, "several classes fit: " + ", ".join(row.ref for row in rows[:5])
        return None, f"no class fits {_class_words(sign_up)!r}"


def _changed_in_both(about: str, row: int, label: str, here: str, new: str) -> Question:
    text = f"Row {row}: the {label} is {new} in the file now, and was changed to {here or 'nothing'} here: which holds?"
    choices = (Choice(FILE, f"{new}, as in the file"), Choice(HERE, f"{here or 'Nothing'}, as here"))
    return Question("changed here", about, text, choices)


def _class_words(sign_up: SignUp) -> str:
    day = show_day(sign_up.day, year=True) if sign_up.day is not None else ""
    return " ".join(part for part in (sign_up.class_text, day) if part)


# The screens and the command line ask for either kind of preview here.
__all__ = ["BusyPreview", "KeptMapping", "KeptZones", "PreviewBusy", "PreviewSignUps", "SignUpPreview"]

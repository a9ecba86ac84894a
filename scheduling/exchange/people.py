"""Rows made into persons and sign-ups: who is the same, what repeats, what a later row changes."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

from scheduling.exchange.names import folded_name
from scheduling.exchange.rows import CANCELLED, HealthNote, Notices, Person, SignUp


@dataclass(slots=True)
class Entry:
    """One row of the sheet as read, before persons are told apart."""

    row: int
    person: Person
    sign_up: SignUp
    health: str = ""


@dataclass(slots=True)
class Gathered:
    """Different persons in file order, sign-ups as they stand at the end, and health notes apart."""

    people: list[Person] = field(default_factory=list)
    sign_ups: list[SignUp] = field(default_factory=list)
    health: list[HealthNote] = field(default_factory=list)
    alike: tuple[tuple[int, ...], ...] = ()


def person_key(name: str, email: str) -> str:
    """The same for one person in every file: the e-mail without case, and the folded name.

    Households share an address, so the address alone is no key; "+tag" and dots are never merged (interop.md 4).
    """
    return f"{email.casefold()}|{folded_name(name)}"


class Gathering:
    """Takes the rows of a file one by one and tells persons and sign-ups apart."""

    def __init__(self, notices: Notices) -> None:
        self._notices = notices
        self._gathered = Gathered()
        self._person_at: dict[str, int] = {}
        self._sign_up_at: dict[str, int] = {}
        self._health_at: dict[int, str] = {}

    def add(self, entry: Entry, *, shared_ids: frozenset[str]) -> None:
        """Take one row.

        shared_ids: sign-up numbers that stand in rows of different people, so that they name no single sign-up.
        """
        person = self._person(entry)
        sign_up = entry.sign_up.placed(person, _sign_up_key(entry, shared_ids))
        known = self._sign_up_at.get(sign_up.key)
        if known is None:
            known = len(self._gathered.sign_ups)
            self._sign_up_at[sign_up.key] = known
            self._gathered.sign_ups.append(sign_up)
        else:
            before = self._gathered.sign_ups[known]
            self._gathered.sign_ups[known] = replace(sign_up, rows=(*before.rows, entry.row))
            self._tell_change(before, sign_up, entry.row)
        if entry.health:
            self._health_at[known] = entry.health

    def finish(self) -> Gathered:
        """All persons and sign-ups; says who may be listed twice."""
        gathered = self._gathered
        gathered.health = [
            HealthNote(gathered.sign_ups[at].person, at, text) for at, text in sorted(self._health_at.items())
        ]
        gathered.alike = alike(gathered.people, self._notices)
        return gathered

    def _person(self, entry: Entry) -> int:
        known = self._person_at.get(entry.person.key)
        if known is None:
            known = len(self._gathered.people)
            self._person_at[entry.person.key] = known
            self._gathered.people.append(entry.person)
        else:
            self._gathered.people[known] = with_more(self._gathered.people[known], entry.person)
        return known

    def _tell_change(self, before: SignUp, now: SignUp, row: int) -> None:
        changes = [
            f"{what} {old} becomes {new}"
            for what, old, new in (
                ("status", before.state, now.state),
                ("heads", before.heads, now.heads),
                ("paid", before.paid, now.paid),
            )
            if old != new
        ]
        if changes:
            self._notices.add(row, "changes of an earlier row", f"changes row {before.row}: {', '.join(changes)}.")
        elif now.state != CANCELLED or before.state != CANCELLED:
            self._notices.add(row, "repeats of an earlier row", f"repeats row {before.row}; it counts once.")


def _sign_up_key(entry: Entry, shared_ids: frozenset[str]) -> str:
    """The row's own number where it names this sign-up alone, else number, person, class and day together."""
    sign_up = entry.sign_up
    if sign_up.source_id and sign_up.source_id not in shared_ids:
        return f"id:{sign_up.source_id}"
    day = sign_up.day.isoformat() if sign_up.day else ""
    time = f"{sign_up.starts:%H:%M}" if sign_up.starts else ""
    number = sign_up.source_id or sign_up.order_id
    return "|".join((number, entry.person.key, folded_name(sign_up.class_text), day, time))


def with_more(known: Person, again: Person) -> Person:
    """The person as first typed, with what a later row adds."""
    if known == replace(again, row=known.row):
        return known
    first_typed = {email.casefold() for email in (*known.emails, *known.other_emails)}
    numbers = {(phone.number, phone.extension) for phone in known.phones}
    more_emails = tuple(e for e in (*again.emails, *again.other_emails) if e.casefold() not in first_typed)
    return replace(
        known,
        other_emails=(*known.other_emails, *more_emails),
        phones=(*known.phones, *(one for one in again.phones if (one.number, one.extension) not in numbers)),
        birthday=known.birthday or again.birthday,
        address=known.address or again.address,
        consents=again.consents or known.consents,
        note=known.note or again.note,
        source_id=known.source_id or again.source_id,
    )


def shared_numbers(entries: list[Entry]) -> frozenset[str]:
    """Sign-up numbers that rows of different people, or of different classes, have in common.

    A group may stand under one number with one address: no head of it is taken for a change of another.
    """
    owners: dict[str, tuple[str, str]] = {}
    shared = set()
    for entry in entries:
        number = entry.sign_up.source_id
        owner = (entry.person.key, folded_name(entry.sign_up.class_text))
        if number and owners.setdefault(number, owner) != owner:
            shared.add(number)
    return frozenset(shared)


def alike(people: list[Person], notices: Notices) -> tuple[tuple[int, ...], ...]:
    """Groups of people with the same name and different addresses; told, never merged."""
    counts = Counter(folded_name(person.name) for person in people)
    groups: dict[str, list[int]] = {}
    for index, person in enumerate(people):
        name = folded_name(person.name)
        if counts[name] > 1:
            groups.setdefault(name, []).append(index)
    for members in groups.values():
        first = people[members[0]]
        addresses = ", ".join(people[i].emails[0] if people[i].emails else "no address" for i in members[:4])
        notices.add(first.row, "names that stand twice", f"{first.name} may be listed twice ({addresses}).")
    return tuple(tuple(members) for members in groups.values())

"""Making, changing and retiring attendees."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field, field_validator

from scheduling.commands.found import found, in_use, text
from scheduling.commands.request import Outcome, Request
from scheduling.commands.task_rows import keep_tasks
from scheduling.errors import ConflictError, InvalidError
from scheduling.folding import fold_text
from scheduling.model.refs import ref
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction

Consent = Literal["yes", "no", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonKept(Outcome):
    person_id: int


class _PersonEntries(Request[PersonKept]):
    """Entries of an attendee; None leaves a value as it is (or at its default in a new one)."""

    email: str | None = None
    phone: str | None = None
    address: str | None = None
    abroad: bool | None = None
    birth_year: Annotated[int, Field(ge=1880, le=2200)] | None = None
    guardian_id: int | None = None
    access_needs: str | None = None
    health_note: str | None = None
    photos: Consent | None = None
    news: Consent | None = None
    note: str | None = None

    @field_validator("email")
    @classmethod
    def _email_reads(cls, value: str | None) -> str | None:
        if value and (value.count("@") != 1 or value.startswith("@") or value.endswith("@") or " " in value):
            raise InvalidError(f"{value!r} is not an e-mail address.", hint="Write it as name@place.", field="email")
        return value

    def _columns(self, tx: Transaction, now: Row | None) -> dict[str, Value]:
        """The columns that these entries set, with the dates of consents and the erase-after of a health note."""
        columns: dict[str, Value] = {}
        for name in ("email", "phone", "address", "birth_year", "access_needs", "health_note", "note"):
            if name in self.model_fields_set:
                value = getattr(self, name)
                columns[name] = value if name == "birth_year" else value or ""
        if self.abroad is not None:
            columns["abroad"] = int(self.abroad)
        if "guardian_id" in self.model_fields_set:
            if self.guardian_id is not None:
                in_use(tx, "person", self.guardian_id, field="guardian_id")
            columns["guardian_id"] = self.guardian_id
        for name in ("photos", "news"):
            value = getattr(self, name)
            if value is not None and (now is None or now[name] != value):
                columns[name] = value
                columns[f"{name}_on"] = None if value == "unknown" else tx.today().isoformat()
        if "health_note" in columns:
            columns["health_erase_on"] = self._erase_on(tx, now) if columns["health_note"] else None
        return columns

    @staticmethod
    def _erase_on(tx: Transaction, now: Row | None) -> str:
        """Kept days after the person's last class, or after today where there is none."""
        last = None
        if now is not None:
            last = tx.value(
                """SELECT max(substr(session.ends, 1, 10)) FROM seat
                   JOIN booking ON booking.id = seat.booking_id
                   JOIN session ON session.class_date_id = booking.class_date_id
                   WHERE seat.person_id = ? AND seat.given_up_at IS NULL""",
                (now["id"],),
            )
        kept = int(tx.value("SELECT health_days_kept FROM studio"))
        start = max(tx.today(), dt.date.fromisoformat(last) if last else tx.today())
        return (start + dt.timedelta(days=kept)).isoformat()


class AddPerson(_PersonEntries):
    """Keep a new attendee.

    unless_known: when a person with the same name and e-mail is there, give that one instead.
    """

    name: Annotated[str, Field(min_length=1, max_length=200)]
    unless_known: bool = False

    def run(self, tx: Transaction) -> PersonKept:
        name = " ".join(self.name.split())
        if self.unless_known:
            known = tx.value(
                """SELECT id FROM person WHERE folded = ? AND lower(email) = lower(?)
                   AND retired_at IS NULL AND erased_at IS NULL""",
                (fold_text(name), self.email or ""),
            )
            if known is not None:
                return PersonKept(summary="", said=f"{name} is known already.", person_id=known)
        person_id = tx.insert(
            "person",
            {"name": name, "folded": fold_text(name), "created_at": tx.now_text, **self._columns(tx, None)},
        )
        return PersonKept(
            summary=f"Added {ref('person', person_id)}",
            said=f"{name} is kept as {ref('person', person_id)}.",
            person_id=person_id,
        )


class ChangePerson(_PersonEntries):
    """Change what is kept of an attendee."""

    person_id: int
    name: Annotated[str, Field(min_length=1, max_length=200)] | None = None

    def run(self, tx: Transaction) -> PersonKept:
        now = found(tx, "person", self.person_id)
        if now["erased_at"] is not None:
            raise ConflictError(f"{ref('person', self.person_id)} is erased.", hint="Add the person anew.")
        if self.guardian_id == self.person_id:
            raise InvalidError("Nobody is their own guardian.", hint="Choose another person.", field="guardian_id")
        columns = self._columns(tx, now)
        if self.name is not None:
            name = " ".join(self.name.split())
            columns |= {"name": name, "folded": fold_text(name)}
        tx.update("person", self.person_id, columns)
        if columns.get("abroad") and not now["abroad"]:
            self._mailed_abroad(tx)
        return PersonKept(
            summary=f"Changed {ref('person', self.person_id)}",
            said=f"{columns.get('name', now['name'])} is changed.",
            person_id=self.person_id,
        )

    def _mailed_abroad(self, tx: Transaction) -> None:
        """The classes whose kits they are sent have a posting abroad now."""
        for row in tx.rows(
            """SELECT DISTINCT class_date.id FROM booking JOIN class_date ON class_date.id = booking.class_date_id
               WHERE booking.payer_id = ? AND booking.state IN ('held', 'deposit', 'confirmed', 'offered')
                 AND mailed_kit = 1 AND taught_at IS NULL AND class_date.state <> 'cancelled' ORDER BY class_date.id""",
            (self.person_id,),
        ):
            keep_tasks(tx, row["id"])


class RetirePerson(Request[PersonKept]):
    """Take an attendee out of the lists, or bring them back; bookings stay."""

    person_id: int
    back: bool = False

    def run(self, tx: Transaction) -> PersonKept:
        person = found(tx, "person", self.person_id)
        tx.update("person", self.person_id, {"retired_at": None if self.back else tx.now_text})
        done = "is back in the lists" if self.back else "is retired; the bookings stay"
        return PersonKept(
            summary=f"{'Brought back' if self.back else 'Retired'} {ref('person', self.person_id)}",
            said=f"{text(person, 'name')} {done}.",
            person_id=self.person_id,
        )

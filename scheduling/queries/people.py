"""Finding attendees by a few letters, and one attendee's page."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.errors import NotFoundError
from scheduling.folding import fold_text
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One line of the attendees' list; coming: bookings on classes to come."""

    id: int
    name: str
    email: str
    phone: str
    has_needs: bool
    is_child: bool
    retired: bool
    coming: int

    @property
    def ref(self) -> str:
        return ref("person", self.id)


@dataclass(frozen=True, slots=True)
class PeopleFound:
    """rows: the best matches; total: how many match in all."""

    rows: tuple[PersonRow, ...]
    total: int


@dataclass(frozen=True, slots=True)
class FindPeople:
    """Attendees whose name, e-mail or phone holds every word typed, in any script, with or without accents.

    at_most: rows wanted, best first (names that start with the text, then by name).
    """

    text: str = ""
    at_most: int = 200
    with_retired: bool = False

    def fetch(self, reader: Reader) -> PeopleFound:
        words = fold_text(self.text).split()
        where = ["erased_at IS NULL"]
        if not self.with_retired:
            where.append("retired_at IS NULL")
        parameters: list[object] = []
        for word in words:
            like = f"%{_escaped(word)}%"
            where.append(
                "(folded LIKE ? ESCAPE '\\' OR email LIKE ? ESCAPE '\\' OR phone LIKE ? ESCAPE '\\' OR id = ?)"
            )
            parameters += [like, like, like, _as_id(word)]
        condition = " AND ".join(where)
        total = int(reader.value(f"SELECT count(*) FROM person WHERE {condition}", parameters))  # noqa: S608  built above
        start = f"{_escaped(' '.join(words))}%"
        rows = reader.rows(
            f"""SELECT id, name, email, phone, access_needs, health_note, guardian_id, retired_at,
                  (SELECT count(DISTINCT booking.id) FROM booking JOIN session USING (class_date_id)
                   WHERE booking.payer_id = person.id AND booking.state NOT IN ('cancelled', 'transferred')
                     AND session.ends >= ? AND session.dropped = 0) AS coming
                FROM person WHERE {condition}
                ORDER BY folded LIKE ? ESCAPE '\\' DESC, folded, id LIMIT ?""",  # noqa: S608  built above
            [reader.today().isoformat(), *parameters, start, self.at_most],
        )
        return PeopleFound(
            tuple(
                PersonRow(
                    id=row["id"],
                    name=row["name"],
                    email=row["email"],
                    phone=row["phone"],
                    has_needs=bool(row["access_needs"] or row["health_note"]),
                    is_child=row["guardian_id"] is not None,
                    retired=row["retired_at"] is not None,
                    coming=row["coming"],
                )
                for row in rows
            ),
            total,
        )


def _escaped(word: str) -> str:
    return word.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")


def _as_id(word: str) -> int:
    """The number in a reference such as a12; -1 for any other word."""
    return int(word[1:]) if word[:1] == "a" and word[1:].isdecimal() and len(word) < 12 else -1


@dataclass(frozen=True, slots=True)
class PersonBooking:
    """A booking that a person pays for or sits in."""

    booking_id: int
    state: str
    heads: int
    pays: bool
    class_row: ClassRow

    @property
    def ref(self) -> str:
        return ref("booking", self.booking_id)


@dataclass(frozen=True, slots=True)
class PersonPage:
    """All that is kept of one attendee; dates as ISO days or None."""

    id: int
    name: str
    email: str
    phone: str
    address: str
    abroad: bool
    birth_year: int | None
    guardian_id: int | None
    guardian: str
    access_needs: str
    health_note: str
    health_erase_on: str | None
    photos: str
    photos_on: str | None
    news: str
    news_on: str | None
    note: str
    retired: bool
    erased: bool
    bookings: tuple[PersonBooking, ...]

    @property
    def ref(self) -> str:
        return ref("person", self.id)


@dataclass(frozen=True, slots=True)
class Person:
    """One attendee's page; raises NotFoundError."""

    person_id: int

    def fetch(self, reader: Reader) -> PersonPage:
        row = reader.row("person", self.person_id)
        if row is None:
            raise NotFoundError(
                f"There is no attendee {ref('person', self.person_id)}.",
                hint="Look them up by name.",
                field="person_id",
            )
        bookings = reader.rows(
            """SELECT booking.id, booking.state, booking.class_date_id, booking.payer_id = ?1 AS pays,
                 (SELECT count(*) FROM seat WHERE seat.booking_id = booking.id AND seat.given_up_at IS NULL) AS heads
               FROM booking WHERE booking.payer_id = ?1
                  OR booking.id IN (SELECT booking_id FROM seat WHERE person_id = ?1 AND given_up_at IS NULL)
               ORDER BY booking.id DESC""",
            (self.person_id,),
        )
        classes = {c.id: c for c in class_rows(reader, [b["class_date_id"] for b in bookings])}
        guardian = reader.value("SELECT name FROM person WHERE id = ?", (row["guardian_id"],))
        plain = {
            name: row[name]
            for name in [
                "id",
                "name",
                "email",
                "phone",
                "address",
                "birth_year",
                "guardian_id",
                "access_needs",
                "health_note",
                "health_erase_on",
                "photos",
                "photos_on",
                "news",
                "news_on",
                "note",
            ]
        }
        return PersonPage(
            **plain,  # type: ignore[arg-type]  # the schema holds the types
            abroad=bool(row["abroad"]),
            guardian=guardian or "",
            retired=row["retired_at"] is not None,
            erased=row["erased_at"] is not None,
            bookings=tuple(
                PersonBooking(b["id"], b["state"], b["heads"], bool(b["pays"]), classes[b["class_date_id"]])
                for b in bookings
            ),
        )

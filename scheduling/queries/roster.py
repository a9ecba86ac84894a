"""Who is on a class date: seats, waitlist, and what to look out for."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.errors import InvalidError, NotFoundError
from scheduling.model.bookings import TAKES_SEATS
from scheduling.model.fit import no_photos_says
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.fit_facts import misfits_of, place_of, posting_warnings
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class RosterRow:
    """One head: a seat of a booking that is not given up.

    name: the participant, or empty for a head without a name; needs: access needs as typed;
    has_health_note: a mark only, the note itself stays on the person's page. address, abroad: of the payer, to whom a
    mailed kit goes; kit: where it is; ask_again: what this head is still asked: new date, new person, or nothing.
    """

    seat_id: int
    booking_id: int
    state: str
    person_id: int | None
    name: str
    payer_id: int
    payer: str
    email: str
    phone: str
    guardian: str
    guardian_phone: str
    birth_year: int | None
    needs: str
    has_health_note: bool
    photos: str
    abroad: bool
    mark: str
    waiting_since: str | None
    note: str
    address: str = ""
    kit: str = ""
    ask_again: str = ""

    @property
    def booking_ref(self) -> str:
        return ref("booking", self.booking_id)

    @property
    def has_seat(self) -> bool:
        return self.state in TAKES_SEATS


@dataclass(frozen=True, slots=True)
class RosterPage:
    """seated: heads with a seat, by name; waiting: heads on the waitlist in join order; asking: enquiries."""

    class_row: ClassRow
    seated: tuple[RosterRow, ...]
    waiting: tuple[RosterRow, ...]
    asking: tuple[RosterRow, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Roster:
    """The roster of one class date; raises NotFoundError."""

    class_date_id: int

    def fetch(self, reader: Reader) -> RosterPage:
        found = class_rows(reader, [self.class_date_id])
        if not found:
            raise NotFoundError(
                f"There is no class date {ref('class_date', self.class_date_id)}.",
                hint="Look it up in the classes.",
                field="class_date_id",
            )
        rows = [
            RosterRow(
                seat_id=row["seat_id"],
                booking_id=row["booking_id"],
                state=row["state"],
                person_id=row["person_id"],
                name=row["name"] or "",
                payer_id=row["payer_id"],
                payer=row["payer"],
                email=row["email"] or row["payer_email"],
                phone=row["phone"] or row["payer_phone"],
                guardian=row["guardian"] or "",
                guardian_phone=row["guardian_phone"] or "",
                birth_year=row["birth_year"],
                needs=row["access_needs"] or "",
                has_health_note=bool(row["health_note"]),
                photos=row["photos"] or "unknown",
                abroad=bool(row["abroad"]),
                mark=row["mark"],
                waiting_since=row["waiting_since"],
                note=row["note"],
                address=row["payer_address"],
                kit=row["kit"],
                ask_again=row["ask_again"],
            )
            for row in reader.rows(
                """SELECT seat.id AS seat_id, seat.mark, booking.id AS booking_id, booking.state, booking.waiting_since,
                     booking.note, person.id AS person_id, person.name, person.email, person.phone, person.birth_year,
                     person.access_needs, person.health_note, person.photos, payer.abroad,
                     payer.id AS payer_id, payer.name AS payer, payer.email AS payer_email, payer.phone AS payer_phone,
                     payer.address AS payer_address, seat.kit, seat.ask_again,
                     guardian.name AS guardian, guardian.phone AS guardian_phone
                   FROM booking JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
                   JOIN person AS payer ON payer.id = booking.payer_id
                   LEFT JOIN person ON person.id = seat.person_id
                   LEFT JOIN person AS guardian ON guardian.id = person.guardian_id
                   WHERE booking.class_date_id = ? AND booking.state NOT IN ('cancelled', 'transferred')
                   ORDER BY seat.id""",
                (self.class_date_id,),
            )
        ]
        return RosterPage(
            class_row=found[0],
            seated=tuple(sorted((r for r in rows if r.has_seat), key=lambda r: (r.name or r.payer, r.seat_id))),
            waiting=tuple(
                sorted(
                    (r for r in rows if r.state == "waitlist"),
                    key=lambda r: (r.waiting_since or "", r.booking_id, r.seat_id),
                )
            ),
            asking=tuple(r for r in rows if r.state == "enquiry"),
            warnings=tuple(roster_warnings(reader, found[0], rows)),
        )


def roster_warnings(reader: Reader, class_row: ClassRow, rows: list[RosterRow]) -> list[str]:
    """What about the heads on a class does not fit it."""
    seated = [row for row in rows if row.has_seat]
    telling = [
        row for row in seated if row.person_id is not None and (row.needs or row.has_health_note or row.birth_year)
    ]
    said: list[str] = []
    if telling:
        place = place_of(reader, class_row.id)
        said += [sentence for row in telling for sentence in misfits_of(reader, place, int(row.person_id or 0))]
    if class_row.mailed_kit:
        said += posting_warnings(reader, class_row.id, sorted({row.payer_id for row in seated}))
    no_photos = [row.name for row in seated if row.photos == "no"]
    if no_photos:
        said.append(no_photos_says(no_photos))
    return list(dict.fromkeys(said))


@dataclass(frozen=True, slots=True)
class SeatsToGive:
    """The seats to give up when so many heads of a booking leave: those without a name first, the payer's last.

    Raises InvalidError when the booking has fewer heads.
    """

    booking_id: int
    heads: int

    def fetch(self, reader: Reader) -> tuple[int, ...]:
        rows = reader.rows(
            """SELECT seat.id FROM seat JOIN booking ON booking.id = seat.booking_id
               WHERE seat.booking_id = ? AND seat.given_up_at IS NULL
               ORDER BY seat.person_id IS NOT NULL, seat.person_id IS booking.payer_id, seat.id DESC""",
            (self.booking_id,),
        )
        if not 1 <= self.heads <= len(rows):
            raise InvalidError(
                f"{ref('booking', self.booking_id)} has {len(rows)} heads.",
                hint="Give up 1 to that many.",
                field="heads",
            )
        return tuple(int(row["id"]) for row in rows[: self.heads])


@dataclass(frozen=True, slots=True)
class SeatRow:
    """One kept seat of a booking; name: of its participant, empty for a head without a name."""

    seat_id: int
    person_id: int | None
    name: str


@dataclass(frozen=True, slots=True)
class SeatsOf:
    """The kept seats of a booking."""

    booking_id: int

    def fetch(self, reader: Reader) -> tuple[SeatRow, ...]:
        return tuple(
            SeatRow(row["id"], row["person_id"], row["name"] or "")
            for row in reader.rows(
                """SELECT seat.id, seat.person_id, person.name FROM seat LEFT JOIN person ON person.id = seat.person_id
                   WHERE seat.booking_id = ? AND seat.given_up_at IS NULL ORDER BY seat.id""",
                (self.booking_id,),
            )
        )

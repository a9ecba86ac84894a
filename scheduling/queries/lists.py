"""Lists for a spreadsheet: a roster, people, money, bookings and stock, as columns and rows.

Health and access needs are marked as such: whoever writes a list leaves them out unless they are asked for by name.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from scheduling.exchange.write import Cell, Column
from scheduling.lengths import Length
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.queries.roster import Roster, RosterRow
from scheduling.store.booking_money import BookingMoney, booking_money, currency_of
from scheduling.store.kit_rows import StockPiece, materials, stock_on_hand, suppliers
from scheduling.store.rows import Reader, from_utc_text

ACCESS_NEEDS, HEALTH_NOTE = Column("Access needs", is_health=True), Column("Health note", is_health=True)


@dataclass(frozen=True, slots=True)
class WrittenList:
    """A list with the name of its sheet; each row has a cell for each column."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


def _columns(titles: str) -> tuple[Column, ...]:
    return tuple(Column(title) for title in titles.split("|"))


_STANDING = {
    "held": "held",
    "deposit": "deposit paid",
    "confirmed": "confirmed",
    "offered": "offered",
    "waitlist": "waitlist",
    "enquiry": "enquiry",
}


@dataclass(frozen=True, slots=True)
class RosterList:
    """One head a row: who has a seat by name, then who waits in order, then who asks; raises NotFoundError."""

    class_date_id: int

    def fetch(self, reader: Reader) -> WrittenList:
        page = Roster(self.class_date_id).fetch(reader)
        health = {
            row["id"]: row["health_note"]
            for row in reader.rows("SELECT id, health_note FROM person WHERE health_note <> ''")
        }
        columns = _columns(
            "Name|Status|Booking|Payer|E-mail|Phone|Guardian|Guardian phone|Year of birth|Photos|Came|Waiting since"
            "|Note|Class|Class date"
        )
        return WrittenList(
            f"Roster {page.class_row.ref}",
            (*columns, ACCESS_NEEDS, HEALTH_NOTE),
            tuple(
                self._row(row, page.class_row, health.get(row.person_id, ""))
                for row in (*page.seated, *page.waiting, *page.asking)
            ),
        )

    @staticmethod
    def _row(row: RosterRow, class_row: ClassRow, health: str) -> tuple[Cell, ...]:
        waiting = None if row.waiting_since is None else from_utc_text(row.waiting_since)
        return (
            row.name,
            _STANDING[row.state],
            row.booking_ref,
            row.payer,
            row.email,
            row.phone,
            row.guardian,
            row.guardian_phone,
            row.birth_year,
            row.photos,
            row.mark,
            waiting and waiting.astimezone(class_row.starts.aware.tzinfo),
            row.note,
            f"{class_row.ref} {class_row.title}",
            class_row.first_day,
            row.needs,
            health,
        )


@dataclass(frozen=True, slots=True)
class PeopleList:
    """Every attendee by name, but for erased ones; retired ones only when wanted."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> WrittenList:
        rows = reader.rows(
            """SELECT person.*, guardian.name AS guardian FROM person
               LEFT JOIN person AS guardian ON guardian.id = person.guardian_id
               WHERE person.erased_at IS NULL AND (? OR person.retired_at IS NULL)
               ORDER BY person.folded, person.id""",
            (self.with_retired,),
        )
        columns = _columns(
            "Attendee number|Name|E-mail|Phone|Address|Abroad|Year of birth|Guardian|Photos|Photos since|News"
            "|News since|Note|Retired"
        )
        return WrittenList(
            "People",
            (*columns, ACCESS_NEEDS, HEALTH_NOTE),
            tuple(
                (
                    ref("person", row["id"]),
                    *(row[name] for name in ("name", "email", "phone", "address")),
                    bool(row["abroad"]),
                    row["birth_year"],
                    row["guardian"] or "",
                    *(row[name] for name in ("photos", "photos_on", "news", "news_on", "note")),
                    row["retired_at"] is not None,
                    row["access_needs"],
                    row["health_note"],
                )
                for row in rows
            ),
        )


@dataclass(frozen=True, slots=True)
class MoneyList:
    """Every movement of money by day and entry: plus came in, minus went out.

    first: the first day wanted; until: the first day after the last; None is open.
    """

    first: dt.date | None = None
    until: dt.date | None = None

    def fetch(self, reader: Reader) -> WrittenList:
        currency = currency_of(reader)
        rows = reader.rows(
            f"""SELECT entry.*, booking.class_date_id, class_date.title, payer.name AS payer
                FROM ({_MOVEMENTS}) AS entry JOIN booking ON booking.id = entry.booking_id
                JOIN class_date ON class_date.id = booking.class_date_id
                JOIN person AS payer ON payer.id = entry.payer_id
                WHERE (?1 IS NULL OR entry.day >= ?1) AND (?2 IS NULL OR entry.day < ?2)
                ORDER BY entry.day, entry.created_at, entry.part, entry.id""",  # noqa: S608  our own words
            (self.first and self.first.isoformat(), self.until and self.until.isoformat()),
        )
        days = {row.id: row.first_day for row in class_rows(reader, {row["class_date_id"] for row in rows})}
        return WrittenList(
            "Money",
            _columns("Day|Entry|Amount|Currency|Method|Reference|Did not come|Booking|Person|Class|Class date"),
            tuple(
                (
                    dt.date.fromisoformat(row["day"]),
                    row["what"],
                    currency.from_minor(row["amount_minor"]),
                    currency.code,
                    row["method"],
                    row["reference"],
                    row["bounced_at"] is not None,
                    ref("booking", row["booking_id"]),
                    row["payer"],
                    f"{ref('class_date', row['class_date_id'])} {row['title']}",
                    days[row["class_date_id"]],
                )
                for row in rows
            ),
        )


_MOVEMENTS = """
SELECT 1 AS part, payment.id, payment.day, payment.created_at, 'paid' AS what, amount_minor, method, reference,
    bounced_at, booking_id, payer_id FROM payment
UNION ALL SELECT 2, refund.id, refund.day, refund.created_at, 'given back', -amount_minor, method, reference, NULL,
    booking_id, booking.payer_id FROM refund JOIN booking ON booking.id = booking_id
UNION ALL SELECT 3, credit.id, credit.day, credit.created_at, 'given as credit', -amount_minor, '',
    printf('K%02d', credit.id), NULL, booking_id, person_id FROM credit
UNION ALL SELECT 4, credit_use.id, credit_use.day, credit_use.created_at, 'paid with credit', amount_minor, '',
    printf('K%02d', credit_id), NULL, booking_id, booking.payer_id FROM credit_use
    JOIN booking ON booking.id = booking_id
UNION ALL SELECT 5, carried.id, carried.day, carried.created_at, 'carried on', -amount_minor, '',
    printf('B%02d', to_booking_id), NULL, from_booking_id, booking.payer_id FROM carried
    JOIN booking ON booking.id = from_booking_id
UNION ALL SELECT 6, carried.id, carried.day, carried.created_at, 'carried here', amount_minor, '',
    printf('B%02d', from_booking_id), NULL, to_booking_id, booking.payer_id FROM carried
    JOIN booking ON booking.id = to_booking_id
"""


@dataclass(frozen=True, slots=True)
class BookingsList:
    """Where every booking stands: its price as booked, what came in and went out, what is still owed either way."""

    def fetch(self, reader: Reader) -> WrittenList:
        money = currency_of(reader).from_minor
        found = booking_money(reader, "1")
        classes = {row.id: row for row in class_rows(reader, {one.class_date_id for one in found})}
        sums: Sequence[Callable[[BookingMoney], int]] = (
            lambda one: one.price,
            lambda one: one.balance.sums.paid,
            lambda one: one.balance.sums.used,
            lambda one: one.balance.sums.refunded,
            lambda one: one.balance.sums.credited,
            lambda one: one.balance.sums.kept,
            lambda one: one.held,
            lambda one: one.balance.to_pay,
            lambda one: one.balance.over,
        )
        return WrittenList(
            "Bookings",
            _columns(
                "Booking|Person|State|Heads|Class|Class date|Price|Paid|Credit used|Given back|Given as credit"
                "|Fees kept|Held|To pay|To give back|Currency"
            ),
            tuple(
                (
                    ref("booking", one.id),
                    one.payer,
                    one.state,
                    one.heads,
                    f"{classes[one.class_date_id].ref} {classes[one.class_date_id].title}",
                    classes[one.class_date_id].first_day,
                    *(money(figure(one)) for figure in sums),
                    currency_of(reader).code,
                )
                for one in found
            ),
        )


@dataclass(frozen=True, slots=True)
class StockList:
    """What is on hand of each material: whole ones first, then begun lengths and off-cuts with their sizes."""

    def fetch(self, reader: Reader) -> WrittenList:
        currency, known = currency_of(reader), materials(reader)
        sellers = {number: supplier.name for number, supplier in suppliers(reader).items()}
        columns = _columns(
            "Material number|Material|Form|What|Long|Wide|Grain|Count|Pack of|Pack price|Currency|Supplier"
        )
        rows: list[tuple[Cell, ...]] = []
        for number, pieces in sorted(stock_on_hand(reader).items(), key=lambda one: (known[one[0]].name, one[0])):
            material = known[number]
            for piece in pieces:
                what, along, across = _size(piece, material.along, material.across)
                rows.append(
                    (
                        ref("material", number),
                        material.name,
                        str(material.form.value),
                        what,
                        along,
                        across,
                        piece.grain or material.grain,
                        piece.count,
                        material.pack,
                        currency.from_minor(material.price),
                        currency.code,
                        sellers.get(material.supplier_id or 0, ""),
                    )
                )
        return WrittenList("Stock", columns, tuple(rows))


def _size(piece: StockPiece, along: Length, across: Length) -> tuple[str, str, str]:
    """What a piece is, with its two sizes as text; a thing that is counted has none."""
    if piece.is_whole:
        return "whole", str(along) if along else "", str(across) if across else ""
    wide = Length.kept(piece.across, across.form) if piece.is_off_cut else across
    what = "off-cut" if piece.is_off_cut else "begun"
    return what, str(Length.kept(piece.along, along.form)), str(wide) if wide else ""

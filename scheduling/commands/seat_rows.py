"""What the commands on seats share: how many are free, who waits, what is refused and what is warned of."""

from __future__ import annotations

import datetime as dt

from scheduling.commands.found import found, in_use, number, text
from scheduling.commands.task_rows import keep_tasks
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.class_dates import with_you
from scheduling.model.offers import hold_lapses_at
from scheduling.model.refs import ref
from scheduling.store.booking_money import first_session
from scheduling.store.database import Row
from scheduling.store.fit_facts import misfits_of, place_of, posting_warnings, staying
from scheduling.store.rows import Reader, Transaction, utc_text


def seats_left(tx: Reader, class_date: Row) -> int:
    """Free seats of the class, in heads."""
    taken = tx.value("SELECT heads FROM seats_taken WHERE class_date_id = ?", (class_date["id"],)) or 0
    return number(class_date, "seats") - int(taken)


def hold_until(tx: Transaction, class_date: Row, state: str) -> str | None:
    """When a booking of that state lapses, as it is kept; None where it does not."""
    if state != "held":
        return None
    lapses = hold_lapses_at(tx.now, first_session(tx, number(class_date, "id")).starts)
    return None if lapses is None else utc_text(lapses)


def shorten_holds(tx: Transaction, class_date: Row) -> None:
    """After a class was moved to sooner: its holds that would lapse after its start lapse by then."""
    latest = utc_text(first_session(tx, number(class_date, "id")).starts.utc)
    for row in tx.rows(
        "SELECT id FROM booking WHERE class_date_id = ? AND state = 'held' AND lapses_at > ?",
        (class_date["id"], latest),
    ):
        tx.update("booking", row["id"], {"lapses_at": hold_until(tx, class_date, "held")})


def seats_of(tx: Transaction, booking_id: int) -> tuple[int | None, ...]:
    """The participants of a booking's kept seats, None for one without a name."""
    found_rows = tx.rows(
        "SELECT person_id FROM seat WHERE booking_id = ? AND given_up_at IS NULL ORDER BY id", (booking_id,)
    )
    return tuple(row["person_id"] for row in found_rows)


def next_waiting(tx: Transaction, class_date_id: int, seats: int) -> Row | None:
    """The first in join order whom `seats` fit whole (decisions 8): its id, name and heads."""
    row = tx.first(
        """SELECT booking.id, person.name, count(seat.id) AS heads
           FROM booking JOIN person ON person.id = booking.payer_id
           JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
           WHERE booking.class_date_id = ? AND booking.state = 'waitlist'
           GROUP BY booking.id HAVING count(seat.id) <= ?
           ORDER BY booking.waiting_since, booking.id LIMIT 1""",
        (class_date_id, seats),
    )
    return None if row is None else dict(row)


def waitlist_place(tx: Transaction, booking_id: int, class_date_id: int) -> int:
    """The booking's place in join order, from 1."""
    return int(
        tx.value(
            """SELECT count(*) FROM booking AS other, booking AS mine
               WHERE mine.id = ? AND other.class_date_id = ? AND other.state = 'waitlist'
                 AND (other.waiting_since, other.id) <= (mine.waiting_since, mine.id)""",
            (booking_id, class_date_id),
        )
    )


def class_name(tx: Transaction, class_date: Row) -> str:
    """How a sentence names a class: its reference and title."""
    return f"{ref('class_date', number(class_date, 'id'))} {class_date['title']}"


def refuse_doubles(tx: Transaction, class_date_id: int, heads: tuple[int | None, ...]) -> None:
    """Raise when a person would have two seats, or wait twice, on one class date."""
    named = [person_id for person_id in heads if person_id is not None]
    if len(named) != len(set(named)):
        raise InvalidError("One person is named for two seats.", hint="Name each head once.", field="people")
    for person_id in named:
        person = in_use(tx, "person", person_id, field="people")
        other = tx.first(
            """SELECT booking.id, booking.state FROM booking JOIN seat ON seat.booking_id = booking.id
               WHERE booking.class_date_id = ? AND seat.person_id = ? AND seat.given_up_at IS NULL
                 AND booking.state NOT IN ('cancelled', 'transferred')""",
            (class_date_id, person_id),
        )
        if other is not None:
            raise ConflictError(
                f"{person['name']} is on this class already ({ref('booking', other['id'])}, {other['state']}).",
                hint="Book the other head without a name, or change that booking.",
                field="people",
            )


def refuse_over_occupancy(tx: Transaction, class_date: Row, more: int = 0) -> None:
    """Raise when those in the room would pass the venue's posted number (decisions 7).

    Heads, with so many `more`, she herself, helpers, and adults who stay without a seat; nobody online.
    """
    venue = found(tx, "venue", number(class_date, "venue_id"))
    posted = venue["posted_occupancy"]
    if venue["online"] or not isinstance(posted, int):
        return
    heads = number(class_date, "seats") - seats_left(tx, class_date) + more
    adults = staying(tx, number(class_date, "id"))
    people = heads + 1 + number(class_date, "helpers") + adults
    if people > posted:
        raise ConflictError(
            f"{venue['name']} is posted for {posted} people; {with_you(number(class_date, 'helpers'), adults)}"
            f" that would be {people}.",
            hint="Keep to the posted number; the venue and the fire authority decide on it.",
            field="people",
        )


def mail_abroad(tx: Transaction, class_date: Row, payer_id: int) -> None:
    """Bring the posting abroad into the prep of a class whose kits are mailed, once a payer lives there."""
    if class_date["mailed_kit"] and found(tx, "person", payer_id)["abroad"]:
        keep_tasks(tx, number(class_date, "id"))


def keep_health_until(tx: Transaction, person_id: int | None, class_date_id: int) -> None:
    """A health note is needed until the class is over: its erase-after day moves behind it, never forward."""
    person = None if person_id is None else tx.row("person", person_id)
    if person is None or not person["health_erase_on"]:
        return
    last = tx.value("SELECT max(ends) FROM session WHERE class_date_id = ? AND dropped = 0", (class_date_id,))
    kept = dt.timedelta(days=int(tx.value("SELECT health_days_kept FROM studio")))
    day = (dt.date.fromisoformat(str(last)[:10]) + kept).isoformat()
    if day > text(person, "health_erase_on"):
        tx.update("person", number(person, "id"), {"health_erase_on": day})


def keep_health_of_all(tx: Transaction, class_date_id: int) -> None:
    """The same for everyone who sits in or waits for a class that has been moved."""
    for row in tx.rows(
        """SELECT DISTINCT seat.person_id FROM seat JOIN booking ON booking.id = seat.booking_id
           WHERE booking.class_date_id = ? AND booking.state NOT IN ('cancelled', 'transferred')
             AND seat.given_up_at IS NULL AND seat.person_id IS NOT NULL ORDER BY seat.person_id""",
        (class_date_id,),
    ):
        keep_health_until(tx, row["person_id"], class_date_id)


def seat_warnings(
    tx: Transaction, class_date: Row, heads: tuple[int | None, ...], *, payer_id: int | None = None
) -> list[str]:
    """What about these heads does not fit the class, a class that is over, and with the payer where a kit is mailed."""
    class_date_id = number(class_date, "id")
    last = tx.value("SELECT max(ends) FROM session WHERE class_date_id = ? AND dropped = 0", (class_date_id,))
    said: list[str] = []
    if last and str(last)[:10] < tx.today().isoformat():
        said.append("That class is over.")
    place = place_of(tx, class_date_id)
    for person_id in heads:
        if person_id is not None:
            said.extend(misfits_of(tx, place, person_id))
    if class_date["mailed_kit"] and payer_id is not None:
        said.extend(posting_warnings(tx, class_date_id, [payer_id]))
    return said

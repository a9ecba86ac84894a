"""The demo's sign-ups as a row of events, in the order in which they would have come in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from scheduling.clock import WallTime
from scheduling.commands.bookings import Book, CancelBooking, MarkSeat
from scheduling.commands.classes import MarkTaught
from scheduling.commands.payments import GiveCredit, TakePayment
from scheduling.queries.roster import Roster
from scheduling.studio import Studio

Event = tuple[dt.datetime, Callable[[], object]]
"""A moment (UTC) and what is done then."""


class SignUpEvents:
    """Bookings, parties, cancellings, attendance and taught classes of the data.

    classes, people: row numbers by the names that the data uses; filled before the events are run.
    """

    def __init__(self, studio: Studio, data: dict[str, Any], classes: dict[str, int], people: dict[str, int]) -> None:
        self._studio = studio
        self._data = data
        self._classes = classes
        self._people = people
        self._bookings: dict[tuple[str, str], int] = {}
        self._zone: str = data["studio"]["time_zone"]
        self._now = dt.datetime.fromisoformat(data["now"])
        self._sessions = {
            entry["id"]: [
                (dt.datetime.fromisoformat(start), dt.datetime.fromisoformat(end)) for start, end in entry["sessions"]
            ]
            for entry in data["classes"]
        }

    def all(self) -> Iterator[Event]:
        """Every event, in no order."""
        for n, person in enumerate(self._data["people"]):
            for wanted in person["bookings"]:
                yield from self._of_booking(n, person, wanted)
        for party in self._data["parties"]:
            start = self._sessions[party["class"]][0][0]
            yield self._joined(start, 40), partial(self._book_party, party)
        for name, sessions in self._sessions.items():
            over = sessions[-1][1] + dt.timedelta(minutes=30)
            if over < self._now:
                yield self._at(over), partial(self._taught, name)

    def _of_booking(self, n: int, person: dict[str, Any], wanted: dict[str, Any]) -> Iterator[Event]:
        start = self._sessions[wanted["class"]][0][0]
        days = 12 if wanted.get("waits") else 20 + n % 9
        yield self._joined(start, days, minutes=n), partial(self._book, person, wanted)
        if "mark" in wanted:
            yield self._at(start + dt.timedelta(hours=1)), partial(self._mark, person, wanted)
        if "cancelled_on" in wanted:
            day = dt.datetime.fromisoformat(wanted["cancelled_on"]) + dt.timedelta(hours=18)
            yield self._at(day), partial(self._cancel, person, wanted)

    def _at(self, local: dt.datetime) -> dt.datetime:
        return WallTime(local, self._zone).utc

    def _joined(self, start: dt.datetime, days: int, *, minutes: int = 0) -> dt.datetime:
        """So many days before the class, and two days before the demo's now at the latest."""
        latest = self._now - dt.timedelta(days=2)
        return self._at(min(start - dt.timedelta(days=days), latest) + dt.timedelta(minutes=minutes))

    def _book(self, person: dict[str, Any], wanted: dict[str, Any]) -> None:
        payer = self._people[person.get("guardian", person["id"])]
        people = (self._people[person["id"]],)
        made = self._studio.do(Book(class_date_id=self._classes[wanted["class"]], payer_id=payer, people=people))
        self._bookings[person["id"], wanted["class"]] = made.booking_id
        if made.state == "confirmed":
            self._studio.do(TakePayment(booking_id=made.booking_id, method="card"))

    def _book_party(self, party: dict[str, Any]) -> None:
        host, heads = self._people[party["host"]], (None,) * party["heads"]
        class_date_id = self._classes[party["class"]]
        made = self._studio.do(Book(class_date_id=class_date_id, payer_id=host, people=heads, state="held"))
        self._studio.do(TakePayment(booking_id=made.booking_id, only_deposit=True))

    def _cancel(self, person: dict[str, Any], wanted: dict[str, Any]) -> None:
        booking_id = self._bookings[person["id"], wanted["class"]]
        if self._studio.do(CancelBooking(booking_id=booking_id)).credit_minor:
            self._studio.do(GiveCredit(booking_id=booking_id))

    def _mark(self, person: dict[str, Any], wanted: dict[str, Any]) -> None:
        for row in self._studio.ask(Roster(self._classes[wanted["class"]])).seated:
            if row.person_id == self._people[person["id"]]:
                self._studio.do(MarkSeat(seat_id=row.seat_id, mark=wanted["mark"]))

    def _taught(self, name: str) -> None:
        self._studio.do(MarkTaught(class_date_id=self._classes[name]))

"""A small studio in memory for tests of bookings and money: one hall, one project, people and classes as asked."""

from __future__ import annotations

import datetime as dt
from typing import Any

from scheduling.clock import FixedClock, WallTime
from scheduling.commands.bookings import Book
from scheduling.commands.classes import MakeClassDate
from scheduling.commands.people import AddPerson
from scheduling.commands.projects import AddProject
from scheduling.commands.settings import SetUpStudio
from scheduling.commands.venues import AddVenue
from scheduling.queries.class_money import ClassMoney
from scheduling.store.booking_money import BookingMoney
from scheduling.studio import Studio

ZONE = "America/New_York"
START = dt.datetime(2027, 1, 4, 14, tzinfo=dt.UTC)


class BookStudio:
    """A studio with its clock; `class_date` makes classes, `person` people, `book` bookings; ids are row numbers."""

    def __init__(self, path: str = ":memory:", *, moment: dt.datetime = START) -> None:
        self.clock = FixedClock(moment)
        first = SetUpStudio(name="Test room", time_zone=ZONE, currency="EUR")
        self.studio = Studio.made(path, first, clock=self.clock)
        self.venue = self.do(AddVenue(name="Hall", seats=20)).venue_id
        self.project = self.do(AddProject(title="Album", teaching_minutes=120)).project_id

    def do(self, command: Any) -> Any:
        return self.studio.do(command)

    def class_date(self, day: str, *, seats: int = 8, fee: int = 7200, **also: Any) -> int:
        """A class of two hours from 10:00 on an ISO day."""
        starts = dt.datetime.fromisoformat(f"{day}T10:00")
        made = self.do(
            MakeClassDate(
                project_id=self.project,
                venue_id=self.venue,
                sessions=((starts, starts + dt.timedelta(hours=2)),),
                seats=seats,
                minimum=0,
                fee_minor=fee,
                **also,
            )
        )
        return int(made.class_date_id)

    def person(self, name: str, **also: Any) -> int:
        return int(self.do(AddPerson(name=name, **also)).person_id)

    def book(self, class_date: int, person: int, *, heads: int = 1, state: str = "confirmed", **also: Any) -> int:
        people = (person, *(None,) * (heads - 1))
        made = self.do(Book(class_date_id=class_date, payer_id=person, people=people, state=state, **also))
        return int(made.booking_id)

    def money(self, class_date: int, booking: int) -> BookingMoney:
        return next(one for one in self.studio.ask(ClassMoney(class_date)).bookings if one.id == booking)

    def on(self, text: str) -> None:
        """Set the clock to a local time in the studio's zone."""
        self.clock.set_forward(WallTime(dt.datetime.fromisoformat(text), ZONE).utc)

"""What lapses or lapsed with offers, holds and credits: the money side of the coming days."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from scheduling.model.bookings import heads_text
from scheduling.model.refs import ref
from scheduling.queries.owed import credit_rows
from scheduling.queries.waitlist import Waitlist
from scheduling.store.booking_money import currency_of
from scheduling.store.rows import Reader
from scheduling.words import show_time


@dataclass(frozen=True, slots=True)
class MoneyDeadline:
    """about: at which hour, or what is left. class_date_id, person_id: what it opens; is_past: it waits for her key."""

    day: dt.date
    kind: Literal["offer", "hold", "credit ends"]
    name: str
    about: str
    is_past: bool
    person_id: int
    class_date_id: int | None = None


@dataclass(frozen=True, slots=True)
class MoneyWeek:
    """Every offer and hold that lapsed, and what lapses or ends from today on in so many days, by day."""

    days: int = 7

    def fetch(self, reader: Reader) -> tuple[MoneyDeadline, ...]:
        today = reader.today()
        last = today + dt.timedelta(days=self.days - 1)
        page = Waitlist().fetch(reader)
        found: list[MoneyDeadline] = []
        for one in (*page.lapsed, *page.open):
            if one.lapses is None or (not one.lapsed and one.lapses.local.date() > last):
                continue
            row, word = page.classes[one.class_date_id], "lapsed" if one.lapsed else "lapses"
            found.append(
                MoneyDeadline(
                    day=one.lapses.local.date(),
                    kind="offer" if one.state == "offered" else "hold",
                    name=f"{one.payer}, {heads_text(one.heads)}: {row.ref} {row.title}",
                    about=f"{word} at {show_time(one.lapses.local.time())}",
                    is_past=one.lapsed,
                    person_id=one.payer_id,
                    class_date_id=one.class_date_id,
                )
            )
        show = currency_of(reader).show
        for credit in credit_rows(reader, "credit.ends_on BETWEEN ? AND ?", (today.isoformat(), last.isoformat())):
            name = f"{credit.person}: {credit.ref} for {ref('booking', credit.booking_id)}"
            about = f"{show(credit.left)} left"
            found.append(MoneyDeadline(credit.ends_on, "credit ends", name, about, False, credit.person_id))
        return tuple(sorted(found, key=lambda one: (not one.is_past, one.day, one.kind, one.name)))

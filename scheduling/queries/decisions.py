"""Classes on which to decide, soonest first: heads, pace, and the money at stake each way."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.model.bookings import heads_text
from scheduling.model.day_calendar import days_after
from scheduling.model.decisions import (
    Pace,
    Penalty,
    if_called_off,
    if_reduced,
    if_run,
    likely_heads,
    owed_to_venue,
    penalties,
)
from scheduling.model.prices import Figure
from scheduling.money import Currency
from scheduling.queries.class_money import card_of, income_of, prep_minutes
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.queries.kit_costs import kit_by_bill
from scheduling.store.booking_money import booking_money, class_costs
from scheduling.store.class_facts import cancel_terms, class_facts
from scheduling.store.rows import Reader
from scheduling.words import show_day

_LONGEST_BEFORE_DAYS = 120
"""No decision is due earlier before its class than this; it keeps a long calendar from being worked out whole."""

_LATEST_CLASSES = 12
"""So many earlier classes show the pace: older ones say little of how people book now."""


@dataclass(frozen=True, slots=True)
class DecisionRow:
    """One class to decide on.

    day: decide by its end; days_left: below 0 when it is past. waits_until: she chose to wait to that day.
    run, reduced, called_off: what is left, or lost, each way today; to_give_back: to those who paid, if called off.
    penalties: what the venue is owed from which day on. likely: heads to expect by earlier classes, None unknown.
    """

    class_row: ClassRow
    currency: Currency
    day: dt.date
    days_left: int
    waits_until: dt.date | None
    break_even: int | None
    likely: int | None
    pace: tuple[Pace, ...]
    run: Figure
    reduced: Figure
    called_off: Figure
    per_hour: int | None
    to_give_back: int
    penalties: tuple[Penalty, ...]

    @property
    def short_of(self) -> int:
        """Heads below the minimum."""
        return max(0, self.class_row.minimum - self.class_row.heads)

    def next_penalty(self, today: dt.date) -> Penalty | None:
        """What giving the venue back will cost from the next day on which it costs more."""
        return next((one for one in self.penalties if one.day > today), None)

    def rests_on(self, today: dt.date) -> str:
        """Heads, minimum and break-even, what running leaves, what calling off costs now and later: one line."""
        show = self.currency.show
        short = f"{self.short_of} short of {self.class_row.minimum}" if self.short_of else ""
        parts = [f"{heads_text(self.class_row.heads)}, {short or f'minimum {self.class_row.minimum}'}"]
        if self.break_even is not None:
            parts.append(f"costs covered from {self.break_even}")
        if self.likely is not None and self.likely != self.class_row.heads:
            parts.append(f"{self.likely} likely")
        parts.append(f"leaves {show(self.run.amount)}" if self.run.amount >= 0 else f"loses {show(-self.run.amount)}")
        if self.called_off.amount:
            parts.append(f"called off {show(self.called_off.amount)}")
        if self.to_give_back:
            parts.append(f"{show(self.to_give_back)} to give back")
        penalty = self.next_penalty(today)
        if penalty is not None:
            parts.append(f"venue {show(penalty.owed)} from {show_day(penalty.day)}")
        return "; ".join(parts)


@dataclass(frozen=True, slots=True)
class DecisionsDue:
    """Classes not decided on whose day comes within so many days, or is past; or one class whatever its day."""

    within_days: int = 14
    class_date_id: int | None = None

    def fetch(self, reader: Reader) -> tuple[DecisionRow, ...]:
        today = reader.today()
        latest = today + dt.timedelta(days=self.within_days + _LONGEST_BEFORE_DAYS)
        ids = [
            int(row["id"])
            for row in reader.rows(
                """SELECT id FROM class_date
                   WHERE state <> 'cancelled' AND taught_at IS NULL AND (?1 IS NULL OR id = ?1)
                     AND EXISTS (SELECT 1 FROM session
                                 WHERE class_date_id = class_date.id AND dropped = 0 AND ends >= ?2 AND starts < ?3)
                     AND (?1 IS NOT NULL OR NOT EXISTS (SELECT 1 FROM decision WHERE class_date_id = class_date.id
                            AND choice IN ('run', 'run reduced')))""",
                (self.class_date_id, today.isoformat(), "9999" if self.class_date_id else latest.isoformat()),
            )
        ]
        facts = class_facts(reader, ids) if ids else {}
        rows = {row.id: row for row in class_rows(reader, ids)}
        found: list[DecisionRow] = []
        for class_date_id, fact in facts.items():
            day = fact.dates.go_no_go
            if day is None:
                continue
            waits = reader.value(
                "SELECT until_day FROM decision WHERE class_date_id = ? ORDER BY id DESC LIMIT 1", (class_date_id,)
            )
            waits_until = None if waits is None else dt.date.fromisoformat(waits)
            due = max(day, waits_until or day)
            if self.class_date_id is None and (due - today).days > self.within_days:
                continue
            found.append(self._row(reader, rows[class_date_id], day, waits_until, today))
        return tuple(sorted(found, key=lambda row: (row.waits_until or row.day, row.class_row.id)))

    def _row(
        self, reader: Reader, row: ClassRow, day: dt.date, waits_until: dt.date | None, today: dt.date
    ) -> DecisionRow:
        costs = class_costs(
            reader, row.id, prep_minutes=sum(prep_minutes(reader, row.id)), kit_by_bill=kit_by_bill(reader, row.id)
        )
        bookings = booking_money(reader, "booking.class_date_id = ?", (row.id,))
        income = income_of(bookings).amount
        card = card_of(costs, bookings)
        venue = reader.first("SELECT * FROM venue WHERE id = ?", (row.venue_id,))
        hired = venue is not None and not venue["own_room"] and not venue["online"]
        found = penalties(costs, cancel_terms(venue["cancel_steps"]) if venue and hired else None, row.first_day)
        to_give_back = sum(one.held_for_heads for one in bookings if one.takes_seats)
        run = if_run(costs, row.heads, income, card)
        pace = pace_of(reader, row, (row.first_day - today).days)
        return DecisionRow(
            class_row=row,
            currency=costs.currency,
            day=day,
            days_left=((waits_until or day) - today).days,
            waits_until=waits_until,
            break_even=costs.heads_for(),
            likely=likely_heads(row.heads, pace, row.seats),
            pace=pace,
            run=run,
            reduced=if_reduced(costs, row.heads, income, card),
            called_off=if_called_off(owed_to_venue(found, today), to_give_back),
            per_hour=costs.pay_per_hour(run.amount),
            to_give_back=to_give_back,
            penalties=found,
        )


def pace_of(reader: Reader, row: ClassRow, days_before: int) -> tuple[Pace, ...]:
    """The latest taught classes of the same project: heads that had booked by so many days before, and in the end."""
    earlier = reader.rows(
        """SELECT earlier.id FROM class_date AS earlier
           JOIN project_version AS theirs ON theirs.id = earlier.project_version_id
           JOIN class_date AS mine ON mine.id = ?1 JOIN project_version AS ours ON ours.id = mine.project_version_id
           WHERE theirs.project_id = ours.project_id AND earlier.id <> ?1 AND earlier.taught_at IS NOT NULL
             AND earlier.private_party = mine.private_party
           ORDER BY (SELECT max(starts) FROM session WHERE class_date_id = earlier.id AND dropped = 0) DESC, earlier.id
           LIMIT ?2""",
        (row.id, _LATEST_CLASSES),
    )
    found: list[Pace] = []
    for other in class_rows(reader, [one["id"] for one in earlier]):
        day = days_after(other.first_day, -days_before).isoformat()
        then = reader.value(
            """SELECT count(*) FROM booking JOIN seat ON seat.booking_id = booking.id AND given_up_at IS NULL
               WHERE class_date_id = ? AND state IN ('held', 'deposit', 'confirmed')
                 AND substr(booking.created_at, 1, 10) <= ?""",
            (other.id, day),
        )
        found.append(Pace(other.id, int(then), other.heads))
    return tuple(found)

"""The day of a class: who came, who was collected by whom, kits of those who did not, tools out and in, run sheet."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, number, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.bookings import TAKES_SEATS
from scheduling.model.class_dates import SessionTimes
from scheduling.model.day import COLLECT_KIT_DAYS, Step, check_steps, late_minutes
from scheduling.model.refs import ref
from scheduling.store.booking_money import meetings
from scheduling.store.database import Row
from scheduling.store.rows import Transaction
from scheduling.words import show_day

Kit = Literal["", "posted", "handed over", "to collect", "back in stock"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayKept(Outcome):
    """late: minutes past the end at which a child was collected."""

    class_date_id: int
    booking_id: int = 0
    late: int = 0


class SignIn(Request[DayKept]):
    """Sign a head in: it attended. back: take that away."""

    seat_id: int
    back: bool = False

    def run(self, tx: Transaction) -> DayKept:
        seat, booking = _seat(tx, self.seat_id)
        if not self.back:
            _refuse_before(tx, booking)
        columns: dict[str, str | int | None] = {
            "signed_in_at": None if self.back else seat["signed_in_at"] or tx.now_text,
            "mark": "" if self.back else "attended",
        }
        if self.back:
            columns |= {"signed_out_at": None, "signed_out_to": ""}
        tx.update("seat", self.seat_id, columns)
        return _kept(tx, booking, seat, "is not signed in" if self.back else "is here")


class SignOut(Request[DayKept]):
    """Sign a head out; a child to someone its guardian has named, or with `though_unlisted` to another, by name.

    Raises ConflictError for a collector who is not listed: she checks, and decides.
    """

    seat_id: int
    to: Annotated[str, Field(max_length=120)] = ""
    though_unlisted: bool = False

    def run(self, tx: Transaction) -> DayKept:
        seat, booking = _seat(tx, self.seat_id)
        if seat["signed_in_at"] is None:
            raise ConflictError("Only who is signed in is signed out.", hint="Sign them in first.")
        child = self._listed(tx, seat)
        tx.update("seat", self.seat_id, {"signed_out_at": tx.now_text, "signed_out_to": self.to})
        class_date_id = number(booking, "class_date_id")
        late = late_minutes(tx.now, _today_or_last(tx, class_date_id).ends.utc) if child else 0
        said = f"has gone{f' with {self.to}' if self.to else ''}"
        return _kept(tx, booking, seat, said + (f", {late} minutes late" if late else ""), late=late)

    def _listed(self, tx: Transaction, seat: Row) -> bool:
        """Whether it is a child's seat; raises unless who collects it is listed."""
        person = None if seat["person_id"] is None else found(tx, "person", number(seat, "person_id"))
        if person is None or person["guardian_id"] is None:
            return False
        guardian = str(tx.value("SELECT name FROM person WHERE id = ?", (person["guardian_id"],)))
        listed = [guardian, *(name.strip() for name in text(person, "collectors").split(",") if name.strip())]
        if not self.to:
            raise InvalidError(f"Who collects {person['name']}?", hint=f"Listed: {', '.join(listed)}.", field="to")
        if self.to.casefold() not in [name.casefold() for name in listed] and not self.though_unlisted:
            raise ConflictError(
                f"{self.to} is not listed for {person['name']}. Listed: {', '.join(listed)}.",
                hint="Telephone the guardian and look at a document before you let them go.",
                field="though_unlisted",
            )
        return True


class SetCollectors(Request[DayKept]):
    """List who may collect a child besides its guardian: names parted by commas."""

    person_id: int
    collectors: Annotated[str, Field(max_length=500)]

    def run(self, tx: Transaction) -> DayKept:
        found(tx, "person", self.person_id)
        tx.update("person", self.person_id, {"collectors": self.collectors})
        return DayKept(
            summary=f"Listed who collects {ref('person', self.person_id)}",
            said="Who may collect is kept.",
            class_date_id=0,
        )


class MarkNoShow(Request[DayKept]):
    """Keep that a head did not come; its kit goes back in stock, or waits 14 days to be collected."""

    seat_id: int
    kit: Literal["back in stock", "to collect"] = "back in stock"

    def run(self, tx: Transaction) -> DayKept:
        seat, booking = _seat(tx, self.seat_id)
        _refuse_before(tx, booking)
        class_date_id = number(booking, "class_date_id")
        collect_by = meetings(tx, class_date_id)[-1].ends.local.date() + dt.timedelta(days=COLLECT_KIT_DAYS)
        collects = self.kit == "to collect"
        tx.update(
            "seat",
            self.seat_id,
            {
                "mark": "no-show",
                "signed_in_at": None,
                "kit": seat["kit"] if seat["kit"] == "posted" else self.kit,
                "kit_collect_by": collect_by.isoformat() if collects else None,
            },
        )
        word = f"their kit waits to the end of {show_day(collect_by)}" if collects else "their kit goes back in stock"
        return _kept(tx, booking, seat, f"did not come; {word}")


class GiveKit(Request[DayKept]):
    """Keep where the kit of a head is."""

    seat_id: int
    kit: Kit

    def run(self, tx: Transaction) -> DayKept:
        seat, booking = _seat(tx, self.seat_id)
        tx.update("seat", self.seat_id, {"kit": self.kit, "kit_collect_by": None})
        return _kept(tx, booking, seat, f": kit {self.kit or 'not given'}")


class CountTools(Request[DayKept]):
    """Count a tool out before a class, or in after it; both, where both are known.

    A count in below the count out is said, so that nothing sharp is left behind.
    """

    class_date_id: int
    tool: Annotated[str, Field(min_length=1, max_length=60)]
    counted_out: Annotated[int, Field(ge=0, le=100000)] | None = None
    counted_in: Annotated[int, Field(ge=0, le=100000)] | None = None

    def run(self, tx: Transaction) -> DayKept:
        found(tx, "class_date", self.class_date_id)
        row = tx.first(
            "SELECT * FROM tool_count WHERE class_date_id = ? AND lower(tool) = lower(?)",
            (self.class_date_id, self.tool),
        )
        if row is None and self.counted_out is None:
            raise InvalidError(f"{self.tool} was not counted out.", hint="Count it out first.", field="counted_out")
        out = row["counted_out"] if self.counted_out is None and row is not None else self.counted_out
        back = row["counted_in"] if self.counted_in is None and row is not None else self.counted_in
        columns = {"counted_out": out, "counted_in": back}
        if row is None:
            tx.insert("tool_count", {"class_date_id": self.class_date_id, "tool": self.tool, **columns})
        else:
            tx.update("tool_count", row["id"], columns)
        name = self.tool if row is None else row["tool"]
        missing = 0 if back is None or out is None else out - back
        said = f"{name}: {out} out" + ("" if back is None else f", {back} in")
        return DayKept(
            summary=f"Counted {name} at {ref('class_date', self.class_date_id)}",
            said=said + ".",
            warnings=(f"{name}: {missing} missing; look before anyone leaves.",) if missing > 0 else (),
            class_date_id=self.class_date_id,
        )


class SetRunSheet(Request[DayKept]):
    """Keep the run sheet of a class as (what, minutes, minutes that it leaves drying); none takes the usual one."""

    class_date_id: int
    steps: Annotated[tuple[tuple[str, int, int], ...], Field(max_length=60)]

    def run(self, tx: Transaction) -> DayKept:
        found(tx, "class_date", self.class_date_id)
        check_steps([Step(what, minutes, drying) for what, minutes, drying in self.steps])
        for row in tx.rows("SELECT id FROM run_step WHERE class_date_id = ?", (self.class_date_id,)):
            tx.delete("run_step", row["id"])
        for position, (what, minutes, drying) in enumerate(self.steps):
            tx.insert(
                "run_step",
                {
                    "class_date_id": self.class_date_id,
                    "position": position,
                    "what": what,
                    "minutes": minutes,
                    "drying_minutes": drying,
                },
            )
        return DayKept(
            summary=f"Changed the run sheet of {ref('class_date', self.class_date_id)}",
            said=f"The run sheet has {len(self.steps)} {'step' if len(self.steps) == 1 else 'steps'}."
            if self.steps
            else "The usual run sheet is used.",
            class_date_id=self.class_date_id,
        )


def _seat(tx: Transaction, seat_id: int) -> tuple[Row, Row]:
    seat = found(tx, "seat", seat_id)
    booking = found(tx, "booking", number(seat, "booking_id"))
    if booking["state"] not in TAKES_SEATS or seat["given_up_at"] is not None:
        raise ConflictError("Only a head with a seat is on the list of the day.", hint="Give them a seat first.")
    return seat, booking


def _refuse_before(tx: Transaction, booking: Row) -> None:
    first = meetings(tx, number(booking, "class_date_id"))[0].starts
    if tx.now < first.utc - dt.timedelta(hours=12):
        raise ConflictError("The class is not held yet.", hint="Sign in on the day.")


def _today_or_last(tx: Transaction, class_date_id: int) -> SessionTimes:
    """The meeting that is on, or was last: collecting is late by its end."""
    sessions = meetings(tx, class_date_id)
    begun = [session for session in sessions if session.starts.utc <= tx.now]
    return begun[-1] if begun else sessions[0]


def _kept(tx: Transaction, booking: Row, seat: Row, did: str, *, late: int = 0) -> DayKept:
    name = tx.value("SELECT name FROM person WHERE id = ?", (seat["person_id"] or booking["payer_id"],))
    who = name if seat["person_id"] is not None else f"A guest of {name}"
    return DayKept(
        summary=f"A head of {ref('booking', number(booking, 'id'))}: signed",
        said=f"{who}{'' if did.startswith(':') else ' '}{did}.",
        class_date_id=number(booking, "class_date_id"),
        booking_id=number(booking, "id"),
        late=late,
    )

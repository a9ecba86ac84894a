"""The heads of a class as rows: with a seat, waiting in join order, asking."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from scheduling.queries.people import PersonRow
from scheduling.queries.roster import RosterPage, RosterRow
from scheduling.queries.waitlist import PendingRow
from scheduling.words import show_day, show_moment
from tui.cells import Column
from tui.widgets.rows import Cell, Row, Section, Tone

PEOPLE_COLUMNS: Final = (
    Column("", share=5, least=22),
    Column("", 10),
    Column("", 11, align="right"),
    Column("", share=4, least=8),
    Column("", 14, drop=1),
)
NAME_COLUMNS: Final = (
    Column("Name", share=2, least=20),
    Column("E-mail", share=2, drop=2),
    Column("Phone", 13, drop=1),
)
NO_BALANCES: Final[Mapping[int, Cell | str]] = MappingProxyType({})
NOBODY_PENDING: Final[Mapping[int, PendingRow]] = MappingProxyType({})
_MARKS: Final[dict[str, tuple[str, Tone]]] = {"attended": ("+", "good"), "no-show": ("x", "bad"), "": ("", "")}


def head_name(head: RosterRow) -> str:
    """The participant, or whose guest it is."""
    return head.name or f"no name yet, with {head.payer}"


def name_row(person: PersonRow) -> Row:
    """An attendee under NAME_COLUMNS."""
    return Row(person.id, (f"{person.name}  {person.ref}", person.email, person.phone))


def needs_words(head: RosterRow) -> str:
    """Marks on what to look out for; a health note is only a mark, its words stay on the person's page."""
    words = [head.needs] if head.needs else []
    words += ["health note"] if head.has_health_note else []
    words += [f"guardian {head.guardian}"] if head.guardian else []
    words += ["no photos"] if head.photos == "no" else []
    words += ["kit abroad"] if head.abroad else []
    words += [head.note] if head.note else []
    return ", ".join(words)


def _row(head: RosterRow, state: Cell, money: Cell | str = "", place: str = "") -> Row:
    sign, tone = _MARKS[head.mark]
    needs = needs_words(head)
    if needs and not sign:
        sign, tone = "*", "warn"
    name = f"{place}{head_name(head)}"
    return Row(("head", head.seat_id), (name, state, money, Cell(needs, "warn"), head.phone), sign, tone)


def people_rows(
    page: RosterPage,
    *,
    today: dt.date,
    balances: Mapping[int, Cell | str] = NO_BALANCES,
    pending: Mapping[int, PendingRow] = NOBODY_PENDING,
) -> list[Row | Section]:
    """Sections of heads: the roster by name, the waitlist in join order, enquiries.

    balances: what is open on each booking, shown at its first head. pending: offers and holds, by booking.
    """
    shown: set[int] = set()

    def money(head: RosterRow) -> Cell | str:
        if head.booking_id in shown:
            return ""
        shown.add(head.booking_id)
        return balances.get(head.booking_id, "")

    rows: list[Row | Section] = []
    taken, seats = page.class_row.heads, page.class_row.seats
    if page.seated:
        rows.append(Section("Roster", f"{taken} of {seats} seats taken"))
        rows += [_row(head, _state(head, pending.get(head.booking_id)), money(head)) for head in page.seated]
    if page.waiting:
        free = page.class_row.seats_left
        right = "in join order" if free <= 0 else f"in join order; {free} free: g gives the next a seat"
        rows.append(Section("Waitlist", right))
        bookings = list(dict.fromkeys(head.booking_id for head in page.waiting))
        for head in page.waiting:
            since = show_day(dt.date.fromisoformat(head.waiting_since[:10]), today=today) if head.waiting_since else ""
            rows.append(_row(head, Cell(since, "quiet"), money(head), f"{bookings.index(head.booking_id) + 1}. "))
    if page.asking:
        rows.append(Section("Asking", "no seat yet: g gives one"))
        rows += [_row(head, _state(head)) for head in page.asking]
    return rows


def _state(head: RosterRow, pending: PendingRow | None = None) -> Cell:
    if head.mark:
        return Cell(head.mark, _MARKS[head.mark][1])
    if pending is not None and pending.lapsed:
        return Cell("lapsed", "bad")
    return Cell(head.state, "" if head.state == "confirmed" else "warn")


def head_about(head: RosterRow, *, money: str = "", pending: PendingRow | None = None) -> str:
    """One head in a sentence: state, needs, how to reach them; what is open, and until when it stands."""
    paid = "" if head.person_id == head.payer_id else f", booked by {head.payer}"
    reach = ", ".join(part for part in (head.email, head.phone) if part)
    minor = f", guardian {head.guardian} {head.guardian_phone}".rstrip() if head.guardian else ""
    said = [f"{head_name(head)}: {head.mark or head.state} ({head.booking_ref}){paid}{minor}."]
    said += [pending_says(pending)] if pending is not None else []
    said += [f"{money[0].upper()}{money[1:]}."] if money else []
    said += [f"{reach}."] if reach else []
    said += [f"Look out for: {needs_words(head)}."] if needs_words(head) else []
    return " ".join(said)


def pending_says(pending: PendingRow) -> str:
    """Until when an offer or a hold stands, in a sentence."""
    what = "The offer" if pending.state == "offered" else "The hold"
    if pending.lapses is None:
        return f"{what} does not lapse by itself, so near the class."
    until = show_moment(pending.lapses.local)
    return f"{what} lapsed {until}: g settles it." if pending.lapsed else f"{what} stands until {until}."

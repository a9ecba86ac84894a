"""A booking's states and which may follow which (decisions 2, 7; domain.md)."""

from __future__ import annotations

from typing import Final, Literal, get_args

BookingState = Literal["enquiry", "held", "deposit", "confirmed", "waitlist", "offered", "cancelled", "transferred"]
NewState = Literal["enquiry", "held", "deposit", "confirmed", "waitlist"]

STATES: Final[tuple[str, ...]] = get_args(BookingState)
TAKES_SEATS: Final = frozenset({"held", "deposit", "confirmed", "offered"})
LIVE: Final = frozenset(STATES) - {"cancelled", "transferred"}
"""States of bookings that still ask something of her."""

MAY_BECOME: Final[dict[str, frozenset[str]]] = {
    "enquiry": frozenset({"held", "deposit", "confirmed", "waitlist", "cancelled"}),
    "held": frozenset({"deposit", "confirmed", "cancelled"}),
    "deposit": frozenset({"confirmed", "cancelled", "transferred"}),
    "confirmed": frozenset({"cancelled", "transferred"}),
    "waitlist": frozenset({"offered", "held", "deposit", "confirmed", "cancelled"}),
    "offered": frozenset({"held", "deposit", "confirmed", "waitlist", "cancelled"}),
    "cancelled": frozenset(),
    "transferred": frozenset(),
}


def heads_text(heads: int) -> str:
    return "1 head" if heads == 1 else f"{heads} heads"


def seats_text(seats: int) -> str:
    return {0: "no seat left", 1: "1 seat left"}.get(seats, f"{seats} seats left")

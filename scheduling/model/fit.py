"""Whether an attendee's needs, a class and its venue fit; every answer is a warning that names the mend."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Asks:
    """What an attendee brings: needs as typed, birth year or None, a health note or not."""

    name: str
    access_needs: str
    birth_year: int | None
    has_health_note: bool


@dataclass(frozen=True, slots=True)
class Place:
    """What a class offers: the venue's access, the project's least age, the class's first day."""

    venue: str
    online: bool
    step_free: bool
    hearing_loop: bool
    age_from: int
    first_day: dt.date


_STEP_FREE = ("step-free", "step free", "wheelchair", "no stairs")
_LOOP = ("hearing loop", "loop")


def misfits(asks: Asks, place: Place) -> list[str]:
    """One sentence for each need that the class does not meet, as far as is known."""
    needs = asks.access_needs.casefold()
    said: list[str] = []
    if not place.online:
        if any(word in needs for word in _STEP_FREE) and not place.step_free:
            said.append(
                f"{asks.name} needs a step-free way and {place.venue} has none: talk about another date or place."
            )
        if any(word in needs for word in _LOOP) and not place.hearing_loop:
            said.append(f"{asks.name} asks for a hearing loop and {place.venue} has none: agree on a seat in front.")
    if asks.birth_year is not None and place.age_from:
        oldest = place.first_day.year - asks.birth_year
        if oldest < place.age_from:
            said.append(
                f"{asks.name} is {oldest} at most on the day and the project is for {place.age_from} and over:"
                " ask the guardian, or offer another class."
            )
    if asks.has_health_note:
        said.append(f"{asks.name} has a health note: read it before cutting materials.")
    return said

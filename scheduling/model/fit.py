"""Whether an attendee's needs, a class, its venue, its project and its helpers fit.

Every answer is a sentence that names the mend. A sentence tells of a health note only what must be known to act: the
material of the kit that it names; what else it says is read on the attendee's page.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from scheduling.folding import fold_text
from scheduling.words import show_day


@dataclass(frozen=True, slots=True)
class Asks:
    """What an attendee brings: needs and health note as typed, birth year or None, whether a guardian is kept."""

    name: str
    access_needs: str
    birth_year: int | None
    health_note: str = ""
    has_guardian: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """What a class offers.

    venue, step_free, hearing_loop: of the room; online: there is none. age_from: the project's least age, and
    first_day the class's first day. materials: of the kit, as (name, what it holds or warns of); tools: names of the
    project's tools. helpers: with her on the day.
    """

    venue: str
    online: bool
    step_free: bool
    hearing_loop: bool
    age_from: int
    first_day: dt.date
    materials: tuple[tuple[str, str], ...] = ()
    tools: tuple[str, ...] = ()
    helpers: int = 0


@dataclass(frozen=True, slots=True)
class Posting:
    """How the kits of a mailed class travel: the last days to post, and other mailed classes that are still in time.

    by_abroad: None where it is not known. others: (what a class is called, its last day to post abroad), soonest first.
    """

    by: dt.date
    by_abroad: dt.date | None
    today: dt.date
    others: tuple[tuple[str, dt.date], ...] = field(default=())


_CHILD_UNDER: Final = 18
_STEP_FREE: Final = ("step free", "wheelchair", "no stairs", "no steps")
_LOOP: Final = ("hearing loop", "loop")
_LEFT: Final = ("left handed", "lefthanded", "left hand")
_LARGE: Final = ("large print", "large type")
_SEATED: Final = ("seat in front", "chair with", "sits down", "needs to sit", "seat with", "seat near")
_QUIET: Final = ("quiet", "low noise", "breaks")
_HELPED: Final = ("helper", "one to one", "carer", "companion", "support worker")

# Words by which people tell of one thing, and those by which materials are called.
_KIN: Final = (
    frozenset({"glue", "pva", "adhesive", "paste", "gum"}),
    frozenset({"nut", "nuts", "almond", "walnut", "hazelnut", "peanut"}),
    frozenset({"latex", "rubber"}),
    frozenset({"wool", "lanolin", "felt", "fleece"}),
    frozenset({"scent", "scented", "perfume", "fragrance", "lavender"}),
    frozenset({"nickel", "brass", "metal"}),
    frozenset({"solvent", "turpentine", "spirit", "varnish", "thinner"}),
    frozenset({"ink", "dye", "paint", "pigment"}),
    frozenset({"wax", "beeswax"}),
    frozenset({"wheat", "flour", "gluten"}),
)
# What a note or a material says beside the thing itself.
# fmt: off
_PLAIN_WORDS: Final = frozenset({
    "allergic", "allergies", "allergy", "and", "any", "are", "asthma", "avoid", "bad",
    "badly", "can", "cannot", "contact", "cream", "cup", "each", "eczema", "for",
    "from", "has", "have", "irritates", "irritation", "mild", "mixed", "must", "natural",
    "near", "not", "paper", "please", "react", "reaction", "reacts", "reel", "roll",
    "screw", "severe", "sheet", "shut", "skin", "some", "strong", "the", "touch",
    "use", "using", "very", "when", "white", "with",
})
# fmt: on


def misfits(asks: Asks, place: Place) -> list[str]:
    """One sentence for each need that the class does not meet, as far as is known."""
    return [*_about_room(asks, place), *_about_age(asks, place), *_about_work(asks, place), *_about_kit(asks, place)]


def _about_room(asks: Asks, place: Place) -> Iterator[str]:
    if place.online:
        return
    if _says(asks, _STEP_FREE) and not place.step_free:
        yield f"{asks.name} needs a step-free way and {place.venue} has none: talk about another date or place."
    if _says(asks, _LOOP) and not place.hearing_loop:
        yield f"{asks.name} asks for a hearing loop and {place.venue} has none: agree on a seat in front."
    if _says(asks, _SEATED):
        yield f"{asks.name} asks for a seat of a kind: keep one free before the others come."
    if _says(asks, _QUIET):
        yield f"{asks.name} asks for quiet or breaks: agree on a place apart and say when the breaks are."


def _about_age(asks: Asks, place: Place) -> Iterator[str]:
    if asks.birth_year is None:
        return
    oldest = place.first_day.year - asks.birth_year
    if oldest < place.age_from:
        yield (
            f"{asks.name} is {oldest} at most on the day and the project is for {place.age_from} and over:"
            " ask the guardian, or offer another class."
        )
    if oldest < _CHILD_UNDER and not asks.has_guardian:
        yield f"{asks.name} is a child and no guardian is kept: ask for one and a telephone number."


def _about_work(asks: Asks, place: Place) -> Iterator[str]:
    if _says(asks, _LEFT) and place.tools and not any("left" in fold_text(tool) for tool in place.tools):
        yield f"{asks.name} is left-handed and the project's tools list none for the left hand: set some aside."
    if _says(asks, _LARGE):
        yield f"{asks.name} asks for large print: print that handout apart."
    if _says(asks, _HELPED) and not place.helpers:
        yield (
            f"{asks.name} asks for help at hand and no helper is down for the class:"
            " find one, or agree who comes along."
        )


def _about_kit(asks: Asks, place: Place) -> Iterator[str]:
    if not asks.health_note:
        return
    named = [name for name, holds in place.materials if _touches(asks.health_note, f"{name} {holds}")]
    if named:
        yield (
            f"{asks.name} has a health note that names what is in the kit ({', '.join(named)}):"
            " read it, and set a substitute aside."
        )
    else:
        yield f"{asks.name} has a health note: read it before cutting materials."


def _says(asks: Asks, words: tuple[str, ...]) -> bool:
    needs = " " + " ".join(re.findall(r"[^\W_]+", fold_text(asks.access_needs)))
    return any(f" {word}" in needs for word in words)


def _touches(note: str, material: str) -> bool:
    """Whether a health note and a material share a word that means something, or two words for one thing."""
    said, there = _words(note), _words(material)
    return bool(said & there) or any(said & kin and there & kin for kin in _KIN)


def _words(text: str) -> set[str]:
    return {word for word in re.findall(r"[^\W\d_]{3,}", fold_text(text)) if word not in _PLAIN_WORDS}


def abroad_says(name: str, posting: Posting) -> str:
    """What to do about a kit that goes abroad: by when it must be posted, or what to offer once that is past."""
    if posting.by_abroad is None:
        return f"{name} lives abroad: the kit must be posted much earlier."
    if posting.today <= posting.by_abroad:
        return f"{name} lives abroad: post that kit by {show_day(posting.by_abroad)}."
    offer = "offer a credit"
    if posting.others:
        called, by = posting.others[0]
        offer += f", or {called}, whose kits for abroad are posted by {show_day(by)}"
    return f"{name} lives abroad, and that kit was to be posted by {show_day(posting.by_abroad)}: {offer}."


def no_address_says(names: list[str]) -> str:
    """Whose kits have no address to go to."""
    listed = ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
    return f"No address is kept for the kit of {listed}: ask for it before the kits are posted."


def no_photos_says(names: list[str]) -> str:
    return f"No photos of {', '.join(names)}: keep a seat or an area out of the picture."

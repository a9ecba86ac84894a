"""The kinds of a class: how people take part, and who they are."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from scheduling.errors import InvalidError


class Kind(StrEnum):
    """One trait of a class; a class has one or more (a live class with mailed kits has two)."""

    ROOM = "room"
    LIVE = "live online"
    MAILED = "mailed kit"
    RECORDED = "recorded"
    CHILDREN = "children"
    PARTY = "private party"


#: How people take part; children and party only say who they are.
WAYS = frozenset({Kind.ROOM, Kind.LIVE, Kind.MAILED, Kind.RECORDED})


def kinds_of(kinds: Iterable[Kind]) -> frozenset[Kind]:
    """The kinds as a set; raises InvalidError when none of them says how people take part."""
    chosen = frozenset(kinds)
    if not chosen & WAYS:
        raise InvalidError(
            "A class is held in a room, live online, by mailed kit or recorded.",
            hint="Choose at least one of these.",
            field="kinds",
        )
    return chosen


def in_order(kinds: Iterable[Kind]) -> tuple[Kind, ...]:
    """The kinds without repeats in the order of their list, so that they are always written alike."""
    chosen = frozenset(kinds)
    return tuple(kind for kind in Kind if kind in chosen)


def is_release(kinds: frozenset[Kind]) -> bool:
    """True for a recorded class without a meeting: its day is the day it goes on sale."""
    return Kind.RECORDED in kinds and not kinds & {Kind.ROOM, Kind.LIVE}

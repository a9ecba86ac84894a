"""Short typed references: C05 is a class date, A12 an attendee, B231 a booking (decisions 3)."""

from __future__ import annotations

import re
from typing import Final

from scheduling.errors import InvalidError

LETTERS: Final = {
    "class_date": "C",
    "person": "A",
    "booking": "B",
    "venue": "V",
    "project": "P",
    "series": "S",
    "recipe": "E",
    "task": "T",
    "closed_day": "D",
    "outside_source": "F",
    "payment": "Y",
    "credit": "K",
    "promotion": "N",
    "material": "M",
    "supplier": "U",
    "supply_order": "G",
    "tool": "L",
    "reward": "W",
}
_KINDS: Final = {letter: kind for kind, letter in LETTERS.items()}
_WORDS: Final = {
    "class_date": "class date",
    "person": "attendee",
    "booking": "booking",
    "venue": "venue",
    "project": "project",
    "series": "series",
    "recipe": "recipe",
    "task": "task",
    "closed_day": "closed day",
    "outside_source": "outside file",
    "payment": "payment",
    "credit": "credit",
    "promotion": "promotion",
    "material": "material",
    "supplier": "supplier",
    "supply_order": "order",
    "tool": "tool",
    "reward": "reward",
}
PATTERN: Final = re.compile(r"\b([CABVPSETDFYKMUGLW])(\d{2,})\b")


def ref(kind: str, row_id: int) -> str:
    """The reference of a row: the kind's letter and its number, two digits at least."""
    return f"{LETTERS[kind]}{row_id:02d}"


def ref_id(text: str, kind: str, *, field: str = "") -> int:
    """The row number that `text` names ("C05", "c5", "5"); raises InvalidError for another kind or no number."""
    wanted = LETTERS[kind]
    match = re.fullmatch(r"([a-z]?)0*(\d{1,12})", text.strip().casefold())
    if match is None or (match[1] and match[1].upper() != wanted):
        given = _KINDS.get(match[1].upper()) if match else None
        what = f"{text.strip()} is {_one(given)}" if given else f"{text.strip()!r} is no reference"
        raise InvalidError(
            f"{what}; {_one(kind)} is wanted.", hint=f"Write it as {wanted} and a number, {wanted}05.", field=field
        )
    return int(match[2])


def _one(kind: str) -> str:
    word = _WORDS[kind]
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"

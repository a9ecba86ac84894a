"""Classes named in one entry: by reference, or by words that find one or several of those to come."""

from __future__ import annotations

import re
from collections.abc import Sequence

from scheduling.errors import InvalidError
from scheduling.folding import fold_text
from scheduling.model.refs import LETTERS
from scheduling.queries.classes import ClassRow
from scheduling.words import Understood, show_day
from tui.class_lines import findable

_REF = re.compile(rf"{LETTERS['class_date']}(\d+)", re.IGNORECASE)
_PARTS = re.compile(r"[,;]")


def read_classes(typed: str, classes: Sequence[ClassRow], *, field: str) -> Understood[tuple[int, ...]]:
    """The numbers of the classes that are named, parted by commas; words name every class that has them all.

    classes: those that can be named. Raises InvalidError for a part that names none.
    """
    found: dict[int, ClassRow] = {}
    by_number = {row.id: row for row in classes}
    for part in filter(None, (part.strip() for part in _PARTS.split(typed))):
        match = _REF.fullmatch(part)
        if match is not None:
            hits = [by_number[int(match[1])]] if int(match[1]) in by_number else []
        else:
            words = fold_text(part).split()
            hits = [row for row in classes if all(word in fold_text(findable(row)) for word in words)]
        if not hits:
            raise InvalidError(
                f"No class to come is found by {part!r}.",
                hint="Write references such as C09, or words of a title; commas between.",
                field=field,
            )
        found |= {row.id: row for row in hits}
    said = "; ".join(f"{row.ref} {row.title} {show_day(row.first_day)}" for row in found.values())
    return Understood(tuple(found), said)


def classes_typed(numbers: Sequence[int], classes: Sequence[ClassRow]) -> str:
    """The same as it stands in an entry to be changed."""
    return ", ".join(row.ref for row in classes if row.id in numbers)

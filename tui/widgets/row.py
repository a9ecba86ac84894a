"""What one line of a list says: a row of cells, or a section heading."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

Tone = Literal["", "quiet", "good", "warn", "bad", "accent"]


@dataclass(frozen=True, slots=True)
class Cell:
    """One text of a row in the tone of a state; the text itself must say the state too."""

    text: str
    tone: Tone = ""


@dataclass(frozen=True, slots=True)
class Row:
    """What a row shows.

    id: tells the row from all others, also after the list is asked again.
    cells: one a column; a text may be in any script and hold any sign.
    mark, tone: one sign for the margin, such as "!" for late, and its tone.
    """

    id: Hashable
    cells: Sequence[str | Cell]
    mark: str = ""
    tone: Tone = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A ruled heading between rows; the cursor passes over it."""

    title: str
    right: str = ""


def as_it_is(item: Any) -> Row:
    assert isinstance(item, Row)
    return item

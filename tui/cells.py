"""Text measured in terminal cells: cleaning, cutting, padding, columns, and small drawings of how full things are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from rich.cells import cell_len, chop_cells, split_graphemes

Align = Literal["left", "right", "middle"]

#: Control signs, and the marks that turn the writing direction of what follows, must not reach the terminal.
_UNSAFE: Final = {
    **dict.fromkeys((*range(0x20), *range(0x7F, 0xA0)), " "),
    **dict.fromkeys(
        (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x2028, 0x2029, 0xFEFF), None
    ),
}


@dataclass(frozen=True, slots=True)
class Signs:
    """The one-cell signs of the drawings; all from the Basic Multilingual Plane."""

    stroke: str
    over: str
    free: str
    limit: str
    margin: str
    cursor: str
    more: str


PENCIL: Final = Signs(stroke="╱", over="╳", free="·", limit="│", margin="│", cursor="›", more="…")
TYPEWRITER: Final = Signs(stroke="/", over="x", free=".", limit="|", margin="|", cursor=">", more="~")


def width(text: str) -> int:
    """How many cells `text` takes on the terminal."""
    return cell_len(text)


@lru_cache(maxsize=8192)
def clean(text: str) -> str:
    """One safe line: control signs become blanks, marks that turn the writing direction go.

    Lone halves of surrogate pairs, which no terminal can be sent, become a replacement sign.
    """
    if text.isprintable():
        return text
    safe = text.translate(_UNSAFE)
    return safe if safe.isascii() else "".join("\ufffd" if "\ud800" <= sign <= "\udfff" else sign for sign in safe)


def lines(text: str) -> str:
    """The same lines, each of them safe: for a text of our own with typed words in it."""
    return "\n".join(clean(line) for line in text.split("\n"))


def cut(text: str, cells: int, *, more: str = PENCIL.more) -> str:
    """`text` cut to at most `cells`, between whole signs; ends in `more` where something was cut off."""
    if cells <= 0:
        return ""
    if cell_len(text) <= cells:
        return text
    room = cells - cell_len(more)
    if room < 0:
        return ""
    if text.isascii():
        return text[:room] + more
    kept, taken = 0, 0
    for _start, end, size in split_graphemes(text)[0]:
        if taken + size > room:
            break
        kept, taken = end, taken + size
    return text[:kept] + more


def pad(text: str, cells: int, align: Align = "left", *, more: str = PENCIL.more) -> str:
    """`text` in exactly `cells`: cut when too long, else filled with blanks."""
    shown = cut(text, cells, more=more)
    spare = max(cells - cell_len(shown), 0)
    if align == "right":
        return " " * spare + shown
    if align == "middle":
        return " " * (spare // 2) + shown + " " * (spare - spare // 2)
    return shown + " " * spare


def quoted(text: str) -> str:
    """What someone typed, safe and in quotation marks."""
    return f"\N{LEFT DOUBLE QUOTATION MARK}{clean(text)}\N{RIGHT DOUBLE QUOTATION MARK}"


def wrap(text: str, cells: int) -> list[str]:
    """`text` in lines of at most `cells`, broken between words; a word that is too long is broken within."""
    lines: list[str] = []
    line = ""
    for word in clean(text).split():
        if line and cell_len(line) + 1 + cell_len(word) <= cells:
            line += " " + word
            continue
        if line:
            lines.append(line)
        if cell_len(word) <= max(cells, 2):
            line = word  # also a word without any width, which would be chopped to nothing
            continue
        *whole, line = chop_cells(word, max(cells, 2))
        lines += whole
    return [*lines, line] if line else lines


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a list.

    width: cells it always takes; 0 for a column that takes a share of what is left.
    share: weight among the columns without a width.
    least: a column without a width is never made narrower, unless the whole list is.
    drop: columns are left out, highest number first, while the list is too narrow; 0 stays.
    """

    title: str
    width: int = 0
    share: int = 1
    align: Align = "left"
    least: int = 6
    drop: int = 0


def layout(columns: Sequence[Column], cells: int, *, gap: int = 2) -> list[int]:
    """How many cells each column gets so that all of them with their gaps fill `cells`; 0 for one left out.

    What does not divide evenly goes to the first columns. When even the columns that stay do not fit, those
    without a width shrink first and then the last columns are cut.
    """
    shown = list(range(len(columns)))

    def needed() -> int:
        return sum(columns[n].width or columns[n].least for n in shown) + gap * (len(shown) - 1)

    while len(shown) > 1 and needed() > cells:
        loosest = max(shown, key=lambda n: (columns[n].drop, n))
        if columns[loosest].drop == 0:
            break
        shown.remove(loosest)
    widths = [0] * len(columns)
    room = cells - gap * (len(shown) - 1)
    for n in shown:
        if columns[n].width:
            widths[n] = max(min(columns[n].width, room), 0)
            room -= widths[n]
    sharing = [n for n in shown if not columns[n].width]
    weight = sum(columns[n].share for n in sharing)
    for n in sharing:
        widths[n] = max(room * columns[n].share // weight, 0) if weight else 0
    left = room - sum(widths[n] for n in sharing)
    for n in sharing[: max(left, 0)]:
        widths[n] += 1
    return widths


@dataclass(frozen=True, slots=True)
class Strokes:
    """A drawing of an amount against a limit, and the word that goes with it."""

    drawing: str
    word: str
    is_over: bool


def load_strokes(minutes: int, limit: int, cells: int, *, signs: Signs = PENCIL) -> Strokes:
    """A day's prep as pencil strokes up to the limit, with crosses past it.

    minutes, limit: whole minutes; a limit of 0 is a blocked day.
    cells: the whole drawing; the limit is drawn at three quarters of it so that there is room past it.
    The word says what the drawing says: free, nearly full, full, over the limit, blocked.
    """
    room = max(cells * 3 // 4, 1)
    if limit <= 0:
        past = min(max(cells - 1, 0), 1 if 0 < minutes < 60 else minutes // 60)
        return Strokes(
            pad(signs.limit + signs.over * past, cells), "over the limit" if minutes else "blocked", minutes > 0
        )
    filled = min(room, -(-minutes * room // limit)) if minutes > 0 else 0
    if filled == room and minutes < limit:
        filled = max(room - 1, 0)  # the last stroke is kept for a day that is really full
    past = min(max(cells - room - 1, 0), -(-(minutes - limit) * room // limit)) if minutes > limit else 0
    drawing = signs.stroke * filled + signs.free * (room - filled) + signs.limit + signs.over * past
    return Strokes(pad(drawing, cells), _load_word(minutes, limit), minutes > limit)


def _load_word(minutes: int, limit: int) -> str:
    if minutes > limit:
        return "over the limit"
    if minutes == limit:
        return "full"
    if minutes * 5 >= limit * 4:
        return "nearly full"
    return "room" if minutes else "free"


def seat_strokes(taken: int, seats: int, minimum: int = 0, *, most: int = 12, signs: Signs = PENCIL) -> Strokes:
    """Seats of a class: one stroke a head while they fit in `most` cells, else in proportion.

    The word: how many are missing to the minimum, how many are left, or full.
    """
    cells = min(max(seats, 0), most)
    filled = 0 if seats <= 0 else min(cells, taken * cells // seats)
    if taken > 0 and cells and filled == 0:
        filled = 1
    drawing = signs.stroke * filled + signs.free * (cells - filled)
    if taken > seats:
        return Strokes(drawing[:-1] + signs.over, f"{taken - seats} too many", True)
    if taken == seats:
        return Strokes(drawing, "full", False)
    if taken < minimum:
        return Strokes(drawing, f"{minimum - taken} short of {minimum}", False)
    return Strokes(drawing, f"{seats - taken} left", False)

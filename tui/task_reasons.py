"""What binds a task, its proof and its mends as rows of the task's page."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Final

from scheduling.queries.explaining import Explained
from tui import cells
from tui.widgets.row import Cell, Row, Section, Tone

#: Cells of a line beside the text: the margin, the label's column, gap and scroll bar.
BESIDE: Final = 26

LOOKING: Final = "Many plans are tried, which takes a few seconds. Esc leaves the page meanwhile."
NO_MEND: Final = "No single change that is known here helps, nor two together: see what binds it."


def rows_of(found: Explained | None, *, is_late: bool, is_looking: bool, room: int) -> list[Row | Section]:
    """The rows; found: None while it is worked out. is_looking: mends are still looked for. room: cells to a line."""
    if found is None:
        return [Section("What binds it", "being worked out")] if is_late else []
    rows: list[Row | Section] = []
    if found.proof:
        right, label = ("the proof", "Proof") if found.is_proved else ("not proved", "Not proved")
        rows += [Section("Late", right), *_wrapped("proof", label, found.proof, room, "bad")]
    if is_late:
        rows.append(Section("What would mend it", "Enter makes one, u takes it back" if found.mends else ""))
        for n, mend in enumerate(found.mends):
            rows += _wrapped(("mend", n), f"{n + 1}.", mend.whole, room)
        if is_looking or not found.mends:
            rows += _wrapped("mends", "Looking" if is_looking else "Nothing", LOOKING if is_looking else NO_MEND, room)
    rows += numbered("because", "Why on that day", "", found.why, room)
    rows += numbered("chain", "What binds it", "from the first", found.chain, room)
    return rows


def mend_of(row_id: object) -> int | None:
    """Which mend a row belongs to, also where it takes more rows than one; None for another row."""
    match row_id:
        case ("mend", int(n)) | (("mend", int(n)), _):
            return n
    return None


def numbered(kind: str, title: str, right: str, sentences: Sequence[str], room: int) -> list[Row | Section]:
    """Sentences under a heading, each whole."""
    if not sentences:
        return []
    rows: list[Row | Section] = [Section(title, right)]
    for n, sentence in enumerate(sentences, 1):
        rows += _wrapped((kind, n), f"{n}.", sentence, room)
    return rows


def _wrapped(row_id: Hashable, label: str, text: str, room: int, tone: Tone = "") -> list[Row]:
    """A text whole, in as many rows as it needs; the first has the row's id, the next ones it and their number."""
    lines = cells.wrap(text, max(room - BESIDE, 30))
    sign = "!" if tone == "bad" else ""
    return [
        Row((row_id, n) if n else row_id, ("" if n else label, Cell(line, tone) if tone else line), sign, tone)
        for n, line in enumerate(lines)
    ]

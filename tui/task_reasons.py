"""What binds a task, its proof and its mends as rows of the task's page."""

from __future__ import annotations

from scheduling.queries.explaining import Explained
from tui import cells
from tui.widgets.rows import Cell, Row, Section

WORKING = "Working out what binds it and what would mend it..."


def rows_of(found: Explained | None, *, is_late: bool, room: int) -> list[Row | Section]:
    """The rows; None: still being worked out. room: cells of the window."""
    if found is None:
        return [Section("What binds it", WORKING)] if is_late else []
    rows: list[Row | Section] = []
    if found.proof:
        rows += [Section("Late", "the proof"), *_wrapped(found.proof, room)]
    if found.mends:
        rows.append(Section("What would mend it", "Enter makes one, u takes it back"))
        rows += [Row(("mend", n), (f"{n + 1}.", mend.whole)) for n, mend in enumerate(found.mends)]
    if found.why:
        rows.append(Section("Why on that day"))
        rows += [Row(("because", n), (f"{n}.", sentence)) for n, sentence in enumerate(found.why, 1)]
    if found.chain:
        rows.append(Section("What binds it", "from the first"))
        rows += [Row(("chain", n), (f"{n}.", sentence)) for n, sentence in enumerate(found.chain, 1)]
    return rows


def _wrapped(proof: str, room: int) -> list[Row]:
    """The proof whole, in as many rows as it needs."""
    lines = cells.wrap(proof, max(room - 26, 30))
    return [Row(("proof", n), ("" if n else "Proof", Cell(line, "bad")), "!", "bad") for n, line in enumerate(lines)]

"""Work done in one go for several classes, as rows: what is accepted first, then what is worth it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from scheduling.model.refs import ref
from scheduling.queries.feedback import AcceptedBatch, BatchRow
from scheduling.words import show_minutes, show_moment
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section

LOOKING: Final = "Looking for work that is worth doing in one go. Esc leaves; nothing is changed by looking."
NOTHING: Final = "No work of several classes is worth doing in one go just now."

COLUMNS: Final = (
    Column("Work", share=3, least=20),
    Column("Classes", share=2, least=18),
    Column("Saves", 7, align="right"),
    Column("Done by", 17),
)


def rows_of(
    accepted: Sequence[AcceptedBatch], proposed: Sequence[BatchRow], *, is_looking: bool
) -> list[Row | Section]:
    """Accepted batches and proposals; is_looking: newer proposals are being worked out."""
    rows: list[Row | Section] = []
    if accepted:
        rows.append(Section("Done in one go", "x does them class by class again"))
        rows += [_accepted(batch) for batch in accepted]
    if proposed:
        right = "looking again..." if is_looking else "Enter shows what moves, Ctrl+O accepts"
        rows.append(Section("Worth doing in one go", right))
        rows += [_proposed(row) for row in proposed]
    elif accepted:
        rows.append(Section("Worth doing in one go", "looking..." if is_looking else "nothing else just now"))
    return rows


def _classes(row: AcceptedBatch | BatchRow) -> str:
    return ", ".join(ref("class_date", number) for number in row.class_date_ids)


def _accepted(batch: AcceptedBatch) -> Row:
    done = "no place yet" if batch.finish is None else show_moment(batch.finish)
    return Row(
        ("accepted", batch.batch_id), (batch.title, _classes(batch), show_minutes(batch.saved), done), "+", "good"
    )


def _proposed(row: BatchRow) -> Row:
    """What would miss aims has the mark that tasks behind have."""
    tone: Cell = Cell(show_minutes(row.saved), "accent")
    cells = (row.title, _classes(row), tone, show_moment(row.finish))
    return Row(("proposed", row.task_ids), cells, "~" if row.past_aim else "", "warn" if row.past_aim else "")


def about(row: AcceptedBatch | BatchRow) -> str:
    """One in a sentence."""
    return f"{row.said}."

"""Minutes logged against planned, as rows: what is worth changing first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from scheduling.queries.logged_minutes import LoggedStep
from scheduling.words import show_day, show_minutes
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section

COLUMNS: Final = (
    Column("Step", share=4, least=18),
    Column("Recipe", share=2, least=8, drop=1),
    Column("Runs", 4, align="right"),
    Column("Planned", 8, align="right"),
    Column("Took", 6, align="right"),
    Column("Better", 8, align="right"),
)


def rows_of(steps: Sequence[LoggedStep]) -> list[Row | Section]:
    """The steps under a heading for each kind."""
    rows: list[Row | Section] = []
    for title, right, listed in (
        ("Takes other minutes", "Ctrl+O plans them, u takes that back", [s for s in steps if s.minutes is not None]),
        ("As planned, near enough", "", [s for s in steps if s.minutes is None and s.percent is not None]),
        ("Logged once so far", "two runs or more say something", [s for s in steps if s.percent is None]),
    ):
        if listed:
            rows.append(Section(title, right))
            rows += [_row(step) for step in listed]
    return rows


def _row(step: LoggedStep) -> Row:
    is_better = step.minutes is not None
    return Row(
        step.line_id,
        (
            step.title,
            step.recipe,
            str(step.counted),
            show_minutes(step.planned),
            "" if step.percent is None else f"{step.percent} %",
            Cell("" if step.minutes is None else show_minutes(step.minutes), "accent"),
        ),
        "~" if is_better else "",
        "warn" if is_better else "",
    )


def runs_text(step: LoggedStep) -> str:
    """The runs that count, the newest first, and the sum made of them."""
    lines = [
        f"{show_day(run.day, year=True)}, {run.class_name}: {show_minutes(run.logged)} logged,"
        f" {show_minutes(run.planned)} planned"
        for run in reversed(step.runs[-step.counted :] if step.counted else step.runs)
    ]
    older = len(step.runs) - len(lines)
    if older > 0:
        lines.append(f"{older} older {'run does' if older == 1 else 'runs do'} not count any more.")
    return "\n".join([f"{step.said}.", "", *lines])

"""What stands on a class's page besides its people: facts, kits, prep, deadlines, what to look at."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.money import Currency
from scheduling.queries.class_deadlines import ClassDeadlinesPage
from scheduling.queries.classes import ClassEntries
from scheduling.queries.plan import PlannedTask
from scheduling.words import show_day
from tui import cells, class_lines, task_lines
from tui.cells import Column
from tui.week_lines import Lines
from tui.widgets.rows import Cell, Row, Section

COLUMNS: Final = (Column("", share=3, least=16), Column("", 10, align="right"), Column("", 18), Column("", 8, drop=1))


def heading(
    entries: ClassEntries, dates: ClassDeadlinesPage, *, currency: Currency, today: dt.date, money: str = ""
) -> list[str]:
    """The class in a few lines: what, when and where; seats drawn; kits and the sum behind them, and its money."""
    row = entries.row
    word, _ = class_lines.standing(row)
    kinds = f"{word or row.state}; {row.kinds}"
    sessions = "; ".join(class_lines.session_words(session, today=today) for session in row.sessions)
    drawn = cells.seat_strokes(row.heads, row.seats, row.minimum, most=16)
    waiting = f", {row.waiting} waiting" if row.waiting else ""
    helpers = f", {entries.helpers} helping" if entries.helpers else ""
    fee = f"fee {currency.show(row.fee_minor)} {currency.code}"
    spare = f"{heads_text(dates.heads)}, {dates.spares} spare, {dates.demo_copies} to show"
    lines = [
        f"{class_lines.named(row)}: {kinds}",
        f"{sessions} at {row.venue}{helpers}",
        f"{drawn.drawing} {row.heads} of {row.seats} seats, {drawn.word}{waiting}; minimum {row.minimum}; {fee}",
        f"Kits to build: {dates.kits} ({spare}){f'; {money}' if money else ''}",
    ]
    if entries.newer_version:
        lines.append(f"{row.project} has a newer version; press c to take it over for this class.")
    return lines


def prep_lines(
    tasks: Sequence[PlannedTask], dates: ClassDeadlinesPage, warnings: Sequence[str], *, today: dt.date
) -> Lines:
    """Warnings, deadlines, then prep: open by where its work lies, and what is done."""
    lines = Lines()
    if warnings:
        lines.rows.append(Section("To look at", "what does not fit yet"))
    for n, sentence in enumerate(warnings):
        lines.rows.append(Row(("warning", n), (sentence, "", "", ""), "!", "warn"))
        lines.about[("warning", n)] = sentence
    lines.rows.append(Section("Dates", "by the end of the day"))
    for one in dates.deadlines:
        gone = one.day < today
        day = show_day(one.day, today=today)
        togo = (one.day - today).days
        far = "past" if gone else "today" if not togo else "tomorrow" if togo == 1 else f"in {togo} days"
        key = ("date", one.kind)
        lines.rows.append(Row(key, (one.kind, day, Cell(far, "quiet" if gone or togo > 7 else "warn"), "")))
        lines.about[key] = f"{one.kind}: {day}. {one.why}"
    groups = (
        ("Prep to do", [task for task in tasks if task.is_open and task.standing != "offered"]),
        ("Offered advice", [task for task in tasks if task.standing == "offered"]),
        ("Prep done or dropped", [task for task in tasks if not task.is_open]),
    )
    for title, members in groups:
        if members:
            lines.rows.append(Section(title, f"{len(members)} task{'' if len(members) == 1 else 's'}"))
        for task in members:
            _add_task(lines, task, today)
    return lines


def _add_task(lines: Lines, task: PlannedTask, today: dt.date) -> None:
    sign, tone = task_lines.task_mark(task)
    cells_of_row = (
        task.title,
        task_lines.left_words(task),
        task_lines.work_words(task, today=today),
        task_lines.standing_cell(task),
    )
    lines.rows.append(Row(("task", task.id), cells_of_row, sign, tone))
    lines.about[("task", task.id)] = task_lines.about(task, today=today)

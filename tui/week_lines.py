"""The first page's two lists as rows: the days with their work, and the classes, deadlines and warnings ahead."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from scheduling.queries.classes import ClassRow
from scheduling.queries.plan import PlannedTask
from scheduling.queries.week import DayTask, WeekDay, WeekPage
from scheduling.words import show_day, show_minutes, show_time
from tui import cells, class_lines, task_lines
from tui.cells import Column
from tui.order_words import deadline_about
from tui.widgets.rows import Cell, Row, Section
from tui.widgets.week_strip import DayFacts

if TYPE_CHECKING:
    from scheduling.queries.money_week import MoneyDeadline
    from scheduling.queries.stock_room import OrderDeadline  # counted later than the first screen

WORK_COLUMNS: Final = (
    Column("", 6),
    Column("", share=5, least=16),
    Column("", share=3, least=10),
    Column("", 13, align="right"),
)
AHEAD_COLUMNS: Final = (Column("", 10), Column("", share=1, least=14), Column("", 19))
#: At least so many classes are listed; those of the next weeks in any case.
FEWEST_CLASSES: Final = 8
#: So many late classes are listed before the days; all their tasks are on the page of all prep.
MOST_LATE: Final = 4
#: Where nothing is late, so many classes that are only behind: those with the nearest hard dates.
MOST_BEHIND: Final = 2
_WEEKS_AHEAD: Final = 5


@dataclass(slots=True)
class Lines:
    """Rows of a list, and for each row's id the task, class or person that it stands for and what to say of it."""

    rows: list[Row | Section] = field(default_factory=list)
    tasks: dict[Hashable, PlannedTask] = field(default_factory=dict)
    classes: dict[Hashable, int] = field(default_factory=dict)
    about: dict[Hashable, str] = field(default_factory=dict)
    people: dict[Hashable, int] = field(default_factory=dict)

    def add(self, row: Row, about: str, *, class_id: int | None, task: PlannedTask | None = None) -> None:
        self.rows.append(row)
        if class_id is not None:
            self.classes[row.id] = class_id
        self.about[row.id] = about
        if task is not None:
            self.tasks[row.id] = task


def strip_days(page: WeekPage) -> list[DayFacts]:
    """The days of the page for the strip over the lists."""
    return [
        DayFacts(
            name="Today" if day.day == page.today else f"{day.day:%a} {day.day.day}",
            minutes=day.planned_minutes,
            limit=day.limit_minutes,
            classes=len(day.classes),
            closed="blocked" if day.closed.startswith("blocked") else "",
        )
        for day in page.days
    ]


def work_lines(page: WeekPage) -> Lines:
    """What is late or behind and why, then day by day the classes held and the work laid out."""
    lines = Lines()
    _add_standing(lines, page)
    for day in page.days:
        if day.classes or day.tasks:
            lines.rows.append(_day_section(day, page.today))
        for held in day.classes:
            lines.add(_held_row(day, held), class_about(held, page.today), class_id=held.id)
        for work in day.tasks:
            about = task_lines.about(work.task, today=page.today)
            lines.add(_work_row(day, work), about, class_id=work.task.class_date_id, task=work.task)
    return lines


def _add_standing(lines: Lines, page: WeekPage) -> None:
    """A row for each class that is late, or is behind where nothing is late; one for what moved."""
    late = [task for task in page.late if task.standing == "late"]
    behind = page.late[len(late) :]
    counted = [f"{len(tasks)} {word}" for tasks, word in ((late, "late"), (behind, "behind")) if tasks]
    if page.late:
        lines.rows.append(Section("Late or behind", f"{', '.join(counted)}; all on page 4"))
    elif page.moved:
        lines.rows.append(Section("Since the plan before", ""))
    if late:
        shown = _by_class(late)[:MOST_LATE]
    else:
        never = dt.date.max
        pressing = sorted(behind, key=lambda task: (task.hard_day or never, task.aim_day, task.id))
        shown = _by_class(pressing)[:MOST_BEHIND]
    for tasks in shown:
        _add_late(lines, tasks, page.today)
    if page.moved:
        _add_moved(lines, page)


def _by_class(tasks: Sequence[PlannedTask]) -> list[list[PlannedTask]]:
    """The tasks of each class, in the order in which they come."""
    classes: dict[int, list[PlannedTask]] = {}
    for task in tasks:
        classes.setdefault(task.class_date_id, []).append(task)
    return list(classes.values())


def _add_late(lines: Lines, tasks: Sequence[PlannedTask], today: dt.date) -> None:
    """The first of some tasks with how many more there are."""
    task, count = tasks[0], len(tasks) - 1
    sign, tone = task_lines.task_mark(task)
    title = f"{count + 1} tasks: {task.title}" if count else task.title
    by = f"by {show_day(task.hard_day or task.aim_day)}"
    row = Row(("late", task.id), (Cell(task.standing, tone), title, task_lines.class_of(task), by), sign, tone)
    lines.add(row, task_lines.about(task, today=today), class_id=task.class_date_id, task=task)


def _add_moved(lines: Lines, page: WeekPage) -> None:
    """How many tasks lie on other days than before, and why; Enter lists them."""
    causes = Counter(move.because for _, move in page.moved)
    since = (
        f" since the plan of {show_day(page.kept_on)}" if page.kept_on is not None and page.kept_on < page.today else ""
    )
    count = moved_text(len(page.moved))
    reasons = ", ".join(f"{times} because {because}" for because, times in causes.most_common())
    first, move = page.moved[0]
    one = len(page.moved) == 1
    cells_of = (
        Cell("moved", "quiet"),
        first.title if one else count,
        task_lines.class_of(first) if one else f"because {causes.most_common(1)[0][0]}",
        Cell(f"to {show_day(move.now[0])}" if one and move.now else "Enter lists", "quiet"),
    )
    lines.add(Row("moved", cells_of, ">", "quiet"), f"{count}{since}: {reasons}.", class_id=None)


def moved_text(count: int) -> str:
    """Such as "4 tasks moved"."""
    return f"{count} {'task' if count == 1 else 'tasks'} moved"


def ahead_lines(page: WeekPage, orders: Sequence[OrderDeadline] = (), money: Sequence[MoneyDeadline] = ()) -> Lines:
    """Classes that come with their seats, deadlines that lapse, what must be ordered, and what does not fit."""
    lines = Lines()
    _money(
        lines, [one for one in money if one.is_past], page, "Lapsed", "g on the class's or the money page settles it"
    )
    until = page.today + dt.timedelta(weeks=_WEEKS_AHEAD)
    shown = [row for n, row in enumerate(page.coming) if n < FEWEST_CLASSES or row.first_day <= until]
    if shown:
        more = f"{len(shown)} of {len(page.coming)}, all on page 2" if len(shown) < len(page.coming) else ""
        lines.rows.append(Section("Classes to come", more))
    for row in shown:
        sign, tone = class_lines.mark(row)
        seats = class_lines.seats(row, most=6)
        day = show_day(row.first_day, today=page.today)
        lines.add(
            Row(("class", row.id), (day, class_lines.named(row), seats), sign, tone),
            class_about(row, page.today),
            class_id=row.id,
        )
    if page.lapses:
        lines.rows.append(Section("Deadlines that lapse", f"by the end of the day, to {show_day(page.days[-1].day)}"))
    for lapse in page.lapses:
        name = f"{lapse.kind}: {lapse.class_ref} {lapse.class_title}"
        day = show_day(lapse.day, today=page.today)
        lines.add(
            Row(("lapse", lapse.class_date_id, lapse.kind), (day, name, lapse.about)),
            f"By the end of {day}: {name}; {lapse.about}.",
            class_id=lapse.class_date_id,
        )
    to = show_day(page.days[-1].day)
    _money(lines, [one for one in money if not one.is_past], page, "Offers, holds and credits", f"that lapse, to {to}")
    if orders:
        lines.rows.append(Section("To order", f"to {show_day(page.days[-1].day)}; Enter shows the orders"))
    for one in orders:
        sign, tone = ("!", "bad") if one.is_past else ("", "")
        name = f"{one.supplier}: {', '.join(one.materials)}"
        hour = f"before {show_time(one.hour)}" if one.hour is not None else "by the end of it"
        lines.add(
            Row(("order by", one.day, one.supplier_id), (show_day(one.day, today=page.today), name, hour), sign, tone),
            deadline_about(one, today=page.today),
            class_id=one.class_ids[0],
        )
    if page.warnings:
        lines.rows.append(Section("To look at", "what does not fit yet"))
    for n, (row, sentence) in enumerate(page.warnings):
        lines.add(
            Row(("warning", row.id, n), (row.ref, sentence, show_day(row.first_day, today=page.today)), "!", "warn"),
            f"{class_lines.named(row)}: {sentence}",
            class_id=row.id,
        )
    return lines


def _money(lines: Lines, money: Sequence[MoneyDeadline], page: WeekPage, title: str, right: str) -> None:
    """Offers, holds and credits under a heading of their own; what lapsed has its mark."""
    if money:
        lines.rows.append(Section(title, right))
    for one in money:
        sign = "!" if one.is_past else ""
        day = show_day(one.day, today=page.today)
        key = ("money", one.kind, one.name)
        said = f"{one.kind.capitalize()} {one.name}: {one.about}, {day}."
        lines.add(Row(key, (day, f"{one.kind}: {one.name}", one.about), sign, "warn"), said, class_id=one.class_date_id)
        if one.class_date_id is None:
            lines.people[key] = one.person_id


def class_about(row: ClassRow, today: dt.date) -> str:
    """A class in one sentence: when, where, seats, minimum."""
    word, _ = class_lines.standing(row)
    waiting = f", {row.waiting} waiting" if row.waiting else ""
    short = f", {row.minimum - row.heads} short of its minimum" if row.is_under_minimum else f", minimum {row.minimum}"
    parts = [class_lines.named(row), *([word] if word else []), class_lines.when(row, today=today), row.venue]
    return f"{', '.join(parts)}: {row.heads} of {row.seats} seats taken{waiting}{short}."


def _day_section(day: WeekDay, today: dt.date) -> Section:
    drawn = cells.load_strokes(day.planned_minutes, day.limit_minutes, 9)
    name = f"{show_day(day.day, today=today)}{', today' if day.day == today else ''}"
    closed = f" {day.closed}" if day.closed else ""
    amount = f"{show_minutes(day.planned_minutes)} of {show_minutes(day.limit_minutes)}"
    over = "! " if drawn.is_over else ""
    return Section(name, f"{over}{drawn.drawing.strip()} {amount}, {drawn.word}{closed}")


def _held_row(day: WeekDay, held: ClassRow) -> Row:
    session = next(one for one in held.sessions if one.starts.local.date() == day.day)
    hours = f"{show_time(session.starts.local.time())}-{show_time(session.ends.local.time())}"
    return Row(
        ("held", day.day, held.id),
        (
            show_time(session.starts.local.time()),
            Cell(f"Class: {held.title}", "accent"),
            Cell(f"{held.ref} {held.heads} of {held.seats} heads", "accent"),
            hours,
        ),
        "=",
        "accent",
    )


def _work_row(day: WeekDay, work: DayTask) -> Row:
    task = work.task
    sign, tone = task_lines.task_mark(task)
    amount = show_minutes(work.minutes)
    return Row(
        ("work", day.day, task.id),
        (
            show_time(work.starts.time()),
            task.title,
            task_lines.class_of(task),
            amount if work.is_end else f"{amount}, part",
        ),
        sign,
        tone,
    )

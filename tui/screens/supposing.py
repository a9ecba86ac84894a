"""What if: a change is supposed, its effect shown, and it is kept or dropped; nothing is written meanwhile."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from textual.widget import Widget

from scheduling import commands
from scheduling.errors import InvalidError, SchedulingError
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassDate
from scheduling.queries.plan_inputs import PlanInputs, ReadPlanInputs
from scheduling.queries.supposing import Supposed, supposed
from scheduling.words import read_day, read_minutes, show_day, show_minutes
from tui import class_lines
from tui.cells import Column
from tui.keys import bindings
from tui.messages import Worked
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.rows import Cell, Row, Rows, Section

_JOB = "Working out what it would do"


def start_supposing(app: Any, class_date_id: int | None) -> None:
    """Ask for the change on a sheet; each entry left empty supposes nothing."""
    page = app.screen
    if not isinstance(page, StudioPage):
        return

    def day(typed: str, field: str) -> Any:
        return read_day(typed, today=page.today, day_first=page.day_first, field=field)

    def keep(values: Mapping[str, Any]) -> list[Any]:
        parts = _parts(page, class_date_id, values, day)
        if not parts:
            raise InvalidError("Nothing is supposed yet.", hint="Fill in one entry or more.")
        return parts

    fields = []
    title = "What if ...?"
    if class_date_id is not None:
        row = page.studio.ask(ClassDate(class_date_id)).row
        title = f"What if, with {class_lines.named(row)} ...?"
        fields = [
            TextField("heads", "Change in heads", is_needed=False, hint="+3 is three more, -2 two fewer"),
            TextField("to", "Held on", is_needed=False, hint="another day, at its hours",
                      read=lambda typed: day(typed, "to").shown if typed.strip() else ""),
            TextField("off", "Called off", is_needed=False, hint="yes supposes that it is"),
        ]  # fmt: skip
    fields += [
        TextField("block", "Day blocked", is_needed=False, hint="a day without work",
                  read=lambda typed: day(typed, "block").shown if typed.strip() else ""),
        TextField("longer", "Other limit on", is_needed=False, hint="a day; its minutes below",
                  read=lambda typed: day(typed, "longer").shown if typed.strip() else ""),
        TextField("limit", "Its minutes", is_needed=False, hint="such as 4 h",
                  read=lambda typed: read_minutes(typed).shown if typed.strip() else ""),
        TextField("helper", "A helper", is_needed=False, hint="a day and for how long, such as Sat, 2 h",
                  read=lambda typed: _helper(typed, day)[2] if typed.strip() else ""),
    ]  # fmt: skip

    def given(parts: list[Any] | None) -> None:
        if parts:
            app.show_effect(parts, class_date_id)

    app.push_screen(FormSheet(Form(*fields, title=title, keep="Show what it does"), keep), given)


def _parts(page: StudioPage, class_date_id: int | None, values: Mapping[str, Any], day: Any) -> list[Any]:
    def typed(name: str) -> str:
        return str(values.get(name, "") or "").strip()

    parts: list[Any] = []
    if class_date_id is not None:
        if typed("heads"):
            try:
                heads = int(typed("heads"))
            except ValueError as error:
                raise InvalidError("That is no number of heads.", hint="Write +3 or -2.", field="heads") from error
            parts.append(commands.SupposeHeads(class_date_id=class_date_id, heads=heads))
        if typed("to"):
            row = page.studio.ask(ClassDate(class_date_id)).row
            shift = day(typed("to"), "to").value - row.first_day
            spans = tuple((one.starts.local + shift, one.ends.local + shift) for one in row.sessions)
            parts.append(commands.MoveClassDate(class_date_id=class_date_id, sessions=spans))
        if typed("off").casefold() in ("yes", "y"):
            parts.append(commands.Decide(class_date_id=class_date_id, choice="call off"))
    if typed("block"):
        parts.append(commands.CloseDays(first=day(typed("block"), "block").value))
    if typed("longer"):
        if not typed("limit"):
            raise InvalidError("How many minutes has that day?", hint="Such as 4 h.", field="limit")
        minutes = read_minutes(typed("limit"), field="limit").value
        parts.append(commands.SetDay(day=day(typed("longer"), "longer").value, limit_minutes=minutes))
    if typed("helper"):
        when, minutes, _shown = _helper(typed("helper"), day)
        parts.append(commands.BringHelper(day=when, minutes=minutes))
    return parts


def _helper(typed: str, day: Any) -> tuple[dt.date, int, str]:
    """The day, the minutes and both as understood, of "Sat, 2 h"; raises InvalidError where one is missing."""
    first, comma, last = typed.rpartition(",")
    if not comma or not first.strip() or not last.strip():
        raise InvalidError("Which day, and how long?", hint="Such as Sat, 2 h.", field="helper")
    when, lasts = day(first, "helper"), read_minutes(last, field="helper")
    return when.value, lasts.value, f"{when.shown}, {lasts.shown}"


class SupposingScreen(StudioPage):
    """The effect of a supposition; keep does it, back drops it."""

    BINDINGS = bindings("keep", "step_back", keep="keep it", step_back="drop it")
    AUTO_FOCUS = "#effect"
    title_words = "What if"

    def __init__(self, parts: list[Any], class_date_id: int | None) -> None:
        super().__init__()
        self._parts = parts
        self._class_date_id = class_date_id
        self._effect: Supposed | None = None
        self._said: list[str] = []
        self._notes: list[str] = []
        self._moves: dict[int, str] = {}

    def body(self) -> Iterable[Widget]:
        yield Rows[Any]((Column("", 18), Column("", share=1, least=20)), empty="Working it out...", id="effect")
        yield Aside()

    def reload(self) -> None:
        before = self.studio.ask(ReadPlanInputs())
        try:
            outcomes, after = self.studio.suppose(self._parts, ReadPlanInputs())
        except SchedulingError as error:
            self.query_one("#effect", Rows).say_empty("That cannot be supposed. Press Esc.")
            self.says.refuse(error)
            return
        self._said = [outcome.said for outcome in outcomes]
        self._notes = [warning for outcome in outcomes for warning in outcome.warnings]
        if self.studio.plans.may_wait:
            self.run_worker(lambda: self._work_out(before, after), thread=True, group="suppose", exclusive=True)
        else:
            self.take_effect(supposed(before, after))

    def _work_out(self, before: PlanInputs, after: PlanInputs) -> None:
        self.post_message(Worked(_JOB, supposed(before, after), self.revision))

    def on_worked(self, message: Worked) -> None:
        if isinstance(message.result, Supposed):
            self.take_effect(message.result)

    def take_effect(self, effect: Supposed) -> None:
        """Show what was worked out."""
        self._effect = effect
        self.query_one("#effect", Rows).show(self._rows(effect))
        self._say_about()

    def _rows(self, effect: Supposed) -> list[Row | Section]:
        change = effect.minutes_after - effect.minutes_before
        word = f"{show_minutes(abs(change))} {'more' if change > 0 else 'less'}" if change else "the same"
        rows: list[Row | Section] = [Section("What if", "nothing is kept yet: Ctrl+O keeps it, Esc drops it")]
        rows += [Row(("said", n), ("Supposed", said)) for n, said in enumerate(self._said)]
        rows += [Row(("note", n), ("Note", Cell(note, "warn")), "!", "warn") for n, note in enumerate(self._notes)]
        rows.append(Row("prep", ("Prep", f"{word}, {show_minutes(effect.minutes_after)} in all")))
        for name, classes, mark in (
            ("Would be late", effect.now_late, "!"),
            ("No longer late", effect.no_longer_late, ""),
        ):
            if classes:
                rows.append(Row(name, (name, ", ".join(classes)), mark, "bad" if mark else ""))
        rows.append(Row("late", ("Late in all", ", ".join(effect.late) or "none")))
        for day, minutes in effect.over:
            rows.append(Row(("over", day), (show_day(day), f"{show_minutes(minutes)} over the limit"), "!", "warn"))
        rows.append(Section("Work on other days", f"{len(effect.moved)} in all"))
        for move in effect.moved:
            name = f"{move.ref}, {ref('class_date', move.class_date_id)}"
            rows.append(Row(("moved", move.task_id), (name, f"{move.instead}: {move.title}")))
        self._moves = {move.task_id: f"{move.said}." for move in effect.moved}
        return rows

    def _say_about(self) -> None:
        match self.query_one("#effect", Rows).cursor_id:
            case ("moved", int(task_id)):
                text = self._moves[task_id]
            case _:
                item = self.query_one("#effect", Rows).cursor_item
                cells = () if item is None else item.cells
                text = ": ".join(cell if isinstance(cell, str) else cell.text for cell in cells)
        self.query_one(Aside).show(text)

    def on_rows_opened(self) -> None:
        """A task that would lie elsewhere opens as it is now."""
        match self.query_one("#effect", Rows).cursor_id:
            case ("moved", int(task_id)):
                self.kitwright.open_task(task_id)

    def on_rows_moved(self) -> None:
        self._say_about()

    def action_keep(self) -> None:
        """Do what was supposed, as one action; heads that would come more are booked by name after it."""
        parts = [part for part in self._parts if not isinstance(part, commands.SupposeHeads)]
        outcome = None
        if parts:
            command = parts[0] if len(parts) == 1 else commands.AllAtOnce(parts=tuple(parts))
            try:
                outcome = self.studio.do(command)
            except SchedulingError as error:
                self.says.refuse(error)
                return
        self.app.pop_screen()
        page = self.app.screen
        if isinstance(page, StudioPage):
            page.was_kept(outcome)
        if len(parts) < len(self._parts):
            self.kitwright.book(self._class_date_id)

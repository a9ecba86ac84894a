"""The day of a class: who is here, who collects whom, the run sheet, tools, the car, and what follows."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Any

from textual.containers import Container
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling import commands
from scheduling.commands.request import Outcome
from scheduling.errors import ConflictError, InvalidError, SchedulingError
from scheduling.model.refs import ref
from scheduling.queries.car_list import CarLine, CarList
from scheduling.queries.classes import ClassDate
from scheduling.queries.day import Day, DaySheet, OnTheDay, ToolCount
from scheduling.queries.plan import PlannedTask, PrepTasks
from scheduling.typed_steps import read_steps, show_steps
from tui import cells, class_lines, class_people, day_lines
from tui.calendar_files import CalendarFiles
from tui.keys import bindings
from tui.prep_keys import PrepKeys
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.lines_field import LinesField
from tui.widgets.lookup import Lookup
from tui.widgets.picker import Picked
from tui.widgets.rows import Rows

KITS = ("", "handed over", "posted", "to collect", "back in stock")
SOMEBODY_ELSE = "somebody else"


class DayScreen(PrepKeys, CalendarFiles):
    """Two lists: the heads by name, so that none moves away under the cursor, and the sheet of the day."""

    CSS_PATH = "day.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS = bindings(
        "tick", "sign_out", "cancel", "book", "change", "new", "log_minutes", "message", "why", "export", "step_back",
        tick="sign in", cancel="did not come", book="walk-in", new="add a tool",
    )  # fmt: skip
    AUTO_FOCUS = "#heads"

    def __init__(self, class_date_id: int) -> None:
        super().__init__()
        self.class_date_id = class_date_id
        self.title_words = f"The day of {ref('class_date', class_date_id)}"
        self._meeting = 0
        self._page: DaySheet | None = None
        self._lines = day_lines.DayLines()

    def body(self) -> Iterable[Widget]:
        yield Static("", id="facts")
        yield Container(
            Rows[Any](day_lines.HEAD_COLUMNS, empty="Nobody is booked. Press b for somebody who has come.", id="heads"),
            Rows[Any](day_lines.SHEET_COLUMNS, empty="Nothing is planned for the day.", id="sheet"),
            id="parts",
        )
        yield Aside()

    def reload(self) -> None:
        row = self.studio.ask(ClassDate(self.class_date_id)).row
        now, today = self.studio.now, self.today
        begun = [n for n, one in enumerate(row.sessions) if one.starts.local.date() <= today]
        self._meeting = begun[-1] if begun else 0
        self._page = page = self.studio.ask(Day(self.class_date_id, self._meeting))
        car: tuple[CarLine, ...] = () if row.ends.utc < now else self.studio.ask(CarList(self.class_date_id))
        tasks = self.studio.ask(PrepTasks(self.class_date_id)) if row.ends.utc < now else ()
        self._lines = day_lines.day_lines(page, car, tasks, now=now, today=today)
        facts = day_lines.heading(page, self._meeting, today=today)
        self.query_one("#facts", Static).update(Content(cells.lines("\n".join(facts))))
        self._heads.show(self._lines.heads)
        self._sheet.show(self._lines.sheet)
        self._say_about()

    # What is under the cursor

    @property
    def _heads(self) -> Rows[Any]:
        return self.query_one("#heads", Rows)

    @property
    def _sheet(self) -> Rows[Any]:
        return self.query_one("#sheet", Rows)

    @property
    def _here(self) -> Hashable | None:
        return (self._sheet if self._sheet.has_focus else self._heads).cursor_id

    def _head(self) -> OnTheDay | None:
        """The head under the cursor, from the list of heads or of children."""
        return self._lines.people.get(self._here)

    def task_here(self) -> PlannedTask | None:
        return self._lines.tasks.get(self._here)

    def class_here(self) -> int | None:
        return self.class_date_id

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(self._here, "") or day_lines.CAUTION)

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_descendant_focus(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        here, head, task = self._here, self._head(), self.task_here()
        follow = self._lines.follow_up.get(here)
        if head is not None:
            person_id = head.person_id or head.payer_id
            self.kitwright.open_person(person_id)
        elif task is not None:
            self.kitwright.open_task(task.id)
        elif follow is not None and follow.deed == "taught":
            self.perform(commands.MarkTaught(class_date_id=self.class_date_id))
        elif follow is not None and follow.deed == "kits":
            self._take_apart()
        else:
            self.action_change()

    # Heads

    def action_tick(self) -> None:
        """Sign the head in, or take that away; on prep that is still open, tick it off."""
        head = self._head()
        if head is None:
            super().action_tick()
        elif head.signed_out is not None:
            self.says.note(f"{head.name} has gone already; u takes that back.")
        elif head.mark == "no-show":
            back = (commands.SignIn(seat_id=head.seat_id, back=True), commands.GiveKit(seat_id=head.seat_id, kit=""))
            self.perform(commands.AllAtOnce(parts=back))
        else:
            self.perform(commands.SignIn(seat_id=head.seat_id, back=head.signed_in is not None))

    def action_sign_out(self) -> None:
        """Sign the head out; for a child she says with whom."""
        head = self._head()
        if head is None:
            self.says.note("There is no head under the cursor.")
        elif not head.child:
            self.perform(commands.SignOut(seat_id=head.seat_id))
        else:
            self._ask_who_collects(head)

    def _ask_who_collects(self, head: OnTheDay) -> None:
        listed = [head.guardian, *(name.strip() for name in head.collectors.split(",") if name.strip())]
        answers = [Answer(f"with {n}", name) for n, name in enumerate(listed)]
        answers.append(Answer(SOMEBODY_ELSE, "Somebody who is not listed", is_grave=True))

        def answered(answer: str | None) -> None:
            if answer == SOMEBODY_ELSE:
                self._ask_for_name(head)
            elif answer is not None:
                to = listed[int(answer.removeprefix("with "))]
                self.perform(commands.SignOut(seat_id=head.seat_id, to=to))

        phone = f"{head.guardian}: {head.guardian_phone}." if head.guardian_phone else "No telephone number is kept."
        self.app.push_screen(Ask(f"Who collects {head.name}?", answers, details=phone), answered)

    def _ask_for_name(self, head: OnTheDay) -> None:
        def keep(values: Mapping[str, Any]) -> Outcome:
            if not values["checked"]:
                raise InvalidError(
                    "Not without asking.", hint="Telephone the guardian and look at a document.", field="checked"
                )
            return self.studio.do(commands.SignOut(seat_id=head.seat_id, to=values["to"], though_unlisted=True))

        form = Form(
            TextField("to", "Name", hint="of who collects, as on their document"),
            YesNoField("checked", "Checked", hint="the guardian was telephoned, a document was seen"),
            title=f"{head.name} goes with somebody who is not listed",
            keep="Sign out",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_cancel(self) -> None:
        """Keep that the head did not come, and say what becomes of its kit."""
        head = self._head()
        if head is None:
            self.says.note("x on a head keeps that they did not come.")
            return
        if head.kit == "posted":
            self.perform(commands.MarkNoShow(seat_id=head.seat_id))
            return

        def answered(answer: str | None) -> None:
            if answer in ("back in stock", "to collect"):
                self.perform(commands.MarkNoShow(seat_id=head.seat_id, kit=answer))

        answers = (
            Answer("back in stock", "They did not come; the kit goes back in stock"),
            Answer("to collect", "They did not come; the kit waits 14 days for them"),
            Answer("no", "Leave it as it is"),
        )
        about = "What is owed back goes by the terms kept with the booking; t takes the mark away."
        self.app.push_screen(Ask(f"{head.name} did not come?", answers, details=about), answered)

    def action_book(self) -> None:
        """Somebody stands there: known, or new by their name."""
        row = self.studio.ask(ClassDate(self.class_date_id)).row

        def picked(answer: Picked | None) -> None:
            if answer is None:
                return
            if isinstance(answer.row_id, int):
                self._walk_in({"person_id": answer.row_id})
            else:
                self._walk_in({"newcomer": {"name": answer.typed}})

        seats = f"{row.seats_left} of {row.seats} seats left" if row.seats_left > 0 else "full"
        lookup: Lookup[Any] = Lookup(
            f"Who has come without a booking? ({seats})",
            self.kitwright.find_people,
            class_people.NAME_COLUMNS,
            empty="Nobody is kept yet. Type a name to make the first attendee.",
            make_new="New attendee",
            draw=class_people.name_row,
        )
        self.app.push_screen(lookup, picked)

    def _walk_in(self, who: dict[str, Any], *, over_the_list: bool = False) -> None:
        try:
            outcome = self.studio.do(
                commands.WalkIn(class_date_id=self.class_date_id, over_the_list=over_the_list, **who)
            )
        except ConflictError as error:
            if error.field == "over_the_list":
                self._ask_over_the_list(who, error)
            else:
                self.says.refuse(error)
        except SchedulingError as error:
            self.says.refuse(error)
        else:
            self.was_kept(outcome)
            self._heads.go_to(("head", self._seat_of(outcome.booking_id)))

    def _seat_of(self, booking_id: int) -> int | None:
        heads = () if self._page is None else self._page.heads
        return next((one.seat_id for one in heads if one.booking_id == booking_id), None)

    def _ask_over_the_list(self, who: dict[str, Any], error: SchedulingError) -> None:
        def answered(answer: str | None) -> None:
            if answer == "over":
                self._walk_in(who, over_the_list=True)

        answers = (Answer("stay", "Keep to the list"), Answer("over", "Pass over the list", is_grave=True))
        self.app.push_screen(Ask(f"{error.message} Pass over the list?", answers), answered)

    # Changing what is under the cursor

    def action_change(self) -> None:
        """The head's kit and collectors, the tool's counts, or the run sheet."""
        here = self._here
        head, tool = self._head(), self._lines.tools.get(here)
        if head is not None:
            self._change_head(head)
        elif tool is not None:
            self._count(tool)
        elif isinstance(here, tuple) and here[0] == "step":
            self._change_steps()
        else:
            self.says.note(self.query_one(Aside).text)

    def _change_head(self, head: OnTheDay) -> None:
        fields: list[Any] = [
            ChoiceField("kit", "Kit", [Choice(kit, kit or "not handed over") for kit in KITS], value=head.kit)
        ]
        if head.child and head.person_id is not None:
            fields.append(
                TextField(
                    "collectors", "May collect", value=head.collectors, is_needed=False,
                    hint=f"besides {head.guardian}; names parted by commas",
                )
            )  # fmt: skip

        def keep(values: Mapping[str, Any]) -> Outcome:
            parts: list[Any] = [commands.GiveKit(seat_id=head.seat_id, kit=values["kit"])]
            if head.person_id is not None and values.get("collectors", head.collectors) != head.collectors:
                parts.append(commands.SetCollectors(person_id=head.person_id, collectors=values["collectors"]))
            if values["kit"] == head.kit and len(parts) > 1:
                parts.pop(0)
            kept: Outcome = self.studio.do(parts[0] if len(parts) == 1 else commands.AllAtOnce(parts=tuple(parts)))
            return kept

        self.app.push_screen(FormSheet(Form(*fields, title=head.name), keep), self.was_kept)

    def _count(self, tool: ToolCount) -> None:
        out = tool.wanted if tool.counted_out is None else tool.counted_out
        asks_in = tool.counted_out is not None
        fields = [TextField("out", "Counted out", value=str(out or ""), hint="how many left your hands")]
        if asks_in:
            back = tool.counted_out if tool.counted_in is None else tool.counted_in
            fields.append(TextField("back", "Counted in", value=str(back), hint="look before anyone leaves"))

        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.CountTools(
                    class_date_id=self.class_date_id,
                    tool=tool.tool,
                    counted_out=_number(values, "out"),
                    counted_in=_number(values, "back") if asks_in else None,
                )
            )

        form = Form(*fields, title=f"Count: {tool.tool}")
        if asks_in:
            form.call_after_refresh(lambda: form.field("back").take_focus())
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_new(self) -> None:
        def keep(values: Mapping[str, Any]) -> Outcome:
            out = _number(values, "out")
            return self.studio.do(
                commands.CountTools(class_date_id=self.class_date_id, tool=values["tool"], counted_out=out)
            )

        form = Form(
            TextField("tool", "Tool", hint="such as craft knife"),
            TextField("out", "Counted out"),
            title="A further tool to count",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def _change_steps(self) -> None:
        page = self._page
        if page is None:
            return
        steps = show_steps(segment.step for segment in page.segments)

        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.SetRunSheet(class_date_id=self.class_date_id, steps=read_steps(values["steps"]))
            )

        field = LinesField(
            "steps", "Steps", value=steps, lines=9,
            hint="one a line: what = how long + how long it dries. None: the usual ones.",
        )  # fmt: skip
        form = Form(field, title=f"Run sheet of {class_lines.named(page.class_row)}")
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def _take_apart(self) -> None:
        follow = self._lines.follow_up.get(self._here)
        left = "" if follow is None else follow.what.split()[0]

        def keep(values: Mapping[str, Any]) -> Outcome:
            kits = _number(values, "kits")
            kept: Outcome = self.studio.do(commands.ReturnKits(class_date_id=self.class_date_id, kits=kits))
            return kept

        form = Form(
            TextField("kits", "Kits", value=left, hint="their things go back to stock, cut pieces stay as samples"),
            title="Leftover kits are taken apart",
            keep="Back to stock",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_why(self) -> None:
        self.says.note(self.query_one(Aside).text)


def _number(values: Mapping[str, Any], name: str) -> int:
    """A count of things; raises InvalidError."""
    typed = str(values[name]).strip()
    if not typed.isdecimal() or len(typed) > 6:
        raise InvalidError(f"{typed or 'Nothing'} is no count.", hint="Write digits such as 8.", field=name)
    return int(typed)

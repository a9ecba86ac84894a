"""The kits of a class: how many, cut plans, steps ticked off with counts, checks, mail, tools, what a kit costs."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Any

from textual.widget import Widget

from scheduling import commands
from scheduling.commands.request import Outcome
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.queries.classes import Classes
from scheduling.queries.kit_room import KitRoom, KitRoomPage
from scheduling.queries.kit_runs import ParcelRow, SeatKit, StepRow
from scheduling.words import counted, read_day, show_day
from tui import kit_lines
from tui.beside import AsksBeside
from tui.cells import Column
from tui.keys import bindings
from tui.kit_lines import KitLines
from tui.kit_words import kit_words
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Cell, Row, Rows

_SEAT_COLUMNS = (Column("", share=1, least=24), Column("", share=1, least=20))
COUNTING = "Counting kits and laying out sheets..."


class KitsScreen(AsksBeside):
    """One list in the order of the work. Cut plans and needs are worked out beside the page."""

    BINDINGS = bindings(
        "tick", "change", "new", "cancel", "why", "step_back", change="count", new="weigh or note", cancel="take apart"
    )
    AUTO_FOCUS = "Rows"

    def __init__(self, class_date_id: int) -> None:
        super().__init__()
        self.class_date_id = class_date_id
        self.title_words = f"Kits of {ref('class_date', class_date_id)}"
        self._page: KitRoomPage | None = None
        self._page_of = -1
        self._lines = KitLines()

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](kit_lines.COLUMNS, empty=COUNTING)
        yield Aside()

    def reload(self) -> None:
        if self._page_of != self.studio.revision:
            self.ask_beside(KitRoom(self.class_date_id))

    def ask_beside_again(self) -> None:
        self.ask_beside(KitRoom(self.class_date_id))

    def take_answer(self, answer: Any, revision: int) -> None:
        self._page, self._page_of = answer, revision
        facts = self.kitwright.facts
        self._lines = kit_lines.kit_lines(answer, currency=facts.currency, units=facts.units)
        self._rows.show(self._lines.rows)
        self._say_about()

    def on_work_refused(self, message: Any) -> None:
        super().on_work_refused(message)
        self._rows.say_empty("No kits are made for this class. Press Esc; c on its project's page sets the bill.")

    # What is under the cursor

    def class_here(self) -> int | None:
        return self.class_date_id

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    @property
    def _here(self) -> Hashable | None:
        return self._rows.cursor_id

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(self._here, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        cut = self._lines.cuts.get(self._here)
        if cut is not None:
            self.kitwright.open_cut_plan((self.class_date_id,), cut.material.id)
        elif self._here in self._lines.together:
            self.kitwright.open_cut_plan(*self._lines.together[self._here])
        elif self._here == "newer":
            self._take_new_version()
        elif self._here in self._lines.seat_kits:
            self.action_change()
        elif isinstance(self._here, tuple) and self._here[0] in ("limit", "short"):
            self.kitwright.open_material(self._here[1])
        else:
            self.action_why()

    def action_why(self) -> None:
        """The sum behind a row, whole."""
        here = self._here
        cut = self._lines.cuts.get(here)
        if cut is not None and cut.why:
            self.app.push_screen(
                Ask(f"{cut.ref} {cut.material.name}", [Answer("back", "Back")], details="\n".join(cut.why))
            )
        else:
            self.says.note(self._lines.about.get(here, "") or "This line stands for itself.")

    # Ticking off

    def action_tick(self) -> None:
        """A step whole, or open again; a parcel posted; a problem mended; cut plans count on their own page."""
        here = self._here
        step, parcel, note = self._lines.steps.get(here), self._lines.parcels.get(here), self._lines.notes.get(here)
        if here in self._lines.cuts:
            self.on_rows_opened()
        elif step is not None and step.step == "cut":
            self.says.note("Pieces are counted sheet by sheet: open the cut plan of their material with Enter.")
        elif step is not None:
            self._tick(step, 0 if not step.left else step.wanted)
        elif parcel is not None:
            self._post(parcel, again=False)
        elif note is not None and note.weight_mg is None:
            self.perform(commands.NoteKits(class_date_id=self.class_date_id, mended=note.id))
        else:
            self.says.note("t ticks off a step, a parcel or a problem; there is none under the cursor.")

    def _tick(self, step: StepRow, done: int, checked_by: str = "") -> None:
        self.perform(
            commands.TickKits(class_date_id=self.class_date_id, step=step.step, done=done, checked_by=checked_by)
        )

    def action_change(self) -> None:
        """How far a step is, and who checked; a second parcel; a head's options; the newer version."""
        here = self._here
        step, parcel = self._lines.steps.get(here), self._lines.parcels.get(here)
        kits = self._lines.seat_kits.get(here, ())
        if step is not None and step.step != "cut":
            self._count(step)
        elif kits:
            self._choose_whose(kits)
        elif parcel is not None:
            self._post(parcel, again=parcel.posted_on is not None)
        elif here == "newer":
            self._take_new_version()
        else:
            self.says.note("c counts how far a step is; there is none under the cursor.")

    def _take_new_version(self) -> None:
        self.perform(commands.TakeNewVersion(class_date_id=self.class_date_id))

    def _count(self, step: StepRow) -> None:
        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.TickKits(
                    class_date_id=self.class_date_id,
                    step=step.step,
                    done=whole(values["done"], "done"),
                    checked_by=values["checked_by"],
                )
            )

        form = Form(
            TextField("done", "Done so far", value=str(step.done), hint=f"of {counted(step.wanted, 'kit')}"),
            TextField("checked_by", "Checked by", value=step.checked_by, is_needed=False, hint="a name or initials"),
            title=f"{step.step.capitalize()}, kits of {ref('class_date', self.class_date_id)}",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def _choose_whose(self, kits: tuple[SeatKit, ...]) -> None:
        """Of several heads whose kits are alike, the one whose options are set."""
        assert self._page is not None  # its rows are on show
        options = self._page.run.options
        if len(kits) == 1:
            self._choose(kits[0], options)
            return

        def picked(answer: Picked | None) -> None:
            kit = next((one for one in kits if answer is not None and one.seat_id == answer.row_id), None)
            if kit is not None:
                self._choose(kit, options)

        rows = [Row(kit.seat_id, (kit.name, Cell(kit_words(kit), "quiet"))) for kit in kits]
        self.app.push_screen(Picker("Whose kit?", rows, _SEAT_COLUMNS, empty="Nobody like that."), picked)

    def _choose(self, kit: SeatKit, options: tuple[str, ...]) -> None:
        """Which of the bill's options one head has."""

        def keep(values: Mapping[str, Any]) -> Outcome:
            names = tuple(name for place, name in enumerate(options) if values[f"option{place}"])
            return self.studio.do(commands.ChooseKitOptions(seat_id=kit.seat_id, names=names))

        fields = [YesNoField(f"option{place}", name, value=name in kit.options) for place, name in enumerate(options)]
        self.app.push_screen(FormSheet(Form(*fields, title=f"Kit of {kit.name}"), keep), self.was_kept)

    def _post(self, parcel: ParcelRow, *, again: bool) -> None:
        today = self.today

        def day(typed: str) -> Any:
            return read_day(typed, today=today, day_first=self.day_first, past=True, field="posted_on")

        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.PostKit(
                    seat_id=parcel.seat_id,
                    posted_on=day(values["posted_on"]).value,
                    proof=values["proof"],
                    again=values["again"],
                )
            )

        form = Form(
            TextField("proof", "Proof of posting", is_needed=False, hint="the number on the receipt"),
            TextField("posted_on", "Posted on", value=show_day(today, year=True), read=lambda typed: day(typed).shown),
            YesNoField("again", "A second one", value=again, hint="yes for a kit that did not come"),
            title=f"Kit for {parcel.name}",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    # Checks and what is left

    def action_new(self) -> None:
        def keep(values: Mapping[str, Any]) -> Outcome:
            typed = values["weight"].strip()
            if bool(typed) == bool(values["note"].strip()):
                raise InvalidError("A weight or a problem, one of them.", hint="Leave the other empty.", field="weight")
            if typed:
                milligrams = whole(typed.removesuffix("g"), "weight") * 1000
                return self.studio.do(commands.NoteKits(class_date_id=self.class_date_id, weight_mg=milligrams))
            return self.studio.do(commands.NoteKits(class_date_id=self.class_date_id, note=values["note"].strip()))

        form = Form(
            TextField("weight", "A kit weighs", is_needed=False, hint="grams, as the scales show it"),
            TextField("note", "Or a problem", is_needed=False, hint="such as: two covers cut across the grain"),
            title=f"Check of the kits of {ref('class_date', self.class_date_id)}",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_cancel(self) -> None:
        """Whole kits that are left are taken apart: things back to stock, cut pieces to another class."""
        others = [
            Choice(row.id, f"{row.ref} {row.title}")
            for row in self.studio.ask(Classes("coming"))
            if row.id != self.class_date_id and row.state != "cancelled"
        ]

        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.ReturnKits(
                    class_date_id=self.class_date_id,
                    kits=whole(values["kits"], "kits"),
                    to_class_id=values["to_class_id"],
                )
            )

        form = Form(
            TextField("kits", "Kits left over", hint="whole kits that are taken apart"),
            ChoiceField(
                "to_class_id", "Pieces go to", others, is_needed=False, hint="a class that makes the same parts"
            ),
            title=f"Kits of {ref('class_date', self.class_date_id)} taken apart",
        )
        self.app.push_screen(
            FormSheet(
                form, keep, details="Their things go back to stock; cut pieces to the class named, else samples."
            ),
            self.was_kept,
        )


def whole(typed: str, field: str) -> int:
    """A whole number as typed; raises InvalidError at that entry."""
    text = typed.strip()
    if not text.isdecimal() or len(text) > 9:
        raise InvalidError(f"{text or 'Nothing'} is not a number.", hint="Write digits such as 8.", field=field)
    return int(text)

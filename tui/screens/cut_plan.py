"""How one material is cut: plans to choose between, a sheet to scale, its cuts in order, sheets ticked off."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Any

from textual.containers import Container
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling import commands
from scheduling.buying.cut_why import choice_text
from scheduling.commands.request import Outcome
from scheduling.cutting.drawing import cut_parts, draw_svg, draw_text
from scheduling.cutting.result import CutPlan, PatternRun
from scheduling.errors import SchedulingError
from scheduling.model.refs import ref
from scheduling.queries.cut_plans import CutPlans, MaterialCut
from scheduling.saving import save_file
from tui import cells
from tui.beside import AsksBeside
from tui.calendar_files import folder_for
from tui.cells import Column
from tui.cut_words import CAUTION, buy_text, early_text, face_text, look_of, picture_title, pieces_text
from tui.keys import bindings
from tui.screens.kits import whole
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Cell, Row, Rows, Section

LAYING = "Laying out the sheets..."
COLUMNS = (Column("", share=1, least=22), Column("", 14))
_PLAN_COLUMNS = (Column("", share=2, least=24), Column("", share=3, least=20))
BETTER = "better"


class CutPlanScreen(AsksBeside):
    """The cursor on a pattern draws it; t ticks its sheets off, and the plan for what is left is made anew."""

    DEFAULT_CSS = """
    CutPlanScreen #parts { height: 1fr; }
    CutPlanScreen #parts { layout: horizontal; }
    CutPlanScreen #cuts { width: 1fr; height: 1fr; }
    CutPlanScreen #sheet { padding: 0 0 0 1; background: $paper; color: $ink; height: 1fr; }
    CutPlanScreen.-narrow #sheet { width: 36; }
    CutPlanScreen.-wide #sheet { width: 1fr; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS = bindings("tick", "view", "why", "export", "step_back", tick="sheets cut", view="plan", export="picture")
    AUTO_FOCUS = "#cuts"

    def __init__(self, class_date_ids: tuple[int, ...], material_id: int) -> None:
        super().__init__()
        self._class_ids = class_date_ids
        self._material_id = material_id
        self.title_words = f"Cut {ref('material', material_id)}"
        self._cut: MaterialCut | None = None
        self._cut_of = (-1, False)
        self._number = 1
        self._is_better = False
        self._pattern = 1

    def body(self) -> Iterable[Widget]:
        yield Container(
            Rows[Any](COLUMNS, empty=LAYING, id="cuts"),
            Static("", id="sheet"),
            id="parts",
        )
        yield Aside()

    def reload(self) -> None:
        if self._cut_of != (self.studio.revision, self._is_better):
            self.ask_beside_again()

    def ask_beside_again(self) -> None:
        self.ask_beside(CutPlans(self._class_ids, self._material_id, better=self._is_better))

    def take_answer(self, answer: Any, revision: int) -> None:
        self._cut = answer[0] if answer else None
        self._cut_of = (revision, self._is_better)
        self._number = min(self._number, len(self._cut.plans)) if self._cut and self._cut.plans else 1
        self._pattern = 1
        self._draw()

    def on_resize(self) -> None:
        if self._cut is not None:
            self._draw_sheet()

    # Drawing

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#cuts", Rows)

    @property
    def _plan(self) -> CutPlan | None:
        return self._cut.plans[self._number - 1] if self._cut is not None and self._cut.plans else None

    @property
    def _run(self) -> PatternRun | None:
        plan = self._plan
        return None if plan is None else plan.runs[min(self._pattern, len(plan.runs)) - 1]

    def _draw(self) -> None:
        self._rows.say_empty("Nothing of it is cut for these classes.")
        self._rows.show(self._lines())
        self._draw_sheet()
        self._say_about()

    def _lines(self) -> list[Row | Section]:
        cut, plan = self._cut, self._plan
        if cut is None:
            return []
        units = self.kitwright.facts.units
        rows: list[Row | Section] = [Section(f"{cut.ref} {cut.material.name}", f"{cut.material.size}")]
        if cut.trouble:
            return [*rows, Row("trouble", (cut.trouble, ""), "!", "bad")]
        if not cut.pieces:
            return [*rows, Row("done", ("All of it is cut.", ""), "+", "good")]
        if plan is None:
            rows += [Row(("piece", name), (name, f"{count} to cut")) for name, count in cut.pieces]
            return rows
        look = look_of(plan, units)
        more = f"{len(cut.plans)} plans, v" if len(cut.plans) > 1 else ""
        rows.append(Row("plan", (choice_text(plan), Cell(more, "quiet"))))
        if face := face_text(cut.material, plan, look):
            rows.append(Row("face", (face, ""), "!"))
        for n, run in enumerate(plan.runs, 1):
            gives = ", ".join(f"{count} {look.name(name)}" for name, count in run.layout.counts.items())
            rows.append(Row(("pattern", n), (f"Pattern {n}: {run.sheets} x {run.source_id}", gives)))
        here = self._run
        if here is not None:
            rows.append(Section(f"Cuts of pattern {min(self._pattern, len(plan.runs))}", "along or across the grain"))
            for number, tool, what, way, setting in cut_parts(here.layout, units):
                by = "" if tool == "trimmer" else f", {tool}"
                rows.append(Row(("step", number), (f"{number:>3} {what} {way.partition(' ')[0]}{by}", setting)))
        return rows

    def _draw_sheet(self) -> None:
        sheet, plan, run = self.query_one("#sheet", Static), self._plan, self._run
        if plan is None or run is None:
            why = () if self._cut is None else self._cut.why
            sheet.update(Content(cells.lines("\n".join(why))))
            return
        width, height = max(20, sheet.size.width - 5), max(6, sheet.size.height - 1)
        look = look_of(plan, self.kitwright.facts.units)
        lines = draw_text(run.layout, run.grain, width=min(width, 96), height=height, look=look)
        sheet.update(Content(cells.lines("\n".join(lines))))

    def _say_about(self) -> None:
        run, plan = self._run, self._plan
        if run is None or plan is None:
            about = CAUTION
        elif self._rows.cursor_id == "plan":
            about = (
                f"{choice_text(plan)}; {buy_text(plan) or 'all from stock'}. w says why so many; v chooses. {CAUTION}"
            )
        else:
            pieces = pieces_text(run, look_of(plan, self.kitwright.facts.units))
            about = f"{pieces}. {early_text(run)} {CAUTION}"
        self.query_one(Aside).show(about)

    def on_rows_moved(self) -> None:
        here: Hashable | None = self._rows.cursor_id
        if isinstance(here, tuple) and here[0] == "pattern" and here[1] != self._pattern:
            self._pattern = here[1]
            self._draw()
        self._say_about()

    def on_rows_opened(self) -> None:
        self.action_tick()

    # Keys

    def action_why(self) -> None:
        if self._cut is not None:
            about = "\n".join(self._cut.why) or self._cut.trouble
            self.app.push_screen(
                Ask(f"{self._cut.ref} {self._cut.material.name}", [Answer("back", "Back")], details=about)
            )

    def action_view(self) -> None:
        """Another of the plans, or a longer search for fewer sheets and set-ups."""
        if self._cut is None or not self._cut.plans:
            return

        def picked(answer: Picked | None) -> None:
            if answer is None:
                return
            if answer.row_id == BETTER:
                self._is_better = True
                self.says.working("Searching on for fewer sheets and set-ups")
                self.ask_beside_again()
            elif isinstance(answer.row_id, int):
                self._number, self._pattern = answer.row_id, 1
                self._draw()

        rows = [Row(n, (choice_text(plan), buy_text(plan))) for n, plan in enumerate(self._cut.plans, 1)]
        if not self._is_better:
            rows.append(Row(BETTER, ("search on", "for fewer sheets and set-ups; may take some seconds")))
        self.app.push_screen(Picker("Cut by which plan?", rows, _PLAN_COLUMNS, empty="Nothing like that."), picked)

    def action_tick(self) -> None:
        """Sheets of the pattern under the cursor are cut; of a roll or reel all that is left at once."""
        cut, run = self._cut, self._run
        if cut is None or not cut.pieces or cut.trouble:
            self.says.note("Nothing is left to cut here.")
            return
        entries: dict[str, Any] = {"class_date_ids": self._class_ids, "material_id": self._material_id}
        if run is None:
            self._tick_lengths(entries)
            return
        pattern = self._pattern

        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.CutSheets(
                    plan=self._number,
                    better=self._is_better,
                    pattern=pattern,
                    sheets=whole(values["sheets"], "sheets"),
                    **entries,
                )
            )

        form = Form(
            TextField(
                "sheets", "Sheets cut", value=str(run.sheets), hint=f"of {run.sheets}; the rest is laid out anew"
            ),
            title=f"Pattern {pattern} of {cut.material.name}",
            keep="They are cut",
        )
        about = "The sheets leave the stock, pieces are counted, off-cuts of a size worth keeping go back."
        self.app.push_screen(FormSheet(form, keep, details=about), self.was_kept)

    def _tick_lengths(self, entries: dict[str, Any]) -> None:
        def answered(answer: str | None) -> None:
            if answer == "cut":
                self.perform(commands.CutSheets(**entries))

        answers = (Answer("cut", "All of it is cut"), Answer("back", "Not yet"))
        self.app.push_screen(Ask("Is all of this material cut for these classes?", answers), answered)

    def action_export(self) -> None:
        """The sheets as pictures to print, to scale, one file a pattern."""
        cut, plan = self._cut, self._plan
        if cut is None or plan is None:
            self.says.note("Only sheets are drawn.")
            return
        look = look_of(plan, self.kitwright.facts.units)
        folder = folder_for(self.studio.path)
        classes = "-".join(ref("class_date", number) for number in self._class_ids)
        written: list[str] = []
        try:
            for n, run in enumerate(plan.runs, 1):
                title = picture_title(cut.material, n, run)
                path = folder / f"cuts-{classes}-{cut.ref}-{n}.svg"
                picture = draw_svg(run.layout, run.grain, title=title, look=look)
                save_file(path, picture.encode(), private=False, what="picture")
                written.append(path.name)
        except SchedulingError as error:
            self.says.refuse(error)
            return
        self.says.note(f"{len(written)} to print in {folder}: {', '.join(written)}")

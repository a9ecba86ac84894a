"""A project's bill of materials: parts, measures and tools; every change is the project's next version."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import Any

from textual.widget import Widget

from scheduling import commands
from scheduling.commands.request import Outcome
from scheduling.errors import InvalidError
from scheduling.lengths import read_length
from scheduling.model.materials import BillLine, Material
from scheduling.model.refs import ref
from scheduling.model.versions import ClassBehind, named_behind
from scheduling.queries.kit_costs import CostOfKit
from scheduling.queries.kit_shelves import BillOf, ProjectBill, Tools
from scheduling.typed_bill import options_text, ways_text
from scheduling.words import show_day
from tui.cells import Column
from tui.keys import bindings
from tui.kit_words import TOOL_PER
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import Choice, ChoiceField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.rows import Cell, Row, Rows, Section

COLUMNS = (
    Column("", share=3, least=20),
    Column("", 5, align="right"),
    Column("", share=2, least=16),
    Column("", share=3, least=16),
)


class BillScreen(StudioPage):
    """One list: parts, then measures for formulas, tools on the tables, and what a kit costs by it."""

    BINDINGS = bindings("new", "change", "cancel", "step_back", new="add", cancel="take away")
    AUTO_FOCUS = "Rows"

    def __init__(self, project_id: int) -> None:
        super().__init__()
        self._project_id = project_id
        self.title_words = f"Bill of {ref('project', project_id)}"
        self._bill: ProjectBill | None = None
        self._about: dict[Hashable, str] = {}
        self._first_number = 0

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](COLUMNS, empty="Nothing is on its bill yet. Press n to add the first part.")
        yield Aside()

    def reload(self) -> None:
        bill = self._bill = self.studio.ask(BillOf(self._project_id))
        self._first_number = self._first_number or bill.number
        self._about = {}
        rows: list[Row | Section] = [Section(f"{bill.ref} {bill.title}", f"version {bill.number}")]
        for line, material in bill.lines:
            key = ("part", line.part)
            size = f"{line.size} = {line.formula}" if line.formula else line.size
            name = f"{ref('material', material.id)} {material.name}"
            mark = "*" if line.options else ""
            rows.append(Row(key, (line.part, str(line.quantity), size, name), mark, "accent" if mark else ""))
            self._about[key] = _line_words(line, material)
        if bill.measures:
            rows.append(Section("Measures", "sizes by formula follow them"))
        rows += [Row(("measure", name), (name, "", length.show(), "")) for name, length in bill.measures]
        if bill.tools:
            rows.append(Section("Tools on the tables"))
        rows += [Row(("tool", name), (name, "", TOOL_PER[per], "")) for name, per in bill.tools]
        self._behind(rows, bill)
        self._cost(rows)
        self.query_one(Rows).show(rows if len(rows) > 1 else [])
        self._say_about()

    def _behind(self, rows: list[Row | Section], bill: ProjectBill) -> None:
        if bill.behind:
            rows.append(Section("Classes to come with an older version", "c lets them take this one"))
        for one in bill.behind:
            key = ("behind", one.ref)
            rows.append(Row(key, (f"{one.ref} {one.title}", "", f"version {one.version}", show_day(one.first_day))))
            made = " Kits are begun by the older one." if one.begun else ""
            self._about[key] = f"{one.ref} keeps version {one.version}; this is version {bill.number}.{made}"

    def _cost(self, rows: list[Row | Section]) -> None:
        try:
            cost = self.studio.ask(CostOfKit(self._project_id))
        except InvalidError as error:
            rows += [Section("A kit costs"), Row("trouble", (str(error), "", "", ""), "!", "bad")]
            return
        if cost is None:
            return
        show = self.kitwright.facts.currency.show
        rows.append(Section("A kit costs", show(cost.total)))
        for words, amount in (("materials", cost.materials), ("packaging", cost.packaging), ("waste", cost.waste)):
            rows.append(Row(("cost", words), (words, "", show(amount), Cell("by the share that is used", "quiet"))))

    # What is under the cursor

    @property
    def _here(self) -> tuple[str, str]:
        here = self.query_one(Rows).cursor_id
        return (str(here[0]), str(here[1])) if isinstance(here, tuple) else ("", "")

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._about.get(self.query_one(Rows).cursor_id, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        self.action_change()

    # Keys

    def action_change(self) -> None:
        kind, name = self._here
        if kind == "part":
            self.kitwright.change_bill_line(self._project_id, name)
        elif kind == "measure":
            self._ask_measure(name)
        elif kind == "tool":
            self._ask_tool(name)
        elif kind == "behind":
            self._ask_behind(self.was_kept)
        else:
            self.says.note("There is no part, measure or tool under the cursor.")

    def action_step_back(self) -> None:
        """Leave; where the bill was changed here, the classes to come that keep an older one are asked about first."""
        if self._bill is not None and self._bill.behind and self._bill.number > self._first_number:
            self._ask_behind(self._leave)
        else:
            super().action_step_back()

    def _leave(self, outcome: Outcome | None) -> None:
        super().action_step_back()
        if isinstance(below := self.app.screen, StudioPage):
            below.was_kept(outcome)

    def _ask_behind(self, then: Callable[[Outcome | None], None]) -> None:
        """Ask which classes take this version over; then: called with what came of it, None where they keep theirs."""
        assert self._bill is not None  # what it lists was under the cursor, or just changed
        behind, number = self._bill.behind, self._bill.number
        fresh = tuple(one for one in behind if not one.begun)

        def answered(answer: str | None) -> None:
            if answer == "none":
                then(None)
            elif answer is not None:
                taking = fresh if answer == "fresh" else behind
                outcome = self.perform(
                    commands.LetTakeNewVersion(class_date_ids=tuple(one.class_date_id for one in taking))
                )
                if outcome is not None:
                    then(outcome)

        said = [
            f"{one.ref} {one.title}, {show_day(one.first_day)}: version {one.version}"
            + (", kits begun" if one.begun else "")
            for one in behind
        ]
        self.app.push_screen(
            Ask(f"Do classes to come take version {number} over?", _answers(behind, fresh), details="\n".join(said)),
            answered,
        )

    def action_new(self) -> None:
        def answered(answer: str | None) -> None:
            if answer == "part":
                self.kitwright.change_bill_line(self._project_id, "")
            elif answer == "measure":
                self._ask_measure("")
            elif answer == "tool":
                self._ask_tool("")

        answers = (
            Answer("part", "A part of the kit"),
            Answer("tool", "A tool on the tables"),
            Answer("measure", "A finished measure, for sizes by formula"),
        )
        self.app.push_screen(Ask("What is added?", answers), answered)

    def action_cancel(self) -> None:
        kind, name = self._here
        if self._bill is None:
            return
        if kind == "part":
            self.perform(commands.ChangeBillLine(project_id=self._project_id, part=name))
        elif kind == "measure":
            self._keep_measures({key: value for key, value in self._measures().items() if key != name})
        elif kind == "tool":
            self.perform(commands.SetBillTools(project_id=self._project_id, tools=self._tools(but=name)))
        else:
            self.says.note("There is no part, measure or tool under the cursor.")

    def _measures(self) -> dict[str, str]:
        return {} if self._bill is None else {name: length.show() for name, length in self._bill.measures}

    def _keep_measures(self, measures: dict[str, str]) -> Outcome | None:
        return self.perform(commands.SetMeasures(project_id=self._project_id, measures=measures))

    def _tools(self, *, but: str) -> tuple[tuple[int, Any], ...]:
        if self._bill is None:
            return ()
        named = zip(self._bill.tool_ids, self._bill.tools, strict=True)
        return tuple((number, per) for number, (name, per) in named if name != but)

    def _ask_measure(self, name: str) -> None:
        units = self.kitwright.facts.units

        def keep(values: Mapping[str, Any]) -> Outcome:
            kept = self._measures()
            kept.pop(name, None)
            kept[values["name"].strip().casefold().replace(" ", "_")] = values["size"]
            return self.studio.do(commands.SetMeasures(project_id=self._project_id, measures=kept))

        form = Form(
            TextField("name", "Measure", value=name, hint="such as height or turn_in"),
            TextField(
                "size",
                "Is",
                value=self._measures().get(name, ""),
                read=lambda typed: read_length(typed, units).show(),
                hint="5 3/8, 5-3/8 in, 13.7 cm, 137mm",
            ),
            title=f"A finished measure of {ref('project', self._project_id)}",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def _ask_tool(self, name: str) -> None:
        tools = self.studio.ask(Tools())
        now = dict(self._bill.tools) if self._bill is not None else {}

        def keep(values: Mapping[str, Any]) -> Outcome:
            kept = (*self._tools(but=name), (values["tool"], values["per"]))
            return self.studio.do(commands.SetBillTools(project_id=self._project_id, tools=kept))

        form = Form(
            ChoiceField(
                "tool",
                "Tool",
                [Choice(tool.id, f"{tool.name}, {tool.owned} owned") for tool in tools],
                value=next((tool.id for tool in tools if tool.name == name), None),
                hint="page 6, Tools, keeps new ones",
            ),
            ChoiceField(
                "per", "Shared", [Choice(per, words) for per, words in TOOL_PER.items()], value=now.get(name, "head")
            ),
            title=f"A tool for {ref('project', self._project_id)}",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)


def _answers(behind: tuple[ClassBehind, ...], fresh: tuple[ClassBehind, ...]) -> list[Answer]:
    """Yes comes first where no kit is begun by the older version, no where all are."""
    everyone = Answer("all", f"Yes, {named_behind(behind)}" + ("" if fresh == behind else ", kits begun or not"))
    nobody = Answer("none", "No, each keeps the version it was planned with")
    if fresh == behind:
        return [everyone, nobody]
    if not fresh:
        return [nobody, everyone]
    return [Answer("fresh", f"Only {named_behind(fresh)}, where no kit is begun"), everyone, nobody]


def _line_words(line: BillLine, material: Material) -> str:
    """A part in a sentence: what it is cut from, and how it may lie."""
    words = [f"{line.part}: {line.quantity} a {line.per.value} from {material.name}"]
    if line.size:
        words.append(f"{line.size}, along the grain first")
    words += [ways] if (ways := ways_text(line)) else []
    said = ", ".join(words)
    return f"{said}. Options: {options_text(dict(line.options))}." if line.options else f"{said}."

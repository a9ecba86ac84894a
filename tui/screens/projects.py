"""The projects: what people make. A change is a new version; classes keep the one they were planned with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from scheduling.amounts import read_count
from scheduling.commands.projects import AddProject, ChangeProject, RetireProject
from scheduling.commands.request import Outcome, Request
from scheduling.errors import NotFoundError
from scheduling.queries.kit_shelves import Tools
from scheduling.queries.shelves import ProjectRow, Projects
from scheduling.typed_steps import read_drying
from scheduling.words import read_minutes, show_minutes
from tui import checked
from tui.cells import Column
from tui.screens.form_page import FormPage
from tui.screens.shelf_page import ShelfPage
from tui.widgets.choice_field import Choice, ChoiceField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form
from tui.widgets.lines_field import LinesField
from tui.widgets.row import Cell, Row

#: Entry, label, most, what is counted, hint.
_COUNTS: Final = (
    ("age_from", "Least age", 120, "year|years", "0 for any age; the makers of tools and glues may ask for more"),
    ("pieces", "Pieces", 10_000, "piece a kit|pieces a kit", "cut pieces in one kit; cutting minutes follow it"),
    ("materials", "Materials", 1000, "material a kit|materials a kit", "different materials in one kit"),
    ("suppliers", "Suppliers", 100, "supplier|suppliers", "how many the materials come from"),
)


class ProjectsScreen(ShelfPage):
    """All projects by title, each in its newest version; Enter opens its bill of materials, c changes its facts."""

    title_words = "Projects"
    noun = "project"
    stays = "Its classes stay as they are."
    empty = "No projects yet. Press n to keep the first thing that people will make."
    columns = (
        Column("Project", share=3, least=18),
        Column("Version", 7, align="right", drop=2),
        Column("Teaching", 9, align="right"),
        Column("Age", 4, align="right"),
        Column("Classes", 7, align="right", drop=1),
        Column("Level", share=1, least=10, drop=3),
    )

    def items(self, *, with_retired: bool) -> Sequence[ProjectRow]:
        return self.studio.ask(Projects(with_retired))

    def draw(self, item: ProjectRow) -> Row:
        cells = (
            f"{item.ref} {item.title}",
            str(item.version),
            show_minutes(item.teaching_minutes),
            f"{item.age_from}+" if item.age_from else "any",
            str(item.classes),
            Cell(item.level, "quiet"),
        )
        return Row(item.id, cells)

    def name_of(self, item: ProjectRow) -> str:
        return item.title

    def about(self, item: ProjectRow) -> str:
        bring = f"Bring: {item.to_bring}." if item.to_bring else ""
        return " ".join(filter(None, (item.description, item.cautions, bring)))

    def retiring(self, item: ProjectRow, *, back: bool) -> Request[Outcome]:
        return RetireProject(project_id=item.id, back=back)

    def open_item(self, item: Any) -> None:
        self.kitwright.open_bill(item.id)

    def change_item(self, item: Any) -> None:
        self.kitwright.change_project(item.id)

    def action_new(self) -> None:
        self.kitwright.change_project(None)


class ProjectFormScreen(FormPage):
    """The form of a project; what is changed makes its next version."""

    def __init__(self, project_id: int | None = None) -> None:
        super().__init__()
        self._project_id = project_id
        self.title_words = "New project" if project_id is None else "Change a project"

    def form(self) -> Form:
        row = self._row()
        title = "A new project"
        if row is not None:
            used = {0: "no class has", 1: "1 class has"}.get(row.classes, f"{row.classes} classes have")
            title = (
                f"{row.ref} {row.title}: keeping a change makes version {row.version + 1}; {used} been made of it,"
                " and each keeps the version that it was planned with"
            )
        return Form(
            TextField("title", "Project", value=row.title if row else "", hint="what people make"),
            LinesField("description", "About it", value=row.description if row else "", lines=2, hint="for the list"),
            TextField("level", "Level", value=row.level if row else "", is_needed=False, hint="such as beginners"),
            TextField(
                "teaching_minutes", "Teaching", value=checked.minutes_typed(row.teaching_minutes) if row else "",
                read=checked.minutes, entry_cells=12, hint="all steps with their waits, such as 2 h 30",
            ),
            *(self._count(row, *count) for count in _COUNTS),
            TextField(
                "drying_hours", "Dries",
                value="" if row is None or row.drying_hours is None else f"{row.drying_hours} h",
                read=checked.drying, is_needed=False, entry_cells=12,
                hint="what is glued or pressed ahead rests so long before kits are bagged; 0 for none",
            ),
            ChoiceField(
                "drying_tool_id", "Dries in", self._tools(row), value=row.drying_tool_id or 0 if row else 0,
                hint="a tool with room for so many kits, such as a press or a rack",
            ),
            TextField("to_bring", "To bring", value=row.to_bring if row else "", is_needed=False, hint="an apron"),
            LinesField(
                "cautions", "Cautions", value=row.cautions if row else "",
                hint="blades, heat, glue, solvents, small parts, children; labels and local rules come first",
            ),
            title=title,
        )  # fmt: skip

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        entries = dict(values)
        entries["teaching_minutes"] = read_minutes(values["teaching_minutes"], field="teaching_minutes").value
        entries["drying_hours"] = read_drying(values["drying_hours"])
        for name, _, most, _, _ in _COUNTS:
            entries[name] = read_count(values[name] or "0", most=most, field=name).value
        if self._project_id is None:
            return self.studio.do(AddProject(**entries))
        return self.studio.do(ChangeProject(project_id=self._project_id, **entries))

    def _tools(self, row: ProjectRow | None) -> list[Choice]:
        """Tools with room at rest, and the one that it has."""
        own = row.drying_tool_id if row else None
        tools = [tool for tool in self.studio.ask(Tools(with_retired=True)) if tool.id == own or tool.holds]
        return [Choice(0, "nothing that could be full"), *(Choice(tool.id, tool.name) for tool in tools)]

    def _row(self) -> ProjectRow | None:
        if self._project_id is None:
            return None
        for row in self.studio.ask(Projects(with_retired=True)):
            if row.id == self._project_id:
                return row
        raise NotFoundError("That project is gone.", hint="Look again: it was taken back elsewhere.")

    @staticmethod
    def _count(row: ProjectRow | None, name: str, label: str, most: int, word: str, hint: str) -> Field:
        value = str(getattr(row, name)) if row else ""
        read = checked.count(0, most, name, word)
        return TextField(name, label, value=value, read=read, is_needed=False, entry_cells=8, hint=hint)

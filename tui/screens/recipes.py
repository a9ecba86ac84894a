"""The prep recipes, and the lines of one: tasks that each class gets, with when they aim and how long they take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from scheduling.commands.recipes import (
    AddRecipeLine,
    ChangeRecipeLine,
    CopyRecipe,
    RecipeKept,
    RetireRecipe,
    RetireRecipeLine,
)
from scheduling.commands.request import Outcome, Request
from scheduling.model.offset_text import aim_text, effort_text, line_about, offset_text, read_offset
from scheduling.model.prep import Effort, Line
from scheduling.queries.shelves import RecipeLineRow, RecipeLines, RecipeRow, Recipes
from scheduling.words import read_minutes
from tui import checked
from tui.cells import Column
from tui.keys import bindings
from tui.screens.shelf_page import ShelfPage
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.row import Row
from tui.widgets.rows import Rows


class RecipesScreen(ShelfPage):
    """The recipes in the order they were made; a new one is a copy of the one under the cursor."""

    BINDINGS = bindings(new="copy", log_minutes="logged")
    title_words = "Recipes"
    noun = "recipe"
    stays = "Classes that use it keep it."
    empty = "No recipes in use. Press v to see those that are retired."
    columns = (Column("Recipe", share=2, least=20), Column("Lines", 6, align="right"), Column("For", 28, drop=1))

    def items(self, *, with_retired: bool) -> Sequence[RecipeRow]:
        return self.studio.ask(Recipes(with_retired))

    def draw(self, item: RecipeRow) -> Row:
        use = "a project's first class" if item.first_time else "a project that has run"
        return Row(item.id, (f"{item.ref} {item.name}", str(item.lines), use))

    def name_of(self, item: RecipeRow) -> str:
        return item.name

    def about(self, item: RecipeRow) -> str:
        return "Enter shows its lines. n makes a recipe of your own from it. m: minutes logged against planned."

    def retiring(self, item: RecipeRow, *, back: bool) -> Request[Outcome]:
        return RetireRecipe(recipe_id=item.id, back=back)

    def change_item(self, item: Any) -> None:
        self.kitwright.open_recipe(item.id)

    def action_log_minutes(self) -> None:
        self.kitwright.open_logged()

    def action_new(self) -> None:
        item = self.here()
        if item is None:
            return

        def keep(values: Mapping[str, Any]) -> RecipeKept:
            return self.studio.do(CopyRecipe(recipe_id=item.id, name=values["name"]))

        form = Form(
            TextField("name", "Name", hint="such as bookbinding at the library"),
            title=f"A recipe of your own, from {item.name}",
        )
        self.kitwright.push_screen(FormSheet(form, keep), self.was_kept)


class RecipeScreen(ShelfPage):
    """The lines of one recipe in their order; classes to come that use it follow every change."""

    BINDINGS = bindings(log_minutes="logged")
    noun = "line"
    stays = "Tasks not yet done go from the classes to come; done ones stay."
    empty = "No lines in use. Press n to add the first task."
    columns: ClassVar[Sequence[Column]] = (
        Column("Task", share=1, least=16),
        Column("Aims at", 27),
        Column("Minutes", 16),
    )

    def __init__(self, recipe_id: int) -> None:
        super().__init__()
        self._recipe_id = recipe_id
        self._first_time = True

    def items(self, *, with_retired: bool) -> Sequence[RecipeLineRow]:
        recipe = next(one for one in self.studio.ask(Recipes(with_retired=True)) if one.id == self._recipe_id)
        self.title_words = f"{recipe.ref} {recipe.name}"
        self._first_time = recipe.first_time
        return self.studio.ask(RecipeLines(self._recipe_id, with_retired))

    def draw(self, item: RecipeLineRow) -> Row:
        line = item.line
        return Row(item.id, (line.title, aim_text(line.timing.aim), effort_text(self._effort(line))))

    def _effort(self, line: Line) -> Effort:
        """The one of the line's two efforts that this recipe plans with."""
        return line.first if self._first_time or line.again is None else line.again

    def name_of(self, item: RecipeLineRow) -> str:
        return item.line.title

    def about(self, item: RecipeLineRow) -> str:
        return f"{item.line.title}. {line_about(item.line)}"

    def retiring(self, item: RecipeLineRow, *, back: bool) -> Request[Outcome]:
        return RetireRecipeLine(line_id=item.id, back=back)

    def change_item(self, item: Any) -> None:
        line = item.line
        effort = self._effort(line)

        def keep(values: Mapping[str, Any]) -> RecipeKept:
            typed = {
                "title": values["title"],
                "days": read_offset(values["days"]).value,
                "minutes": read_minutes(values["minutes"]).value,
            }
            before = {"title": line.title, "days": line.timing.aim.days, "minutes": int(effort.fixed)}
            changed = {name: value for name, value in typed.items() if value != before[name]}
            return self.studio.do(ChangeRecipeLine(line_id=item.id, **changed))

        rates = effort_text(effort).partition(" + ")[2] if effort.rates else ""
        more = f"; to it come {rates or effort_text(effort)}" if effort.rates else ""
        form = Form(
            self._title(line.title),
            self._days(offset_text(line.timing.aim.days), f"from {line.timing.aim.anchor.value}"),
            self._minutes(str(int(effort.fixed)), f"the fixed part{more}"),
            title=f"Change {line.title}",
        )
        self._open(form, keep)

    def action_log_minutes(self) -> None:
        """What was logged, at the line under the cursor."""
        here = self.query_one(Rows).cursor_id
        self.kitwright.open_logged(here if isinstance(here, int) else None)

    def action_new(self) -> None:
        def keep(values: Mapping[str, Any]) -> RecipeKept:
            return self.studio.do(
                AddRecipeLine(
                    recipe_id=self._recipe_id,
                    title=values["title"],
                    days=read_offset(values["days"]).value,
                    minutes=read_minutes(values["minutes"]).value,
                )
            )

        form = Form(
            self._title(""),
            self._days("", "the class: such as 7 before, 2 after, same day"),
            self._minutes("", "for one class"),
            title="A new task for every class to come that uses this recipe",
        )
        self._open(form, keep)

    def _open(self, form: Form, keep: Any) -> None:
        self.kitwright.push_screen(FormSheet[RecipeKept](form, keep), self.was_kept)

    @staticmethod
    def _title(value: str) -> TextField:
        return TextField("title", "Task", value=value, hint="an instruction, such as fold the endpapers")

    @staticmethod
    def _days(value: str, hint: str) -> TextField:
        return TextField("days", "Aims at", value=value, read=lambda typed: read_offset(typed).shown, hint=hint)

    @staticmethod
    def _minutes(value: str, hint: str) -> TextField:
        return TextField("minutes", "Minutes", value=value, read=checked.minutes, hint=hint)

"""Prep recipes: the defaults kept with a new studio, and her changes to them."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from scheduling.commands.found import found, number, text
from scheduling.commands.request import Outcome, Request
from scheduling.commands.task_rows import keep_tasks
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.default_recipes import AGAIN, FIRST_TIME
from scheduling.model.prep import Effort, Line, Phase
from scheduling.model.prep_dates import Aim, Anchor, Timing
from scheduling.model.recipe_text import line_of, line_text
from scheduling.model.refs import ref
from scheduling.store.database import Value
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeKept(Outcome):
    recipe_id: int
    line_id: int = 0


def keep_default_recipes(tx: Transaction) -> None:
    """Keep the two default recipes of a new studio (decisions 19)."""
    for recipe, first_time in ((FIRST_TIME, True), (AGAIN, False)):
        recipe_id = tx.insert("recipe", {"name": recipe.name, "first_time": int(first_time)})
        for position, line in enumerate(recipe.lines):
            tx.insert(
                "recipe_line",
                {"recipe_id": recipe_id, "key": line.key, "position": position, "line": line_text(line)},
            )


class ChangeRecipeLine(Request[RecipeKept]):
    """Change a line: its title, when it aims, its minutes. Tasks not yet done follow; done ones stay.

    days: offset of the aim from its anchor; minutes: the fixed part, in the first time and in later runs alike.
    """

    line_id: int
    title: Annotated[str, Field(min_length=1, max_length=60)] | None = None
    days: Annotated[int, Field(ge=-730, le=730)] | None = None
    minutes: Annotated[int, Field(ge=0, le=6000)] | None = None

    def run(self, tx: Transaction) -> RecipeKept:
        row = found(tx, "recipe_line", self.line_id)
        line = line_of(text(row, "line"))
        if self.title is not None:
            line = dataclasses.replace(line, title=self.title)
        if self.days is not None:
            timing = line.timing
            mailed = timing.mailed_aim
            line = dataclasses.replace(
                line,
                timing=dataclasses.replace(
                    timing,
                    aim=dataclasses.replace(timing.aim, days=self.days),
                    mailed_aim=mailed
                    if mailed is None or mailed.anchor is not timing.aim.anchor
                    else dataclasses.replace(mailed, days=self.days),
                ),
            )
        if self.minutes is not None:
            fixed = Decimal(self.minutes)
            again = None if line.again is None else dataclasses.replace(line.again, fixed=fixed)
            line = dataclasses.replace(line, first=dataclasses.replace(line.first, fixed=fixed), again=again)
        if tx.update("recipe_line", self.line_id, {"line": line_text(line)}):
            for task in tx.rows(
                """SELECT id, sequence FROM task
                   WHERE recipe_line_id = ? AND state IN ('needs-action', 'in-process')""",
                (self.line_id,),
            ):
                title: dict[str, Value] = {} if self.title is None else {"title": self.title}
                tx.update("task", task["id"], {**title, "sequence": task["sequence"] + 1})
        return RecipeKept(
            summary=f"Changed a line of {ref('recipe', number(row, 'recipe_id'))}: {line.title}",
            said=f"{line.title} is changed; open tasks follow.",
            recipe_id=number(row, "recipe_id"),
            line_id=self.line_id,
        )


class AddRecipeLine(Request[RecipeKept]):
    """Add a line at the end of a recipe; the class dates to come that use it get the task.

    days: so many days before (negative) or after the class starts.
    """

    recipe_id: int
    title: Annotated[str, Field(min_length=1, max_length=60)]
    days: Annotated[int, Field(ge=-730, le=730)]
    minutes: Annotated[int, Field(ge=0, le=6000)]

    def run(self, tx: Transaction) -> RecipeKept:
        recipe = found(tx, "recipe", self.recipe_id)
        rows = tx.rows("SELECT key, position FROM recipe_line WHERE recipe_id = ?", (self.recipe_id,))
        keys = {row["key"] for row in rows}
        nth = 1
        while (key := f"own {nth}") in keys:
            nth += 1
        after_class = self.days > 0
        line = Line(
            key=key,
            title=self.title,
            phase=Phase.AFTERWARDS if after_class else Phase.KITS,
            timing=Timing(
                Aim(Anchor.LAST_SESSION if after_class else Anchor.CLASS_START, self.days), after_class=after_class
            ),
            first=Effort(Decimal(self.minutes)),
        )
        position = max((row["position"] for row in rows), default=-1) + 1
        line_id = tx.insert(
            "recipe_line", {"recipe_id": self.recipe_id, "key": key, "position": position, "line": line_text(line)}
        )
        refit(tx, self.recipe_id)
        return RecipeKept(
            summary=f"Added a line to {ref('recipe', self.recipe_id)}: {self.title}",
            said=f"{self.title} is added to {recipe['name']}.",
            recipe_id=self.recipe_id,
            line_id=line_id,
        )


class RetireRecipeLine(Request[RecipeKept]):
    """Take a line out of a recipe, or bring it back; tasks not yet done are dropped or come back."""

    line_id: int
    back: bool = False

    def run(self, tx: Transaction) -> RecipeKept:
        row = found(tx, "recipe_line", self.line_id)
        tx.update("recipe_line", self.line_id, {"retired_at": None if self.back else tx.now_text})
        refit(tx, number(row, "recipe_id"))
        title = line_of(text(row, "line")).title
        return RecipeKept(
            summary=f"{'Brought back' if self.back else 'Retired'} a line of"
            f" {ref('recipe', number(row, 'recipe_id'))}: {title}",
            said=f"{title} {'is back' if self.back else 'is out of the recipe'}.",
            recipe_id=number(row, "recipe_id"),
            line_id=self.line_id,
        )


class CopyRecipe(Request[RecipeKept]):
    """Make a recipe of her own from another one."""

    recipe_id: int
    name: Annotated[str, Field(min_length=1, max_length=60)]

    def run(self, tx: Transaction) -> RecipeKept:
        old = found(tx, "recipe", self.recipe_id)
        if tx.first("SELECT 1 FROM recipe WHERE name = ?", (self.name,)) is not None:
            raise InvalidError(f"There is a recipe {self.name} already.", hint="Give another name.", field="name")
        recipe_id = tx.insert("recipe", {"name": self.name, "first_time": old["first_time"]})
        for row in tx.rows(
            # Retired lines too: others may wait for them.
            "SELECT key, position, line, retired_at FROM recipe_line WHERE recipe_id = ? ORDER BY position, id",
            (self.recipe_id,),
        ):
            tx.insert("recipe_line", {"recipe_id": recipe_id, **dict(row)})
        return RecipeKept(
            summary=f"Made {ref('recipe', recipe_id)} {self.name}", said=f"{self.name} is made.", recipe_id=recipe_id
        )


class RetireRecipe(Request[RecipeKept]):
    """Take a recipe out of the lists, or bring it back; classes that use it keep it."""

    recipe_id: int
    back: bool = False

    def run(self, tx: Transaction) -> RecipeKept:
        row = found(tx, "recipe", self.recipe_id)
        left = tx.value("SELECT count(*) FROM recipe WHERE retired_at IS NULL AND id <> ?", (self.recipe_id,))
        if not self.back and not left:
            raise ConflictError("That is the last recipe in use.", hint="Make another one first.")
        tx.update("recipe", self.recipe_id, {"retired_at": None if self.back else tx.now_text})
        return RecipeKept(
            summary=f"{'Brought back' if self.back else 'Retired'} {ref('recipe', self.recipe_id)}",
            said=f"{text(row, 'name')} {'is back in the lists' if self.back else 'is retired'}.",
            recipe_id=self.recipe_id,
        )


def refit(tx: Transaction, recipe_id: int) -> None:
    """Bring the tasks of the class dates still to come that use a recipe to its lines."""
    for row in tx.rows(
        """SELECT DISTINCT class_date.id FROM class_date JOIN session ON session.class_date_id = class_date.id
           WHERE class_date.recipe_id = ? AND class_date.state <> 'cancelled' AND session.dropped = 0
             AND session.ends >= ?""",
        (recipe_id, tx.today().isoformat()),
    ):
        keep_tasks(tx, row["id"])

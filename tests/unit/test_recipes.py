"""Prep recipes: her changes reach what is not done yet, and nothing that is done (decisions 5, 19)."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.decisions import Decide
from scheduling.commands.prep import TickTask
from scheduling.commands.recipes import AddRecipeLine, ChangeRecipeLine, CopyRecipe, RetireRecipe, RetireRecipeLine
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.queries.plan import OneTask, PlannedTask, PrepTasks
from scheduling.queries.shelves import RecipeLines, Recipes
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, dump

AGAIN = 2


def titled(studio: Studio, title: str, class_id: int | None = None) -> list[PlannedTask]:
    return [task for task in studio.ask(PrepTasks(class_id, with_closed=True)) if task.title == title]


def line_of(studio: Studio, number: int) -> int:
    """The recipe line that a task was made by."""
    return int(str(next(row["recipe_line_id"] for row in dump(studio)["task"] if row["id"] == number)))


def test_a_new_studio_has_the_two_recipes() -> None:
    with a_studio() as studio:
        assert [(row.name, row.first_time) for row in studio.ask(Recipes())] == [("first time", True), ("again", False)]
        assert studio.ask(Recipes())[0].lines > studio.ask(Recipes())[1].lines > 10


def test_a_changed_line_reaches_open_tasks_only() -> None:
    with a_studio() as studio:
        class_date(studio, "2027-05-01", recipe_id=AGAIN)
        class_date(studio, "2027-05-08", recipe_id=AGAIN)
        first = studio.ask(PrepTasks(1))[0]
        line, old = line_of(studio, first.id), titled(studio, first.title, 2)[0]
        days = next(row.line.timing.aim.days for row in studio.ask(RecipeLines(AGAIN)) if row.id == line)
        studio.do(TickTask(task_id=first.id))
        kept = studio.ask(OneTask(first.id))
        studio.do(ChangeRecipeLine(line_id=line, title="Renamed", days=days - 3, minutes=77))
        assert studio.ask(OneTask(first.id)).title == kept.title
        (other,) = titled(studio, "Renamed")
        assert (other.id, other.aim_day) == (old.id, old.aim_day - dt.timedelta(days=3))
        assert other.minutes >= 77


def test_a_new_line_reaches_the_classes_to_come_that_use_the_recipe() -> None:
    with a_studio() as studio:
        past = class_date(studio, "2027-01-05", recipe_id=AGAIN)
        coming, other = class_date(studio, "2027-05-01", recipe_id=AGAIN), class_date(studio, "2027-05-02", recipe_id=1)
        off = class_date(studio, "2027-05-03", recipe_id=AGAIN)
        studio.do(Decide(class_date_id=off, choice="call off"))
        studio.do(AddRecipeLine(recipe_id=AGAIN, title="Iron the cloth", days=-2, minutes=20))
        assert [task.class_date_id for task in titled(studio, "Iron the cloth")] == [coming]
        (task,) = titled(studio, "Iron the cloth")
        assert (task.minutes, task.aim_day) == (20, dt.date(2027, 4, 29))
        assert (past, other) == (1, 3)


def test_a_line_after_the_class_lies_after_it() -> None:
    with a_studio() as studio:
        class_date(studio, "2027-02-03", recipe_id=AGAIN)
        studio.do(AddRecipeLine(recipe_id=AGAIN, title="Write to all", days=2, minutes=20))
        (task,) = titled(studio, "Write to all")
        assert task.aim_day == dt.date(2027, 2, 5)
        assert task.stretches[0].day > dt.date(2027, 2, 2)


def test_a_retired_line_drops_its_open_tasks_and_brings_them_back() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-05-01", recipe_id=AGAIN)
        one, *others = studio.ask(PrepTasks(class_id))
        line = line_of(studio, one.id)
        for other in others:
            studio.do(RetireRecipeLine(line_id=line_of(studio, other.id)))
            assert studio.ask(OneTask(other.id)).standing == "dropped", "whatever waits for it, the plan goes on"
            studio.do(Undo())
        studio.do(RetireRecipeLine(line_id=line))
        assert studio.ask(OneTask(one.id)).standing == "dropped"
        assert line not in [row.id for row in studio.ask(RecipeLines(AGAIN, with_retired=False))]
        studio.do(RetireRecipeLine(line_id=line, back=True))
        assert studio.ask(OneTask(one.id)).is_open


def test_a_copy_is_a_recipe_of_its_own() -> None:
    with a_studio() as studio:
        mine = studio.do(CopyRecipe(recipe_id=AGAIN, name="quick")).recipe_id
        with pytest.raises(InvalidError, match="a recipe quick already"):
            studio.do(CopyRecipe(recipe_id=AGAIN, name="quick"))
        line = studio.ask(RecipeLines(mine))[0]
        studio.do(ChangeRecipeLine(line_id=line.id, title="Other"))
        assert studio.ask(RecipeLines(AGAIN))[0].line.title != "Other"
        assert len(studio.ask(RecipeLines(mine))) == len(studio.ask(RecipeLines(AGAIN)))


def test_the_last_recipe_stays() -> None:
    with a_studio() as studio:
        studio.do(RetireRecipe(recipe_id=1))
        with pytest.raises(ConflictError, match="last recipe"):
            studio.do(RetireRecipe(recipe_id=AGAIN))
        with pytest.raises(ConflictError, match="no prep recipe"):
            class_date(studio)
        studio.do(RetireRecipe(recipe_id=1, back=True))
        assert class_date(studio) == 1
        with pytest.raises(NotFoundError, match="no recipe E09"):
            studio.ask(RecipeLines(9))

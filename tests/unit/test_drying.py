"""What dries or is pressed after pre-work: the project's own hours, tools that hold so many kits, rounds, batches."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from scheduling.commands.bills import TakeNewVersion
from scheduling.commands.bookings import Book
from scheduling.commands.classes import MakeClassDate
from scheduling.commands.materials import KeepTool
from scheduling.commands.planning import DoTogether
from scheduling.commands.projects import AddProject, ChangeProject
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.planner.build import plan
from scheduling.queries.demo_facts import RecipeNamed
from scheduling.queries.plan import PlannedTask, PrepTasks, WhyTask
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.queries.shelves import Projects
from scheduling.studio import Studio
from scheduling.typed_steps import read_drying
from tests.support.demo_studio import demo_copy
from tests.support.kit_studio import demo_studio
from tests.support.plan_check import faults
from tui.lines import entry

LANTERN = 5
"""P5, the box lantern, of C08 (12 kits), C09 (6) and C12 (8)."""


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def in_a_rack(studio: Studio, *, owned: int = 1, holds: int, classes: tuple[int, ...]) -> None:
    """Frames dry in a rack from now on, for these classes too."""
    rack = studio.do(KeepTool(name="Drying rack", owned=owned, holds=holds)).tool_id
    studio.do(ChangeProject(project_id=LANTERN, drying_tool_id=rack))
    for class_id in classes:
        studio.do(TakeNewVersion(class_date_id=class_id))


def task(studio: Studio, class_id: int, title: str) -> PlannedTask:
    return next(one for one in studio.ask(PrepTasks(class_id)) if one.title.startswith(title))


def rest_of(studio: Studio, class_id: int) -> dt.timedelta:
    """From the end of folding and gluing to the start of the kits' next step."""
    return task(studio, class_id, "Sort").stretches[0].starts - task(studio, class_id, "Score").stretches[-1].ends


def test_hours_of_the_project_stand_for_those_of_the_recipe(studio: Studio) -> None:
    """P5's frames dry 12 h; P3 has nothing glued ahead, so that C05 is folded and bagged on one day."""
    assert rest_of(studio, 9) >= dt.timedelta(hours=12)
    assert task(studio, 5, "Score").stretches[-1].day == task(studio, 5, "Sort").stretches[0].day
    studio.do(ChangeProject(project_id=LANTERN, drying_hours=36))
    studio.do(TakeNewVersion(class_date_id=9))
    assert rest_of(studio, 9) >= dt.timedelta(hours=36)


def test_what_a_project_does_not_say_stays_as_the_recipe_has_it(studio: Studio) -> None:
    project = studio.do(ChangeProject(project_id=LANTERN, drying_hours=None)).project_id
    row = next(row for row in studio.ask(Projects()) if row.id == project)
    assert row.drying_hours is None
    studio.do(TakeNewVersion(class_date_id=9))
    waits = [link.wait.amount for one in studio.ask(ReadPlanInputs()).facts.problem.tasks for link in one.after]
    assert 12 in waits
    assert rest_of(studio, 9) >= dt.timedelta(hours=12)


def test_more_kits_than_the_rack_holds_dry_in_rounds(studio: Studio) -> None:
    """Six kits in a rack of four: two rounds of 12 h, all four places taken."""
    in_a_rack(studio, holds=4, classes=(9,))
    assert rest_of(studio, 9) >= dt.timedelta(hours=24)
    said = studio.ask(WhyTask(task(studio, 9, "Score").id))
    assert "What it leaves dries or is pressed in Drying rack for 24 hours, 4 of 4 places taken." in said


def test_a_journal_is_pressed_overnight_before_it_is_bagged(studio: Studio) -> None:
    """P2 is pressed 12 h in three press boards of four kits each: 1 head, 1 spare and 1 demo copy take 3 places; what
    is folded by 21:00 is bagged the next morning at the earliest."""
    day = dt.datetime.fromisoformat("2027-04-24T10:00")
    made = studio.do(
        MakeClassDate(
            project_id=2,
            venue_id=1,
            sessions=((day, day + dt.timedelta(hours=8)),),
            seats=6,
            minimum=3,
            fee_minor=16500,
            recipe_id=studio.ask(RecipeNamed("again")),
        )
    )
    studio.do(Book(class_date_id=made.class_date_id, payer_id=1))
    assert rest_of(studio, made.class_date_id) >= dt.timedelta(hours=12)
    said = studio.ask(WhyTask(task(studio, made.class_date_id, "Score").id))
    assert "What it leaves dries or is pressed in Press boards for 12 hours, 3 of 12 places taken." in said


def test_two_classes_do_not_dry_in_one_rack_at_once(studio: Studio) -> None:
    """12 and 6 kits in a rack of 12, at any time either of them: the judge of plans counts the places."""
    in_a_rack(studio, holds=12, classes=(8, 9, 12))
    inputs = studio.ask(ReadPlanInputs()).served()
    problem = inputs.facts.problem
    (rack,) = [tool for tool in problem.tools if tool.name == "Drying rack"]
    assert rack.capacity == 12
    assert sorted(one.rest.units for one in problem.tasks if one.rest is not None and one.rest.tool == rack.id) == [
        6,
        8,
        12,
    ]
    assert faults(problem, inputs.now, plan(problem, inputs.now)) == []
    ends = sorted(task(studio, class_id, "Score").stretches[-1].ends for class_id in (8, 9, 12))
    assert all(later - earlier >= dt.timedelta(hours=12) for earlier, later in pairwise(ends))


def test_a_batch_that_does_not_fit_is_refused_and_one_that_no_longer_fits_is_done_apart(studio: Studio) -> None:
    in_a_rack(studio, owned=2, holds=9, classes=(8, 9))
    ids = tuple(task(studio, class_id, "Score").id for class_id in (8, 9))
    studio.do(DoTogether(task_ids=ids))
    problem = studio.ask(ReadPlanInputs()).facts.problem
    assert len(problem.batches) == 1, "12 + 6 kits are 18 places"
    rack = next(row.id for row in studio.ask(ReadPlanInputs()).facts.problem.tools if row.name == "Drying rack")
    studio.do(KeepTool(tool_id=int(rack[1:]), owned=1))
    assert studio.ask(ReadPlanInputs()).facts.problem.batches == ()
    assert task(studio, 9, "Score").stretches


def test_a_batch_of_more_kits_than_fit_is_refused_with_the_number(studio: Studio) -> None:
    in_a_rack(studio, holds=12, classes=(8, 9))
    ids = tuple(task(studio, class_id, "Score").id for class_id in (8, 9))
    with pytest.raises(ConflictError, match="Drying rack holds 12 kits at once"):
        studio.do(DoTogether(task_ids=ids))


def test_a_retired_or_unknown_tool_and_odd_hours_are_told(studio: Studio) -> None:
    with pytest.raises(NotFoundError):
        studio.do(AddProject(title="Box", drying_tool_id=99))
    assert (read_drying("12h"), read_drying("0"), read_drying("36"), read_drying("recipe"), read_drying("")) == (
        12,
        0,
        36,
        None,
        None,
    )
    with pytest.raises(InvalidError, match="whole hours"):
        read_drying("1h30")


def test_the_command_line_sets_both(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = demo_copy(tmp_path)

    def run(*words: str) -> int:
        return entry.run([*words, "--file", str(copy)])

    assert run("tool", "add", "Nipping press", "--owned", "1", "--holds", "8") == 0
    assert run("project", "change", "P2", "--dries", "18h", "--dries-in", "Nipping press") == 0
    assert run("tool") == 0
    assert "Nipping press" in capsys.readouterr().out
    with Studio(str(copy)) as studio:
        row = next(row for row in studio.ask(Projects()) if row.id == 2)
        assert row.drying_hours == 18
        assert row.drying_tool_id is not None
    assert run("project", "change", "P2", "--dries", "recipe", "--dries-in", "none") == 0
    with Studio(str(copy)) as studio:
        row = next(row for row in studio.ask(Projects()) if row.id == 2)
        assert (row.drying_hours, row.drying_tool_id) == (None, None)

"""Better minutes from what was logged, and work of several classes in one go: proposed, and accepted by her."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduling.commands.decisions import Decide
from scheduling.commands.planning import DoTogether, PartTasks, TakeMinutes
from scheduling.commands.prep import LogMinutes, TickTask
from scheduling.commands.undoing import Undo
from scheduling.queries.feedback import AcceptedBatches, BatchProposals
from scheduling.queries.logged_minutes import BetterMinutes, LoggedSteps
from scheduling.queries.plan import OneTask, PrepTasks
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, project
from tests.support.demo_studio import demo_copy


@pytest.fixture
def runs(tmp_path: Path) -> tuple[Studio, list[int]]:
    """The step "Cut all pieces" of four later classes of one project, 30 min each: two materials, no pieces."""
    studio = a_studio(tmp_path / "a.kitwright")
    what = project(studio, materials=2)
    for n in range(5):
        class_date(studio, day=f"2027-03-{13 + n}", project_id=what)
    ids = [task.id for task in studio.ask(PrepTasks()) if task.title == "Cut all pieces"]
    return studio, sorted(ids)[1:]


def log(studio: Studio, number: int, minutes: int) -> None:
    studio.do(LogMinutes(task_id=number, minutes=minutes))
    studio.do(TickTask(task_id=number))


def test_one_run_says_nothing_and_three_give_their_median(runs: tuple[Studio, list[int]]) -> None:
    """30 min planned, 45, 60 and 36 logged: 150, 200 and 120 of 100; the median is 150, so 30 min would be 45."""
    studio, ids = runs
    with studio:
        log(studio, ids[0], 45)
        assert studio.ask(BetterMinutes()) == ()
        log(studio, ids[1], 60)
        log(studio, ids[2], 36)
        row = studio.ask(BetterMinutes())[0]
        assert (row.percent, row.counted, row.planned, row.minutes) == (150, 3, 30, 45)
        assert "150 of every 100 planned minutes, the median of the last 3 runs; 30 min would be 45 min" in row.said


def test_a_proposal_changes_nothing_until_it_is_taken_and_undo_takes_it_back(runs: tuple[Studio, list[int]]) -> None:
    studio, ids = runs
    with studio:
        for number in ids[:3]:
            log(studio, number, 45)
        row = studio.ask(BetterMinutes())[0]
        assert row.percent is not None
        assert studio.ask(OneTask(ids[3])).minutes == 30
        studio.do(TakeMinutes(line_id=row.line_id, percent=row.percent))
        assert studio.ask(OneTask(ids[3])).minutes == 45
        assert studio.ask(BetterMinutes()) == (), "what was logged is near enough now"
        studio.do(Undo())
        assert studio.ask(OneTask(ids[3])).minutes == 30


def test_minutes_near_enough_are_left_alone(runs: tuple[Studio, list[int]]) -> None:
    studio, ids = runs
    with studio:
        for number in ids[:3]:
            log(studio, number, 33)
        assert studio.ask(BetterMinutes()) == ()


def test_the_cutting_for_the_three_box_lanterns_is_proposed_in_one_go(tmp_path: Path) -> None:
    """Situation 7 of the demo: C08, C09 and C12 make P5, 26 kits.

    Cut all pieces takes 15 min for each of four materials to cut and 0.4 min a piece. Apart that is 128 + 94 + 105 =
    327 min; in one go the 60 min of setting up are needed once instead of three times: 327 - 120 = 207 min. What is
    accepted makes no further class late. It is asked once C05, whose paper comes late, is called off.
    """
    with Studio(str(demo_copy(tmp_path))) as studio:
        studio.do(Decide(class_date_id=5, choice="call off"))
        late = {task.class_date_id for task in studio.ask(PrepTasks()) if task.standing == "late"}
        rows = [row for row in studio.ask(BatchProposals()) if row.class_date_ids == (8, 9, 12)]
        cutting = next(row for row in rows if row.title == "Cut all pieces")
        apart = sum(studio.ask(OneTask(number)).left for number in cutting.task_ids)
        assert (apart, cutting.minutes + cutting.saved) == (327, 327)
        assert cutting.minutes == 207
        studio.do(DoTogether(task_ids=cutting.task_ids))
        places = {studio.ask(OneTask(number)).stretches for number in cutting.task_ids}
        assert len(places) == 1
        assert sum(stretch.minutes for stretch in places.pop()) == 207
        assert {task.class_date_id for task in studio.ask(PrepTasks()) if task.standing == "late"} <= late


def test_every_logged_step_is_listed_with_its_runs_and_says_why_nothing_is_proposed(
    runs: tuple[Studio, list[int]],
) -> None:
    studio, ids = runs
    with studio:
        log(studio, ids[0], 33)
        (step,) = studio.ask(LoggedSteps())
        assert (step.title, step.counted, step.percent, step.minutes) == ("Cut all pieces", 1, None, None)
        assert "logged for one run" in step.said
        log(studio, ids[1], 30)
        (step,) = studio.ask(LoggedSteps())
        assert [(run.task_id, run.planned, run.logged) for run in step.runs] == [(ids[0], 30, 33), (ids[1], 30, 30)]
        assert (step.percent, step.minutes) == (105, None)
        assert "near enough" in step.said


def test_only_the_last_five_runs_count(tmp_path: Path) -> None:
    with a_studio(tmp_path / "a.kitwright") as studio:
        what = project(studio, materials=2)
        for n in range(8):
            class_date(studio, day=f"2027-03-{13 + n}", project_id=what)
        ids = sorted(task.id for task in studio.ask(PrepTasks()) if task.title == "Cut all pieces")[1:]
        for number in ids[:2]:
            log(studio, number, 300)
        for number in ids[2:]:
            log(studio, number, 60)
        (step,) = studio.ask(LoggedSteps())
        assert (len(step.runs), step.counted, step.percent) == (7, 5, 200)


def test_an_accepted_batch_is_listed_with_what_it_saves_until_it_is_parted(runs: tuple[Studio, list[int]]) -> None:
    """Four times 30 min of setting up for two materials: in one go 30 min, 90 min saved."""
    studio, ids = runs
    with studio:
        assert studio.ask(AcceptedBatches()) == ()
        studio.do(DoTogether(task_ids=tuple(ids)))
        (batch,) = studio.ask(AcceptedBatches())
        assert (batch.task_ids, batch.minutes, batch.saved) == (tuple(ids), 30, 90)
        assert batch.starts == studio.ask(OneTask(ids[0])).stretches[0].starts
        studio.do(PartTasks(task_id=ids[2]))
        assert studio.ask(AcceptedBatches()) == ()


def test_a_question_that_nobody_waits_for_any_more_is_given_up(runs: tuple[Studio, list[int]]) -> None:
    studio, _ = runs
    with studio:
        assert studio.ask(BatchProposals())
        assert studio.ask(BatchProposals(is_wanted=lambda: False)) == ()

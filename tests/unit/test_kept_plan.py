"""The kept plan: stored once a day, no action of hers, and what the next plan is compared with (decisions 22)."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.planning import KeepPlan, LayAfresh, PinTask
from scheduling.commands.prep import AddTask
from scheduling.commands.settings import CloseDays
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.history import History
from scheduling.queries.plan import OneTask
from scheduling.queries.plan_page import PlanToKeep, ThePlan
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, class_date, local


def keep(studio: Studio, *, first: bool = False) -> None:
    form = studio.ask(PlanToKeep(first_of_day=first))
    if form is not None:
        studio.do(KeepPlan(form=form, only_first=first))


def own(studio: Studio) -> int:
    """An hour of work, to be done by Wed 10 Feb."""
    where = class_date(studio)
    day = dt.date(2027, 2, 10)
    return studio.do(AddTask(class_date_id=where, title="Sharpen knives", minutes=60, due_day=day)).task_id


def days_of(studio: Studio, task: int) -> list[dt.date]:
    return [stretch.day for stretch in studio.ask(OneTask(task)).stretches]


def test_keeping_is_no_action_and_is_not_in_the_way_of_undo() -> None:
    with a_studio() as studio:
        task = own(studio)
        before, actions = studio.revision, len(studio.ask(History()))
        keep(studio)
        assert (studio.revision, len(studio.ask(History()))) == (before, actions)
        studio.do(Undo())
        assert studio.ask(ThePlan()).moved == ()
        assert studio.revision == before + 1, f"{task} was taken back, past the kept plan"


def test_a_question_never_keeps() -> None:
    with a_studio() as studio:
        own(studio)
        studio.ask(ThePlan())
        studio.ask(PlanToKeep())
        assert studio.ask(ThePlan()).kept_on is None


def test_the_first_plan_of_a_day_is_kept_and_the_second_is_not() -> None:
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        own(studio)
        keep(studio, first=True)
        assert studio.ask(ThePlan()).kept_on == dt.date(2027, 2, 1)
        assert studio.ask(PlanToKeep(first_of_day=True)) is None
        clock.set_forward(NOW + dt.timedelta(days=1))
        assert studio.ask(PlanToKeep(first_of_day=True)) is not None
        keep(studio, first=True)
        assert studio.ask(ThePlan()).kept_on == dt.date(2027, 2, 2)


def test_what_moved_is_said_with_its_cause_and_still_known_after_the_plan_is_kept_again() -> None:
    """The day on which the hour lies is blocked: it has no room, and the work lies on another one."""
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        task = own(studio)
        day = days_of(studio, task)[0]
        keep(studio)
        clock.set_forward(NOW + dt.timedelta(days=1))
        studio.do(CloseDays(first=day))
        moved = [one for one in studio.ask(ThePlan()).moved if one.task_id == task]
        assert [(one.task_id, one.before) for one in moved] == [(task, (day,))]
        assert moved[0].now == tuple(days_of(studio, task)) != moved[0].before
        keep(studio, first=True)
        again = [one for one in studio.ask(ThePlan()).moved if one.task_id == task]
        assert [(one.task_id, one.before, one.because) for one in again] == [
            (task, moved[0].before, moved[0].because)
        ], "this morning's moves are shown all day"


def test_the_plan_stays_where_the_kept_one_had_it_when_other_work_comes(tmp_path: Path) -> None:
    with a_studio(tmp_path / "a.kitwright") as studio:
        task = own(studio)
        before = days_of(studio, task)
        keep(studio)
        other = own(studio)
        studio.do(PinTask(task_id=other, starts=dt.datetime(2027, 2, 4, 9), minutes=60))  # noqa: DTZ001  wall time
        assert days_of(studio, task) == before
        with Studio(studio.path, clock=FixedClock(NOW)) as second:
            assert days_of(second, task) == before, "another window has the same plan"


def test_what_is_no_form_of_a_plan_is_refused() -> None:
    with pytest.raises(InvalidError):
        KeepPlan(form='{"at": 1}')


def test_laid_afresh_work_goes_back_to_its_aim_and_pins_stay() -> None:
    """The day of the hour is closed and the plan kept; opened again, the kept place stays until all is laid afresh."""
    with a_studio() as studio:
        task = own(studio)
        other = studio.do(AddTask(class_date_id=1, title="Oil the press", minutes=30, due_day=dt.date(2027, 2, 10)))
        studio.do(PinTask(task_id=other.task_id, starts=local("2027-02-03", "19:00")))
        aim = days_of(studio, task)
        with pytest.raises(ConflictError, match="laid afresh already"):
            studio.do(LayAfresh())
        closed = studio.do(CloseDays(first=aim[0]))
        moved = days_of(studio, task)
        keep(studio)
        studio.do(Undo(history_id=closed.history_id))
        assert days_of(studio, task) == moved != aim
        laid = studio.do(LayAfresh())
        assert days_of(studio, task) == aim
        assert days_of(studio, other.task_id) == [dt.date(2027, 2, 3)]
        assert laid.history_id == 0, "said beforehand not to be undone"

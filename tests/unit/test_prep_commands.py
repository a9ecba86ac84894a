"""Prep tasks as she works on them: ticked, dropped, timed, changed, added."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.classes import ChangeClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.prep import AddTask, ChangeTask, DropTask, LogMinutes, TickTask
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.queries.plan import OneTask, PlannedTask, PrepTasks, WhyTask
from scheduling.queries.week import Week
from scheduling.studio import Studio
from tests.support.builders import a_studio, book, class_date, dump

DAY = dt.date(2027, 2, 10)


def own(studio: Studio, class_id: int | None = None, minutes: int = 60, day: dt.date = DAY) -> int:
    """A task of her own; on a class of its own where none is named."""
    where = class_date(studio) if class_id is None else class_id
    return studio.do(AddTask(class_date_id=where, title="Sharpen knives", minutes=minutes, due_day=day)).task_id


def task(studio: Studio, number: int) -> PlannedTask:
    return studio.ask(OneTask(number))


def test_a_task_of_her_own_is_planned_before_its_day() -> None:
    with a_studio() as studio:
        found = task(studio, own(studio))
        assert (found.own, found.left, found.standing, found.aim_day) == (True, 60, "planned", DAY)
        assert sum(stretch.minutes for stretch in found.stretches) == 60
        assert found.stretches[-1].day <= DAY


def test_a_tick_closes_a_task_and_taking_it_away_opens_it() -> None:
    with a_studio() as studio:
        number = own(studio)
        studio.do(TickTask(task_id=number, minutes=45))
        done = task(studio, number)
        assert (done.state, done.standing, done.logged, done.left) == ("completed", "done", 45, 0)
        assert number not in [one.id for one in studio.ask(PrepTasks())]
        assert number in [one.id for one in studio.ask(PrepTasks(with_closed=True))]
        studio.do(TickTask(task_id=number, done=False))
        opened = task(studio, number)
        assert opened.is_open
        assert opened.completed_at is None


def test_a_task_of_a_class_whose_prep_is_all_closed_is_still_found() -> None:
    with a_studio() as studio:
        number = own(studio)
        for one in studio.ask(PrepTasks()):
            studio.do(TickTask(task_id=one.id))
        assert studio.ask(PrepTasks()) == ()
        assert task(studio, number).standing == "done"
        assert studio.ask(WhyTask(number))


def test_minutes_logged_are_taken_off_what_is_left_and_a_started_task_keeps_a_quarter() -> None:
    with a_studio() as studio:
        number = own(studio, minutes=60)
        studio.do(LogMinutes(task_id=number, minutes=40))
        assert (task(studio, number).left, task(studio, number).state) == (20, "in-process")
        said = studio.do(LogMinutes(task_id=number, minutes=40, day=dt.date(2027, 1, 31))).said
        assert said == "40 min logged on Sharpen knives, 1 h 20 in all."
        assert task(studio, number).left == 15
        assert studio.ask(Week()).days[0].planned_minutes >= 40, "what is worked today counts against today's limit"


def test_minutes_are_logged_once_they_are_worked() -> None:
    with a_studio() as studio:
        number = own(studio)
        with pytest.raises(InvalidError, match="once they are worked"):
            studio.do(LogMinutes(task_id=number, minutes=10, day=dt.date(2027, 2, 2)))
        with pytest.raises(InvalidError):
            LogMinutes(task_id=number, minutes=0)
        studio.do(DropTask(task_id=number))
        with pytest.raises(ConflictError, match="is dropped"):
            studio.do(LogMinutes(task_id=number, minutes=10))


def test_a_dropped_task_comes_back_only_when_taken_up() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-05-01")
        first = studio.ask(PrepTasks(class_id))[0]
        studio.do(DropTask(task_id=first.id))
        with pytest.raises(ConflictError, match="is dropped"):
            studio.do(TickTask(task_id=first.id))
        studio.do(ChangeClassDate(class_date_id=class_id, children=True))
        assert task(studio, first.id).standing == "dropped"
        studio.do(DropTask(task_id=first.id, back=True))
        assert task(studio, first.id).is_open
        studio.do(TickTask(task_id=first.id))
        with pytest.raises(ConflictError, match="is done already"):
            studio.do(DropTask(task_id=first.id))


def test_advice_whose_aim_has_passed_is_offered_and_owed_once_taken_up() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-02-20")
        offered = next(one for one in studio.ask(PrepTasks(class_id)) if one.standing == "offered")
        assert not offered.owed
        assert offered.stretches == ()
        studio.do(DropTask(task_id=offered.id, back=True))
        assert task(studio, offered.id).owed
        assert task(studio, offered.id).standing in ("planned", "behind", "late")


def test_a_task_takes_minutes_and_day_of_its_own_until_the_recipe_decides_again() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-05-01")
        one = studio.ask(PrepTasks(class_id))[0]
        studio.do(ChangeTask(task_id=one.id, minutes=333, due_day=dt.date(2027, 4, 2), title="Mine"))
        changed = task(studio, one.id)
        assert (changed.minutes, changed.aim_day, changed.title) == (333, dt.date(2027, 4, 2), "Mine")
        assert changed.sequence == one.sequence + 1
        studio.do(ChangeTask(task_id=one.id, as_recipe=True))
        again = task(studio, one.id)
        assert (again.minutes, again.aim_day) == (one.minutes, one.aim_day)
        with pytest.raises(ConflictError, match="of your own"):
            studio.do(ChangeTask(task_id=own(studio, class_id), as_recipe=True))


def test_minutes_follow_the_heads() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-05-01")
        before = {one.id: one.minutes for one in studio.ask(PrepTasks(class_id))}
        book(studio, class_id, heads=6)
        after = {one.id: one.minutes for one in studio.ask(PrepTasks(class_id))}
        assert sum(after.values()) > sum(before.values())


def test_what_is_not_there_is_named() -> None:
    with a_studio() as studio:
        for refused in (TickTask(task_id=9), DropTask(task_id=9), LogMinutes(task_id=9, minutes=1)):
            with pytest.raises(NotFoundError, match="no task T09"):
                studio.do(refused)
        with pytest.raises(NotFoundError, match="no task T09"):
            studio.ask(OneTask(9))
        class_id = class_date(studio)
        studio.do(Decide(class_date_id=class_id, choice="call off"))
        with pytest.raises(ConflictError, match="is cancelled"):
            own(studio, class_id)


def test_a_class_gets_each_task_once_however_often_it_is_changed() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-05-01")
        for n in range(3):
            studio.do(ChangeClassDate(class_date_id=class_id, children=n % 2 == 0))
        rows = [(row["recipe_line_id"], row["nth"]) for row in dump(studio)["task"]]
        assert len(rows) == len(set(rows))


def test_what_is_done_stays_done_when_the_class_changes_its_kind() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-05-01", mailed_kit=True)
        for one in studio.ask(PrepTasks(class_id)):
            studio.do(TickTask(task_id=one.id))
        studio.do(ChangeClassDate(class_date_id=class_id, mailed_kit=False))
        assert {row["state"] for row in dump(studio)["task"]} <= {"completed", "needs-action"}
        assert sum(row["state"] == "completed" for row in dump(studio)["task"]) > 10

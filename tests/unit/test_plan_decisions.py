"""Pins, single days, a helper and work in one go: kept, fed to the plan, taken back by one undo."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.planning import BringHelper, DoTogether, PartTasks, PinTask, SetDay, UnpinTask
from scheduling.commands.prep import AddTask, LogMinutes, TickTask
from scheduling.commands.settings import CloseDays
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.queries.plan import OneTask, PlannedTask, PrepTasks
from scheduling.queries.plan_page import ThePlan
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, dump, project

FEB5 = dt.date(2027, 2, 5)


def own(studio: Studio, minutes: int = 60, day: dt.date = dt.date(2027, 2, 10)) -> int:
    where = class_date(studio)
    return studio.do(AddTask(class_date_id=where, title="Sharpen knives", minutes=minutes, due_day=day)).task_id


def task(studio: Studio, number: int) -> PlannedTask:
    return studio.ask(OneTask(number))


def at(day: int, hour: int, minute: int = 0) -> dt.datetime:
    return dt.datetime(2027, 2, day, hour, minute)  # noqa: DTZ001  wall time


def starts(studio: Studio, number: int) -> list[str]:
    return [f"{stretch.starts:%d %H:%M}-{stretch.ends:%H:%M}" for stretch in task(studio, number).stretches]


def test_pinned_work_lies_where_she_put_it_and_undo_gives_it_back_to_the_plan() -> None:
    with a_studio() as studio:
        number = own(studio)
        before = starts(studio, number)
        studio.do(PinTask(task_id=number, starts=at(5, 14, 15)))
        assert starts(studio, number) == ["05 14:15-15:15"], "also outside her hours"
        studio.do(Undo())
        assert starts(studio, number) == before


def test_a_second_pin_takes_the_place_of_the_first_or_stands_beside_it() -> None:
    with a_studio() as studio:
        number = own(studio, minutes=90)
        studio.do(PinTask(task_id=number, starts=at(4, 9), minutes=45))
        studio.do(PinTask(task_id=number, starts=at(5, 9), minutes=45, instead=False))
        assert starts(studio, number) == ["04 09:00-09:45", "05 09:00-09:45"]
        studio.do(PinTask(task_id=number, starts=at(3, 9), minutes=90))
        assert starts(studio, number) == ["03 09:00-10:30"]
        studio.do(UnpinTask(task_id=number))
        assert starts(studio, number) != ["03 09:00-10:30"]
        with pytest.raises(NotFoundError):
            studio.do(UnpinTask(task_id=number))


def test_a_pin_that_cannot_stay_is_said_and_the_work_is_laid_elsewhere() -> None:
    with a_studio() as studio:
        number = own(studio)
        studio.do(PinTask(task_id=number, starts=at(5, 9)))
        studio.do(CloseDays(first=FEB5))
        assert task(studio, number).stretches[0].day != FEB5
        assert studio.ask(ThePlan()).broken == (
            f"T{number} Sharpen knives, C01 cannot stay pinned to Fri 5 Feb, 09:00: the day is blocked.",
        )


def test_a_pin_in_the_past_or_on_closed_work_is_refused() -> None:
    with a_studio() as studio:
        number = own(studio)
        with pytest.raises(InvalidError):
            studio.do(PinTask(task_id=number, starts=at(1, 7)))
        studio.do(TickTask(task_id=number))
        with pytest.raises(ConflictError):
            studio.do(PinTask(task_id=number, starts=at(5, 9)))


def test_a_pin_keeps_its_wall_time_over_the_change_of_the_clocks() -> None:
    """Clocks jump on Sun 14 Mar: 09:00 the day after is 13:00 UTC, not 14:00."""
    with a_studio() as studio:
        where = class_date(studio, day="2027-03-27")
        number = studio.do(
            AddTask(class_date_id=where, title="Iron cloth", minutes=30, due_day=dt.date(2027, 3, 20))
        ).task_id
        studio.do(PinTask(task_id=number, starts=dt.datetime(2027, 3, 15, 9)))  # noqa: DTZ001  wall time
        assert task(studio, number).stretches[0].starts.astimezone(dt.UTC).hour == 13
        with pytest.raises(InvalidError):
            studio.do(PinTask(task_id=number, starts=dt.datetime(2027, 3, 14, 2, 30)))  # noqa: DTZ001  wall time


def test_one_day_may_have_another_limit_and_other_hours_than_the_week() -> None:
    """Four hours due on Fri 5 Feb: 3 h is that day's limit, so an hour lies before it; with 240 it all lies there."""
    with a_studio() as studio:
        number = own(studio, minutes=240, day=FEB5)
        assert {stretch.day.day for stretch in task(studio, number).stretches} == {4, 5}
        studio.do(SetDay(day=FEB5, limit_minutes=240))
        assert {stretch.day.day for stretch in task(studio, number).stretches} == {5}
        studio.do(SetDay(day=FEB5, hours="13-14"))
        assert "05 13:00-14:00" in starts(studio, number)
        studio.do(SetDay(day=FEB5, as_week=True))
        assert {stretch.day.day for stretch in task(studio, number).stretches} == {4, 5}


def test_a_day_needs_something_other_and_lies_ahead() -> None:
    with a_studio() as studio:
        for wrong in ({"day": FEB5}, {"day": dt.date(2027, 1, 31), "limit_minutes": 10}):
            with pytest.raises(InvalidError):
                studio.do(SetDay(**wrong))
        with pytest.raises(NotFoundError):
            studio.do(SetDay(day=FEB5, as_week=True))


def test_a_helper_takes_work_that_does_not_fit_her_own_day() -> None:
    """Today's limit is 3 h; twice that due today is too much alone, and fits with a helper for 3 h."""
    with a_studio() as studio:
        today = dt.date(2027, 2, 1)
        first = own(studio, minutes=180, day=today)
        second = own(studio, minutes=180, day=today)
        for one in studio.ask(PrepTasks()):
            if one.id not in (first, second):
                studio.do(TickTask(task_id=one.id))
        assert any(task(studio, n).standing == "behind" for n in (first, second))
        studio.do(BringHelper(day=today, minutes=180))
        assert {task(studio, n).standing for n in (first, second)} == {"planned"}
        studio.do(BringHelper(day=today, minutes=0))
        assert any(task(studio, n).standing == "behind" for n in (first, second))


def batchable(studio: Studio) -> list[int]:
    """The step "Cut all pieces" of two classes of one project."""
    what = project(studio, pieces=3, materials=2)
    classes = [class_date(studio, day=day, project_id=what) for day in ("2027-03-13", "2027-03-15")]
    return [t.id for t in studio.ask(PrepTasks()) if t.title == "Cut all pieces" and t.class_date_id in classes]


def test_work_in_one_go_shares_its_fixed_minutes_and_can_be_parted() -> None:
    with a_studio() as studio:
        ids = batchable(studio)
        assert len(ids) == 2
        apart = sum(stretch.minutes for n in ids for stretch in task(studio, n).stretches)
        before = dump(studio, without=frozenset({"modified_at"}))
        studio.do(DoTogether(task_ids=tuple(ids)))
        together = [starts(studio, n) for n in ids]
        assert together[0] == together[1]
        assert sum(stretch.minutes for stretch in task(studio, ids[0]).stretches) < apart
        studio.do(PartTasks(task_id=ids[1]))
        after = dump(studio, without=frozenset({"modified_at"}))
        assert {k: v for k, v in after.items() if k != "history" and k != "sqlite_sequence"} == {
            k: v for k, v in before.items() if k != "history" and k != "sqlite_sequence"
        }


def test_one_of_a_batch_done_leaves_the_other_as_it_was() -> None:
    with a_studio() as studio:
        ids = batchable(studio)
        alone = task(studio, ids[1]).minutes
        studio.do(DoTogether(task_ids=tuple(ids)))
        studio.do(LogMinutes(task_id=ids[0], minutes=10))
        studio.do(TickTask(task_id=ids[0]))
        assert sum(stretch.minutes for stretch in task(studio, ids[1]).stretches) == alone


def test_only_the_same_open_step_once_is_done_in_one_go() -> None:
    with a_studio() as studio:
        ids = batchable(studio)
        studio.do(DoTogether(task_ids=tuple(ids)))
        for wrong in (tuple(ids), (own(studio), own(studio))):
            with pytest.raises(ConflictError):
                studio.do(DoTogether(task_ids=wrong))

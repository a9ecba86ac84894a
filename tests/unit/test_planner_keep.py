"""A new plan stays close to the kept one, and says what moved and why."""

from __future__ import annotations

from dataclasses import replace

from scheduling.planner.plan import MoveCause
from scheduling.planner.problem import Busy, Gate, Pin, Progress
from tests.support.planning import ME, at, day, places, planned, problem, task
from tests.support.studios import NOW

CUT, BAG = task("cut", 60, day(2, 18)), task("bag", 150, day(2, 18))
ASKED = problem(CUT, BAG)


def test_the_same_problem_keeps_every_stretch() -> None:
    first = planned(ASKED)
    again = planned(ASKED, previous=first.to_keep())
    assert again.stretches == first.stretches
    assert again.moves == ()


def test_a_kept_task_stays_though_a_later_place_has_come_free() -> None:
    """With bag gone, cut could lie on its aim's day; it was laid there or the day before and stays."""
    first = planned(ASKED)
    alone = planned(problem(CUT), previous=first.to_keep())
    assert places(alone, "cut") == places(first, "cut")


def test_more_minutes_move_that_task_alone() -> None:
    first = planned(ASKED)
    longer = planned(problem(replace(CUT, minutes=180), BAG), previous=first.to_keep())
    assert [move.task for move in longer.moves] == ["cut"]
    assert longer.moves[0].cause is MoveCause.MINUTES
    assert places(longer, "bag") == places(first, "bag")


def test_other_dates_move_a_task() -> None:
    first = planned(problem(CUT))
    moved = planned(problem(replace(CUT, aim_before=at(2, 11, 0))), previous=first.to_keep())
    assert [(move.cause, move.days_before, move.days_now) for move in moved.moves] == [
        (MoveCause.DATES, (day(2, 18),), (day(2, 10),))
    ]


def test_what_was_not_done_yesterday_has_moved() -> None:
    first = planned(problem(task("cut", 60, day(2, 1))))
    today = planned(problem(task("cut", 60, day(2, 1))), at(2, 2, 8), first.to_keep())
    assert [move.cause for move in today.moves] == [MoveCause.NOT_DONE]
    assert places(today, "cut") == ["Tue 2 Feb 09:00-10:00"]


def test_what_was_not_done_this_morning_is_kept_for_later_today() -> None:
    """Planned for today though its aim is next week; at 11:30 the rest of today still has room for it."""
    first = planned(problem(task("cut", 60, day(2, 1))))
    asked = problem(task("cut", 60, day(2, 1)))
    later = planned(asked, at(2, 1, 11, 30), first.to_keep())
    assert places(later, "cut") == ["Mon 1 Feb 11:30-12:00", "Mon 1 Feb 19:00-19:30"]
    assert later.moves == ()


def test_a_day_that_is_taken_is_the_cause() -> None:
    first = planned(problem(CUT))
    busy = replace(ME, busy=(Busy(at(2, 18, 8), at(2, 18, 22)),))
    moved = planned(problem(CUT, hands=(busy,)), previous=first.to_keep())
    assert [move.cause for move in moved.moves] == [MoveCause.DAY]


def test_a_late_delivery_is_the_cause() -> None:
    first = planned(problem(CUT))
    waits = replace(CUT, gates=(Gate(at(2, 20, 0)),))
    moved = planned(problem(waits), previous=first.to_keep())
    assert [move.cause for move in moved.moves] == [MoveCause.WAITS]


def test_a_pin_is_the_cause() -> None:
    first = planned(problem(CUT))
    pinned = replace(CUT, pins=(Pin(at(2, 16, 9), at(2, 16, 10), "me"),))
    moved = planned(problem(pinned), previous=first.to_keep())
    assert [move.cause for move in moved.moves] == [MoveCause.PIN]


def test_urgent_new_work_may_move_what_was_kept_where_else_it_would_be_late() -> None:
    """Today is full of work with time to spare; a new task that is due today takes the room that it needs of it."""
    easy = task("easy", 180, day(2, 1), hard_before=at(2, 20, 0))
    first = planned(problem(easy))
    urgent = task("urgent", 120, day(2, 1), hard_before=at(2, 2, 0))
    both = planned(problem(easy, urgent), previous=first.to_keep())
    assert places(both, "urgent") == ["Mon 1 Feb 10:00-12:00"]
    assert places(both, "easy")[0] == "Mon 1 Feb 09:00-10:00"
    assert [move.task for move in both.moves] == ["easy"]


def test_done_and_new_tasks_have_not_moved() -> None:
    first = planned(ASKED)
    done = replace(CUT, progress=Progress.DONE, finished_at=NOW)
    after = planned(problem(done, BAG, task("new", 15, day(2, 24))), previous=first.to_keep())
    assert after.moves == ()

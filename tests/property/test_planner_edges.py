"""Random studios at the edges: clocks that change, classes that are over, work that no stretch holds, circles."""

from __future__ import annotations

import datetime as dt
import random
import re
from dataclasses import replace
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.errors import InvalidError
from scheduling.planner import plan
from scheduling.planner.backwards import latest_starts
from scheduling.planner.explain import Explainer
from scheduling.planner.plan import SubjectState, TaskState
from scheduling.planner.problem import NO_LIMIT, After, Problem, Progress
from tests.support.plan_check import faults
from tests.support.proof_check import faults_of
from tests.support.studios import NOW, Shape, studio

#: Zones with a day in 2027 on which clocks change: an hour, an hour at another date, half an hour.
CHANGES = {
    "America/New_York": dt.date(2027, 3, 14),
    "Europe/Berlin": dt.date(2027, 3, 28),
    "Australia/Lord_Howe": dt.date(2027, 4, 4),
}
SMALL = Shape(classes=4, tasks=8, load=0.9)


@given(st.integers(0, 10**6), st.sampled_from(sorted(CHANGES)), st.integers(-3 * 24 * 60, 12 * 60))
def test_a_day_worked_through_while_the_clocks_change(seed: int, zone: str, minutes: int) -> None:
    """All hours of the days about the change are worked, with no limit; now lies before it or on that very day."""
    day = CHANGES[zone]
    now = dt.datetime.combine(day, dt.time(12), ZoneInfo(zone)).astimezone(dt.UTC) + dt.timedelta(minutes=minutes)
    problem = _moved(studio(seed, replace(SMALL, zone=zone)), now - NOW)
    around = {day + dt.timedelta(days=n): ((dt.time(), dt.time()),) for n in (-1, 0, 1)}
    hands = tuple(
        replace(hand, hours_on=around, limits=NO_LIMIT, limit_on={}, busy=(), blocked=frozenset())
        for hand in problem.hands
    )
    problem = replace(problem, hands=hands)
    assert faults(problem, now, plan(problem, now)) == []


def _moved(problem: Problem, by: dt.timedelta) -> Problem:
    """All dates of the studio so much later."""

    def later(moment: dt.datetime | None) -> dt.datetime | None:
        return None if moment is None else moment + by

    return replace(
        problem,
        subjects=tuple(replace(each, starts_at=each.starts_at + by) for each in problem.subjects),
        tasks=tuple(
            replace(
                task,
                aim_before=later(task.aim_before),
                hard_before=later(task.hard_before),
                finished_at=later(task.finished_at),
                gates=tuple(replace(gate, at=gate.at + by) for gate in task.gates),
            )
            for task in problem.tasks
        ),
    )


@given(st.integers(0, 10**6), st.integers(0, 3))
def test_a_class_that_was_yesterday_is_late_and_takes_nothing_from_the_others_rules(seed: int, which: int) -> None:
    problem = studio(seed, SMALL)
    over = problem.subjects[which]
    yesterday = NOW - dt.timedelta(days=1)
    problem = replace(
        problem,
        subjects=tuple(replace(each, starts_at=yesterday) if each is over else each for each in problem.subjects),
        tasks=tuple(
            replace(task, hard_before=yesterday, aim_before=yesterday) if task.subject == over.id else task
            for task in problem.tasks
        ),
    )
    found = plan(problem, NOW)
    assert faults(problem, NOW, found) == []
    still_open = [task for task in problem.tasks if task.subject == over.id and task.progress is not Progress.DONE]
    assert all(found.tasks[task.id].state in (TaskState.LATE, TaskState.NO_PLAN) for task in still_open)
    assert (found.subjects[over.id].state is SubjectState.LATE) == bool(still_open)


@given(st.integers(0, 10**6), st.integers(241, 3000), st.randoms(use_true_random=False))
def test_a_sitting_longer_than_any_stretch_has_no_place_and_a_split_one_has(
    seed: int, minutes: int, rng: random.Random
) -> None:
    """No stretch of the week is longer than four hours: in one sitting there is no place for it, nor for what waits."""
    problem = studio(seed, SMALL)
    chosen = rng.choice([task for task in problem.tasks if task.progress is not Progress.DONE])
    for one_sitting in (True, False):
        longer = replace(chosen, minutes=minutes, one_sitting=one_sitting, uses=(), rest=None)
        other = replace(problem, tasks=tuple(longer if task is chosen else task for task in problem.tasks))
        found = plan(other, NOW)
        assert faults(other, NOW, found) == []
        assert (found.tasks[chosen.id].state is TaskState.NO_PLAN) == one_sitting
        if one_sitting:
            waiting = {task.id for task in other.tasks if any(link.task == chosen.id for link in task.after)}
            assert all(found.tasks[id_].state in (TaskState.NO_PLAN, TaskState.DONE) for id_ in waiting)


@given(st.integers(0, 10**6), st.randoms(use_true_random=False))
def test_a_circle_is_refused_and_each_wait_that_is_named_is_there(seed: int, rng: random.Random) -> None:
    problem = studio(seed, SMALL)
    open_ones = [task for task in problem.tasks if task.progress is not Progress.DONE]
    ring = rng.sample(open_ones, min(rng.randint(2, 5), len(open_ones)))
    if len(ring) < 2:
        return
    next_of = {task.id: ring[number - 1].id for number, task in enumerate(ring)}
    tasks = tuple(
        replace(task, after=(*task.after, After(next_of[task.id]))) if task.id in next_of else task
        for task in problem.tasks
    )
    with pytest.raises(InvalidError, match="wait for each other in a circle") as refused:
        plan(replace(problem, tasks=tasks), NOW)
    named = re.findall(r"Task (\d+) \((\w+)\)", str(refused.value))
    assert named[0] == named[-1]
    by_name = {(str(task.order), task.subject): task for task in tasks}
    for one, other in pairwise(named):
        assert by_name[other].id in {link.task for link in by_name[one].after}, refused.value


@given(st.integers(0, 10**6), st.sampled_from((0.9, 1.1, 1.4)))
def test_what_is_said_to_be_impossible_is_proved_task_by_task(seed: int, load: float) -> None:
    problem = studio(seed, replace(SMALL, load=load, tools=False))
    explainer = Explainer(problem, NOW)
    for task in explainer.plan.tasks.values():
        proof = explainer.proof(task.id)
        if proof is not None:
            assert task.state in (TaskState.LATE, TaskState.NO_PLAN)
            assert faults_of(problem, NOW, proof) == []


@given(st.integers(0, 10**6))
def test_the_pass_back_is_never_later_than_the_window_and_each_link_leaves_time_for_the_next(seed: int) -> None:
    problem = studio(seed, replace(SMALL, tools=False))
    found = plan(problem, NOW)
    starts = latest_starts(problem, NOW)
    tasks = {task.id: task for task in problem.tasks}
    for id_, latest in starts.items():
        window = found.tasks[id_].latest_start
        assert window is not None
        assert latest.at <= window
        before, at = id_, latest.at
        for next_one, then in latest.then:
            assert any(link.task == before for link in tasks[next_one].after)
            assert then - at >= dt.timedelta(minutes=tasks[before].minutes)
            before, at = next_one, then

"""Plans of many kinds of studio pass the independent judge and do not depend on order or machine."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import replace
from typing import TypeVar

from hypothesis import given
from hypothesis import strategies as st

from scheduling.planner import plan
from scheduling.planner.plan import TaskState
from scheduling.planner.problem import Pin, Problem
from tests.support.plan_check import faults
from tests.support.studios import NOW, Shape, studio, with_leads

_T = TypeVar("_T")
_SHAPES = st.builds(
    Shape,
    classes=st.integers(1, 8),
    tasks=st.integers(1, 14),
    load=st.sampled_from((0.3, 0.6, 0.8, 0.95, 1.05, 1.5)),
    bursts=st.booleans(),
    helper=st.booleans(),
    tools=st.booleans(),
    zone=st.sampled_from(("America/New_York", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC")),
)
#: From well before the first class to after the last one.
_MOMENTS = st.integers(-40 * 24 * 60, 120 * 24 * 60).map(lambda minutes: NOW + dt.timedelta(minutes=minutes))


@given(st.integers(0, 10**6), _SHAPES, _MOMENTS)
def test_every_plan_keeps_all_rules(seed: int, shape: Shape, now: dt.datetime) -> None:
    problem = studio(seed, shape)
    assert faults(problem, now, plan(problem, now)) == []


@given(st.integers(0, 10**6), _SHAPES, _MOMENTS, st.randoms(use_true_random=False))
def test_goods_that_a_task_orders_come_on_their_suppliers_calendar(
    seed: int, shape: Shape, now: dt.datetime, rng: random.Random
) -> None:
    problem = with_leads(studio(seed, shape), rng)
    assert faults(problem, now, plan(problem, now)) == []


@given(st.integers(0, 10**6), _SHAPES, st.randoms(use_true_random=False))
def test_the_plan_does_not_depend_on_the_order_of_rows(seed: int, shape: Shape, rng: random.Random) -> None:
    problem = studio(seed, shape)
    mixed = replace(
        problem,
        tasks=_mixed(problem.tasks, rng),
        subjects=_mixed(problem.subjects, rng),
        hands=tuple(replace(hand, busy=_mixed(hand.busy, rng)) for hand in problem.hands),
        tools=_mixed(problem.tools, rng),
    )
    assert plan(mixed, NOW) == plan(problem, NOW)


def _mixed(rows: tuple[_T, ...], rng: random.Random) -> tuple[_T, ...]:
    return tuple(rng.sample(rows, len(rows)))


@given(st.integers(0, 10**6), _SHAPES, st.randoms(use_true_random=False))
def test_pins_stay_or_are_said_to_be_broken(seed: int, shape: Shape, rng: random.Random) -> None:
    problem = _with_pins(studio(seed, shape), rng)
    assert faults(problem, NOW, plan(problem, NOW)) == []


def _with_pins(problem: Problem, rng: random.Random) -> Problem:
    tasks = []
    for task in problem.tasks:
        if rng.random() < 0.3:
            start = NOW + dt.timedelta(minutes=rng.randrange(-1000, 60 * 24 * 40))
            length = dt.timedelta(minutes=rng.choice((20, max(task.minutes, 1), 300)))
            task = replace(task, pins=(Pin(start, start + length, rng.choice(task.hands)),))  # noqa: PLW2901 - the task with its pin
        tasks.append(task)
    return replace(problem, tasks=tuple(tasks))


@given(st.integers(0, 10**6), _SHAPES)
def test_a_hand_without_working_time_gets_no_work(seed: int, shape: Shape) -> None:
    problem = studio(seed, replace(shape, helper=False))
    idle = replace(problem, hands=tuple(replace(hand, hours=((),) * 7) for hand in problem.hands))
    found = plan(idle, NOW)
    assert faults(idle, NOW, found) == []
    assert not found.stretches
    assert {task.state for task in found.tasks.values()} <= {TaskState.DONE, TaskState.NO_PLAN}

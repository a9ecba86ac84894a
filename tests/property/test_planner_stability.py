"""A plan made from the kept one: the same where nothing changed, near it where little did."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Mapping
from dataclasses import replace
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from scheduling.planner import plan
from scheduling.planner.plan import KeptTask
from scheduling.planner.problem import Problem, Progress
from tests.support.plan_check import faults
from tests.support.studios import NOW, Shape, studio

_SHAPES = st.builds(
    Shape,
    classes=st.integers(1, 8),
    tasks=st.integers(1, 14),
    load=st.sampled_from((0.4, 0.7, 0.9, 1.1)),
    bursts=st.booleans(),
    helper=st.booleans(),
    zone=st.sampled_from(("America/New_York", "Europe/Berlin")),
)


@given(st.integers(0, 10**6), _SHAPES)
def test_nothing_moves_where_nothing_changed(seed: int, shape: Shape) -> None:
    problem = studio(seed, shape)
    first = plan(problem, NOW)
    again = plan(problem, NOW, first.to_keep())
    assert again.stretches == first.stretches
    assert again.moves == ()


@given(st.integers(0, 10**6), _SHAPES, st.sampled_from((0, 60, 1440)), st.randoms(use_true_random=False))
def test_a_small_change_gives_a_good_plan_that_lists_what_moved(
    seed: int, shape: Shape, later: int, rng: random.Random
) -> None:
    problem = studio(seed, shape)
    first = plan(problem, NOW)
    now = NOW + dt.timedelta(minutes=later)
    other = _one_longer(_done_until(problem, first.to_keep().tasks, now), rng)
    second = plan(other, now, first.to_keep())
    assert faults(other, now, second) == []
    zone = ZoneInfo(shape.zone)
    moved = {move.task for move in second.moves}
    for id_, kept in first.to_keep().tasks.items():
        before = {stretch.start.astimezone(zone).date() for stretch in kept.stretches}
        after = {stretch.start.astimezone(zone).date() for stretch in second.tasks[id_].stretches}
        ahead = {day for day in before if day >= now.astimezone(zone).date()}
        if after:
            assert (id_ in moved) == (after != ahead)


def _done_until(problem: Problem, kept: Mapping[str, KeptTask], now: dt.datetime) -> Problem:
    finishes = {id_: task.stretches[-1].until for id_, task in kept.items()}
    return replace(
        problem,
        tasks=tuple(
            replace(task, progress=Progress.DONE, finished_at=finishes[task.id])
            if task.id in finishes and finishes[task.id] <= now
            else task
            for task in problem.tasks
        ),
    )


def _one_longer(problem: Problem, rng: random.Random) -> Problem:
    chosen = rng.choice(problem.tasks).id
    return replace(
        problem,
        tasks=tuple(
            replace(task, minutes=task.minutes + 30) if task.id == chosen and task.progress is Progress.OPEN else task
            for task in problem.tasks
        ),
    )

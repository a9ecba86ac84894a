"""A plan made from the kept one: the same where nothing changed, near it where little did."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable, Mapping
from dataclasses import replace
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from scheduling.planner import plan
from scheduling.planner.plan import KeptTask
from scheduling.planner.problem import Problem, Progress
from tests.support.plan_check import faults, put_back
from tests.support.studios import NOW, Shape, studio

_Change = Callable[[Problem, random.Random], tuple[Problem, set[str]]]
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


def _a_head_more(problem: Problem, rng: random.Random) -> tuple[Problem, set[str]]:
    """The tasks of the second half of one class's recipe take a few minutes more each."""
    subject = rng.choice(problem.subjects).id
    grown = {
        task.id: replace(task, minutes=task.minutes + rng.randint(1, 6))
        for task in problem.tasks
        if task.subject == subject and task.progress is Progress.OPEN and task.share is not None
    }
    return replace(problem, tasks=tuple(grown.get(task.id, task) for task in problem.tasks)), set(grown)


def _a_quarter_more(problem: Problem, rng: random.Random) -> tuple[Problem, set[str]]:
    chosen = rng.choice(problem.tasks)
    tasks = tuple(replace(task, minutes=task.minutes + 15) if task is chosen else task for task in problem.tasks)
    return replace(problem, tasks=tasks), {chosen.id}


def _a_day_blocked(problem: Problem, rng: random.Random) -> tuple[Problem, set[str]]:
    day = NOW.date() + dt.timedelta(days=rng.randrange(1, 30))
    hands = tuple(replace(hand, blocked=hand.blocked | {day}) for hand in problem.hands)
    return replace(problem, hands=hands), set()


def _a_class_called_off(problem: Problem, rng: random.Random) -> tuple[Problem, set[str]]:
    gone = rng.choice(problem.subjects).id
    return replace(
        problem,
        tasks=tuple(task for task in problem.tasks if task.subject != gone),
        subjects=tuple(subject for subject in problem.subjects if subject.id != gone),
    ), set()


@given(
    st.integers(0, 10**6),
    _SHAPES,
    st.sampled_from((_a_head_more, _a_quarter_more, _a_day_blocked, _a_class_called_off)),
    st.randoms(use_true_random=False),
)
def test_after_a_small_change_nothing_moves_that_could_have_stayed(
    seed: int, shape: Shape, change: _Change, rng: random.Random
) -> None:
    """Each task that moved would collide, break a rule or be late where it was; nothing is late for the sake of it."""
    problem = studio(seed, shape)
    first = plan(problem, NOW).to_keep()
    other, changed = change(problem, rng)
    second = plan(other, NOW, first)
    assert faults(other, NOW, second) == []
    for move in second.moves:
        if move.task not in changed and move.days_now:
            assert put_back(other, NOW, second, move.task, first.tasks[move.task].stretches), move
    fresh = plan(other, NOW)
    assert fresh.is_late or not second.is_late
    mixed = replace(other, tasks=tuple(rng.sample(other.tasks, len(other.tasks))))
    assert plan(mixed, NOW, first) == second


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

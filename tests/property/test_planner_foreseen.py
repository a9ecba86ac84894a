"""What is refused before a plan is laid could not have come out of one: no plan of random studios contradicts it."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.planner.build import Trial
from scheduling.planner.plan import TaskState
from scheduling.planner.problem import Pin, Problem
from tests.support.planning import planned, problem, task
from tests.support.studios import NOW, Shape, studio, with_leads
from tests.unit.test_planner_mend import FRIDAY, OVERFULL

_SHAPES = st.builds(
    Shape,
    classes=st.integers(1, 5),
    tasks=st.integers(1, 9),
    load=st.sampled_from((0.8, 1.05, 1.4)),
    bursts=st.booleans(),
    helper=st.booleans(),
    zone=st.sampled_from(("America/New_York", "Europe/Berlin", "Australia/Lord_Howe")),
)
_MOMENTS = st.integers(-5 * 1440, 60 * 1440).map(lambda minutes: NOW + dt.timedelta(minutes=minutes))


def _pinned(asked: Problem, rng: random.Random) -> Problem:
    """Some stretches of the plan pinned where they lie, some a few hours later, in her hours or not."""
    pins: dict[str, list[Pin]] = {}
    made = Trial(asked, _first(asked)).plan()
    for stretch in rng.sample(made.stretches, min(len(made.stretches), 3)):
        shift = dt.timedelta(hours=rng.choice((0, 0, 1, 5)))
        pins.setdefault(stretch.tasks[0], []).append(Pin(stretch.start + shift, stretch.until + shift, stretch.hand))
    return replace(asked, tasks=tuple(replace(each, pins=tuple(pins.get(each.id, ()))) for each in asked.tasks))


def _first(asked: Problem) -> dt.datetime:
    return min(subject.starts_at for subject in asked.subjects) - dt.timedelta(days=20)


@given(st.integers(0, 10**6), _SHAPES, _MOMENTS, st.randoms(use_true_random=False), st.booleans())
def test_no_plan_keeps_what_is_said_not_to_be_kept(
    seed: int, shape: Shape, now: dt.datetime, rng: random.Random, pins: bool
) -> None:
    """A plan's own states can be kept, by that plan; so can those of a plan that follows a kept one."""
    asked = with_leads(studio(seed, shape), rng)
    asked = _pinned(asked, rng) if pins else asked
    trial = Trial(asked, now, 12)
    fresh = trial.plan()
    assert not trial.cannot_keep({id_: place.state for id_, place in fresh.tasks.items()})
    later = Trial(asked, now + dt.timedelta(days=1), 12)
    near = later.plan(fresh.to_keep())
    assert not later.cannot_keep({id_: place.state for id_, place in near.tasks.items()})
    if later.cannot_keep({each.id: TaskState.BEHIND for each in asked.tasks}):
        assert near.is_late


@given(st.integers(0, 10**6), _SHAPES, _MOMENTS)
def test_a_trial_gives_the_plan_that_is_made_alone(seed: int, shape: Shape, now: dt.datetime) -> None:
    """What was laid for one plan and is used for the next changes neither."""
    asked = studio(seed, shape)
    trial = Trial(asked, now, 12)
    kept = Trial(asked, now - dt.timedelta(days=1), 12).plan().to_keep()
    assert [trial.plan(kept), trial.plan(), trial.plan(kept)] == [
        Trial(asked, now, 12).plan(each) for each in (kept, None, kept)
    ]


def test_more_minutes_than_there_are_cannot_be_kept() -> None:
    """300 minutes of cutting and bagging are wanted by Saturday ten, 240 are there: one of both fits, not both."""
    asked = replace(OVERFULL, tasks=(task("cut", 200), task("bag", 100)))
    trial = Trial(asked, FRIDAY)
    assert trial.cannot_keep({"cut": TaskState.BEHIND, "bag": TaskState.BEHIND})
    assert not trial.cannot_keep({"cut": TaskState.BEHIND})
    assert not trial.cannot_keep({"bag": TaskState.PLANNED, "cut": TaskState.LATE})
    assert Trial(OVERFULL, FRIDAY).cannot_keep({"bag": TaskState.PLANNED})  # it waits for the cutting


def test_what_two_hands_can_do_is_measured_by_the_time_of_both() -> None:
    """A helper with her own 240 minutes: 480 for 300, and too few for 500."""
    helper = replace(OVERFULL.hands[0], id="helper", name="Helper")
    both = ("me", "helper")
    hands = (OVERFULL.hands[0], helper)
    wanted = {"cut": TaskState.BEHIND, "bag": TaskState.BEHIND, "fold": TaskState.BEHIND}
    few = problem(task("cut", 200, hands=both), task("bag", 100, hands=both), hands=hands)
    many = problem(*(task(id_, 167, hands=both) for id_ in wanted), hands=hands)
    assert not Trial(few, FRIDAY).cannot_keep(wanted)
    assert Trial(many, FRIDAY).cannot_keep(wanted)


@pytest.mark.parametrize(("state", "is_refused"), [(TaskState.PLANNED, True), (TaskState.BEHIND, False)])
def test_an_aim_that_is_past_cannot_be_kept_and_the_hard_date_can(state: TaskState, *, is_refused: bool) -> None:
    asked = problem(task("cut", 60, FRIDAY - dt.timedelta(days=1)))
    assert planned(asked, FRIDAY).tasks["cut"].state is TaskState.BEHIND
    assert Trial(asked, FRIDAY).cannot_keep({"cut": state}) is is_refused

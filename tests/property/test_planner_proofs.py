"""Windows and proofs of random studios against a plain count of days, and what a proof means for every plan."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from scheduling.planner.explain import Explainer
from scheduling.planner.plan import TaskState
from scheduling.planner.problem import Problem
from tests.support.proof_check import Windows, faults_of
from tests.support.studios import NOW, Shape, studio, with_leads

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


def _without_tool_hours(problem: Problem) -> Problem:
    return replace(problem, tools=tuple(replace(tool, hours=None) for tool in problem.tools))


@given(st.integers(0, 10**6), _SHAPES, _MOMENTS, st.randoms(use_true_random=False))
def test_windows_are_those_of_counted_days(seed: int, shape: Shape, now: dt.datetime, rng: random.Random) -> None:
    problem = with_leads(_without_tool_hours(studio(seed, shape)), rng)
    found = Explainer(problem, now).plan
    windows = Windows(problem, now)
    for task in found.tasks.values():
        if task.state not in (TaskState.DONE, TaskState.NO_PLAN):
            assert task.earliest_finish == windows.first(task.id)
            assert task.latest_finish == windows.latest(task.id)
            assert task.latest_start == windows.start(task.id)


@given(st.integers(0, 10**6), _SHAPES, _MOMENTS, st.randoms(use_true_random=False))
def test_every_proof_holds_and_means_that_something_is_late(
    seed: int, shape: Shape, now: dt.datetime, rng: random.Random
) -> None:
    problem = with_leads(_without_tool_hours(studio(seed, shape)), rng)
    explainer = Explainer(problem, now)
    proofs = explainer.proofs()
    assert [fault for proof in proofs for fault in faults_of(problem, now, proof)] == []
    if proofs:
        assert explainer.plan.is_late


@given(st.integers(0, 10**6), _SHAPES, _MOMENTS)
def test_a_chain_ends_at_its_task_and_begins_at_what_nothing_precedes(
    seed: int, shape: Shape, now: dt.datetime
) -> None:
    explainer = Explainer(studio(seed, shape), now)
    for task in explainer.plan.tasks.values():
        if task.stretches:
            links = explainer.chain(task.id)
            assert links[-1].task == task.id
            assert all(one.start <= other.start for one, other in pairwise(links))

"""Batches as proposals, and minutes proposed from what was logged."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduling.errors import ConflictError
from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner import plan
from scheduling.planner.batching import proposals
from scheduling.planner.feedback import MinutesProposal, Run, better_minutes
from scheduling.planner.problem import After, BatchedTasks, Gate, Problem, Rest, Share, Tool
from tests.support.planning import CLASS, at, day, planned, problem, task
from tests.support.studios import NOW

SECOND = replace(CLASS, id="C2", starts_at=at(3, 6, 10))
THIRD = replace(CLASS, id="C3", starts_at=at(3, 20, 10))


def _cuts(**others: object) -> Problem:
    cuts = [
        task(f"cut-{subject.id}", 60, aim, subject=subject.id, hard_before=subject.starts_at, share=Share("cut P5", 15))
        for subject, aim in ((CLASS, day(2, 18)), (SECOND, day(2, 25)), (THIRD, day(3, 11)))
    ]
    return problem(*cuts, subjects=(CLASS, SECOND, THIRD), **others)


def test_the_same_step_for_three_classes_is_proposed_with_the_minutes_saved() -> None:
    """Three times 60 with 15 shared are 150 instead of 180."""
    (proposal,) = proposals(_cuts(), NOW)
    assert (proposal.tasks, proposal.minutes, proposal.saved) == (("cut-C1", "cut-C2", "cut-C3"), 150, 30)
    assert proposal.finish <= at(2, 19, 0)


def test_a_task_that_cannot_start_in_time_is_left_out() -> None:
    asked = _cuts()
    late = replace(asked.tasks[2], gates=(Gate(at(3, 8, 0)),))
    (proposal,) = proposals(replace(asked, tasks=(*asked.tasks[:2], late)), NOW)
    assert proposal.tasks == ("cut-C1", "cut-C2")


def test_no_batch_is_proposed_at_the_price_of_lateness() -> None:
    """All of the second's work before the first's aim tomorrow: 60 + 300 - 15 minutes are more than fit."""
    one = task("one", 300, day(2, 2), share=Share("cut", 15), hard_before=at(2, 3, 0))
    two = task("two", 180, day(2, 25), subject="C2", hard_before=SECOND.starts_at, share=Share("cut", 15))
    assert proposals(problem(one, two, subjects=(CLASS, SECOND)), NOW) == ()


def test_what_is_batched_already_is_not_proposed_again() -> None:
    asked = replace(_cuts(), batches=(BatchedTasks("b", ("cut-C1", "cut-C2", "cut-C3")),))
    assert proposals(asked, NOW) == ()
    assert {planned(asked).tasks[id_].batch for id_ in ("cut-C1", "cut-C2", "cut-C3")} == {"b"}


def test_a_batch_that_does_not_fit_its_rack_is_refused() -> None:
    rest = Rest("rack", Wait(12, WaitUnit.HOURS), 8)
    asked = problem(
        task("one", 30, rest=rest),
        task("two", 30, rest=rest),
        tools=(Tool("rack", "Rack", 12),),
        batches=(BatchedTasks("b", ("one", "two")),),
    )
    with pytest.raises(ConflictError, match="Rack"):
        plan(asked, NOW)


def test_a_batch_of_tasks_that_wait_for_each_other_is_one_piece_of_work() -> None:
    asked = problem(
        task("one", 30), task("two", 30, after=(After("one"),)), batches=(BatchedTasks("b", ("one", "two")),)
    )
    found = planned(asked)
    assert found.tasks["one"].stretches == found.tasks["two"].stretches


def test_the_median_of_the_last_runs_is_proposed_with_how_many() -> None:
    """Logged 90, 100 and 120 against 60: the median is 1.67 times the plan."""
    runs = [Run(60, 90), Run(60, 120), Run(60, 100)]
    assert better_minutes(runs, 30) == MinutesProposal(percent=167, runs=3, minutes=50)


@pytest.mark.parametrize("runs", [[], [Run(60, 120)], [Run(60, 62), Run(60, 58)], [Run(0, 10), Run(10, 0)]])
def test_few_or_near_runs_propose_nothing(runs: list[Run]) -> None:
    assert better_minutes(runs, 60) is None


def test_only_the_last_five_runs_count() -> None:
    runs = [Run(60, 600)] * 10 + [Run(60, 90)] * 5
    found = better_minutes(runs, 60)
    assert found is not None
    assert (found.runs, found.minutes) == (5, 90)

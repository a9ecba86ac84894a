"""Proofs, chains, mends and what-if of small late problems, worked out by hand."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from scheduling.errors import NotFoundError
from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner import plan
from scheduling.planner.changes import (
    EXTRA_HELPER,
    FasterDelivery,
    FewerHeads,
    GiveBack,
    HelperFor,
    MoreMinutes,
    MoveSubject,
    UseOffer,
    changed,
)
from scheduling.planner.explain import Binds, Explainer, Fact
from scheduling.planner.mend import mends, what_if
from scheduling.planner.plan import SubjectState, TaskState
from scheduling.planner.problem import After, Busy, Gate, GateKind, Offer, OfferKind, Problem
from scheduling.planner.proof import ChainProof, IntervalProof
from tests.support.planning import CLASS, ME, at, day, places, planned, problem, task
from tests.support.proof_check import faults_of
from tests.support.studios import NOW

#: The Friday morning before the class; Saturday gives 60 minutes before ten, so 240 are there.
FRIDAY = at(2, 26, 6)
OVERFULL = problem(
    task("cut", 200), task("bag", 100, after=(After("cut"),)), hands=(replace(ME, limit_on={day(2, 27): 60}),)
)


def _fits(asked: Problem, now: dt.datetime) -> bool:
    return plan(asked, now).subjects["C1"].state is not SubjectState.LATE


def test_too_many_minutes_are_proved_by_their_sum() -> None:
    """300 minutes between Friday 06:00 and Saturday 10:00, and 180 + 60 are there."""
    explainer = Explainer(OVERFULL, FRIDAY)
    (proof,) = explainer.proofs()
    assert isinstance(proof, IntervalProof)
    assert (proof.needed, proof.there, proof.missing) == (300, 240, 60)
    assert (proof.start, proof.until) == (FRIDAY, CLASS.starts_at)
    assert faults_of(OVERFULL, FRIDAY, proof) == []
    assert explainer.proof("bag") == proof


def test_a_delivery_that_is_too_slow_is_proved_by_its_chain() -> None:
    """Paper comes on the 26th, an hour of cutting, then three days at the print shop: after the class."""
    cut = task("cut", 60, gates=(Gate(at(2, 26, 0), GateKind.DELIVERY, "paper", "O1"),))
    bag = task("bag", 30, after=(After("cut", Wait(3, WaitUnit.WORKING_DAYS)),))
    asked = problem(cut, bag)
    explainer = Explainer(asked, NOW)
    proof = explainer.proof("bag")
    assert isinstance(proof, ChainProof)
    assert [step.task for step in proof.steps] == ["cut", "bag"]
    assert proof.steps[0].wait == Wait(3, WaitUnit.WORKING_DAYS)
    assert proof.begins == at(2, 26, 0)
    assert faults_of(asked, NOW, proof) == []
    links = explainer.chain("bag")
    assert [(link.task, link.binds, link.by) for link in links] == [
        ("cut", Binds.GATE, "O1"),
        ("bag", Binds.TASK, "cut"),
    ]


def test_what_fits_has_no_proof_and_no_mends() -> None:
    asked = problem(task("cut", 60, day(2, 18)))
    assert Explainer(asked, NOW).proofs() == ()
    assert mends(asked, NOW, "C1") == ()


def test_a_sitting_without_a_gap_is_no_proof() -> None:
    """No gap is longer than three hours; that is said as "no plan found", never as impossible."""
    asked = problem(task("film", 200, one_sitting=True))
    explainer = Explainer(asked, NOW)
    assert explainer.plan.tasks["film"].state is TaskState.NO_PLAN
    assert explainer.proofs() == ()


def test_mends_are_the_smallest_to_a_quarter_of_an_hour_and_each_fits() -> None:
    """An hour is missing: 60 minutes more on Friday (or on Saturday, with hours before ten: none), or a helper."""
    found = mends(OVERFULL, FRIDAY, "C1")
    changes = [mend.changes for mend in found]
    assert changes[0] == (MoreMinutes("me", day(2, 26), 60),)
    assert all(_fits(changed(OVERFULL, each), FRIDAY) for each in changes)
    helpers = [each[0] for each in changes if isinstance(each[0], HelperFor)]
    assert helpers
    for helper in helpers:
        smaller = HelperFor(helper.day, helper.minutes - 15)
        assert not _fits(changed(OVERFULL, (smaller,)), FRIDAY)
    assert [mend.cost for mend in found] == sorted(mend.cost for mend in found)


def test_a_blocked_day_given_back_mends() -> None:
    me = replace(ME, blocked=frozenset({day(2, 25)}), limit_on={day(2, 27): 60})
    asked = problem(task("cut", 420), hands=(me,))
    now = at(2, 25, 6)
    assert (GiveBack("me", day(2, 25)),) in [mend.changes for mend in mends(asked, now, "C1")]


def test_a_faster_delivery_mends_by_so_many_days() -> None:
    """Paper on Sat 27 is too late for an hour's work; a day sooner does."""
    cut = task("cut", 90, gates=(Gate(at(2, 27, 0), GateKind.DELIVERY, "paper", "O1"),))
    found = [mend.changes for mend in mends(problem(cut), NOW, "C1")]
    assert (FasterDelivery("O1", 1),) in found


def test_stock_of_another_class_mends_where_it_is_offered() -> None:
    cut = task("cut", 90, gates=(Gate(at(2, 27, 0), GateKind.DELIVERY, "paper", "O1"),))
    offer = Offer("X1", OfferKind.STOCK, "from C7", {"O1": at(2, 10, 0)})
    found = [mend.changes for mend in mends(problem(cut, offers=(offer,)), NOW, "C1")]
    assert found[0] == (UseOffer("X1"),)


def test_fewer_heads_mend_by_their_minutes() -> None:
    """240 are there; 10 minutes a head: six heads less."""
    me = replace(ME, limit_on={day(2, 27): 60})
    asked = problem(task("bag", 300, per_head=Decimal(10)), hands=(me,))
    assert (FewerHeads("C1", 6),) in [mend.changes for mend in mends(asked, FRIDAY, "C1")]


def test_the_class_moves_to_its_earliest_good_date() -> None:
    """Sunday 28 would give an hour more, but it is taken by another class; Monday is the earliest good day."""
    me = replace(
        ME,
        limit_on={day(2, 27): 60},
        busy=(Busy(at(2, 28, 12), at(2, 28, 15), "class", "C2"), Busy(at(2, 27, 10), at(2, 27, 13), "class", "C1")),
    )
    asked = problem(task("cut", 300), hands=(me,))
    moves = [mend.changes[0] for mend in mends(asked, FRIDAY, "C1") if isinstance(mend.changes[0], MoveSubject)]
    assert moves == [MoveSubject("C1", 2)]


def test_pairs_are_tried_where_no_single_change_helps() -> None:
    """900 minutes in two days of 180 and 60: 240 more on one day are not enough, on both they are."""
    me = replace(ME, limit_on={day(2, 27): 60})
    fixed = replace(CLASS, movable=False)
    asked = problem(task("cut", 600, may_help=False), hands=(me,), subjects=(fixed,))
    now = at(2, 25, 6)
    found = mends(asked, now, "C1")
    assert found
    assert all(_fits(changed(asked, mend.changes), now) for mend in found)


def test_what_if_shows_the_effect_and_changes_nothing() -> None:
    effect = what_if(OVERFULL, FRIDAY, changed(OVERFULL, (MoreMinutes("me", day(2, 26), 60),)))
    assert effect.no_longer_late == ("C1",)
    assert effect.now_late == ()
    assert effect.over == ((day(2, 26), "me", 60),)
    assert not _fits(OVERFULL, FRIDAY)


def test_moving_a_class_moves_its_dates_in_wall_time_across_the_clock_change() -> None:
    """Three weeks on, the class is still at ten and the aim still ends its day, in summer time."""
    asked = problem(task("cut", 60, day(2, 18), gates=(Gate(at(2, 15, 0), GateKind.WINDOW), Gate(at(2, 3, 0)))))
    moved = changed(asked, (MoveSubject("C1", 21),))
    assert moved.subjects[0].starts_at == at(3, 20, 10)
    assert moved.tasks[0].aim_before == at(3, 12, 0)
    assert [gate.at for gate in moved.tasks[0].gates] == [at(3, 8, 0), at(2, 3, 0)]


def test_a_helper_does_only_what_may_be_helped_with() -> None:
    asked = problem(task("cut", 60), task("decide", 60, may_help=False))
    helped = changed(asked, (HelperFor(day(2, 26), 60),))
    assert {each.id: EXTRA_HELPER in each.hands for each in helped.tasks} == {"cut": True, "decide": False}


@pytest.mark.parametrize(
    "change", [FasterDelivery("no", 1), UseOffer("no"), MoveSubject("no", 1), GiveBack("no", day(2, 1))]
)
def test_a_change_of_something_unknown_is_refused(change: FasterDelivery) -> None:
    with pytest.raises(NotFoundError):
        changed(OVERFULL, (change,))


def test_why_names_the_aim_what_needs_it_and_the_full_days_between() -> None:
    """One of two tasks with the same aim fills Thursday; Wednesday is blocked, so the other has gone to Tuesday."""
    me = replace(ME, blocked=frozenset({day(2, 17)}))
    asked = problem(task("cut", 180, day(2, 18)), task("bag", 180, day(2, 18)), hands=(me,))
    found = planned(asked)
    first = next(id_ for id_ in ("cut", "bag") if places(found, id_)[0].startswith("Tue"))
    reasons = Explainer(asked, NOW).why(first)
    assert [(reason.fact, reason.day) for reason in reasons if reason.day is not None] == [
        (Fact.DAY_BLOCKED, day(2, 17)),
        (Fact.DAY_FULL, day(2, 18)),
    ]
    assert reasons[0].fact is Fact.OWN_AIM


def test_why_names_the_task_that_needs_it() -> None:
    asked = problem(task("cut", 60, day(2, 20)), task("bag", 60, day(2, 18), after=(After("cut"),)))
    reasons = Explainer(asked, NOW).why("cut")
    assert [reason.task for reason in reasons if reason.fact is Fact.NEEDED_BY] == ["bag"]


def test_a_chain_names_whose_work_takes_the_hands() -> None:
    links = Explainer(OVERFULL, FRIDAY).chain("bag")
    assert [(link.task, link.binds) for link in links] == [("cut", Binds.NOW), ("bag", Binds.TASK)]

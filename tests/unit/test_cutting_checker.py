"""The independent checker finds what is wrong with a plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from scheduling.cutting.plan import first_plan
from scheduling.cutting.problem import CutProblem, Cutter
from scheduling.cutting.result import CutPlan, Method, Use
from tests.support.cut_builders import inches, piece, sheet
from tests.support.cut_check import answer_faults, faults_of, layout_faults

KERF = inches("1/32")
PROBLEM = CutProblem(
    (piece("board", "6 x 5 7/8", 14), piece("strip", "9 x 3/4", 4)),
    (sheet("S", "30 x 20", trim="1/8", on_hand=1),),
    cutter=Cutter(KERF, KERF, longest_cut_units=inches("25")),
)


def good_plan() -> CutPlan:
    plan = first_plan(PROBLEM).best
    assert faults_of(PROBLEM, plan) == []
    return plan


def with_blank(plan: CutPlan, like: Use, /, **changes: Any) -> CutPlan:
    """The plan with the first blank of that use changed."""
    run = plan.runs[0]
    blanks = list(run.layout.blanks)
    place = next(at for at, blank in enumerate(blanks) if blank.use is like)
    blanks[place] = replace(blanks[place], **changes)
    return replace(
        plan, runs=(replace(run, layout=replace(run.layout, blanks=tuple(blanks)), early=None, early_sheets=0),)
    )


def with_cut(plan: CutPlan, place: int, **changes: Any) -> CutPlan:
    """The plan with one cut of its first layout changed."""
    run = plan.runs[0]
    cuts = list(run.layout.cuts)
    cuts[place] = replace(cuts[place], **changes)
    return replace(plan, runs=(replace(run, layout=replace(run.layout, cuts=tuple(cuts))), *plan.runs[1:]))


def test_a_piece_of_the_wrong_size_is_found() -> None:
    assert "has the wrong size" in " ".join(faults_of(PROBLEM, with_blank(good_plan(), Use.PIECE, across_units=1)))


def test_a_piece_turned_against_the_grain_is_found() -> None:
    plan = with_blank(good_plan(), Use.PIECE, turned=True)
    assert "lies against the grain" in " ".join(faults_of(PROBLEM, plan))


def test_a_piece_turned_on_a_one_way_print_is_found() -> None:
    problem = replace(
        PROBLEM,
        pieces=tuple(replace(one, grain_bound=False, one_way=True) for one in PROBLEM.pieces),
        stocks=(replace(PROBLEM.stocks[0], one_way=True),),
    )
    assert "pattern lying down" in " ".join(faults_of(problem, with_blank(good_plan(), Use.PIECE, turned=True)))


@pytest.mark.parametrize(
    ("place", "changes", "words"),
    [
        (0, {"setting_units": 5}, "measured wrongly"),
        (0, {"length_units": 5}, "measured wrongly"),
        (2, {"number": 9}, "stands in place 3"),
        (4, {"method": Method.TRIMMER, "length_units": inches("29")}, "longer than the trimmer"),
        (5, {"blank": 0}, "cuts a blank that is not there"),
        (4, {"far": -1}, "loses a remainder"),
        (4, {"stage": 0}, "trims what is not to be trimmed"),
        (0, {"stage": 1}, "an edge is not trimmed once"),
    ],
)
def test_a_wrong_cut_is_found(place: int, changes: dict[str, Any], words: str) -> None:
    assert words in " ".join(faults_of(PROBLEM, with_cut(good_plan(), place, **changes)))


def test_a_kerf_that_was_forgotten_is_found() -> None:
    without = replace(PROBLEM, cutter=Cutter())
    assert "remainder of the wrong size" in " ".join(faults_of(without, good_plan()))


def test_a_part_too_narrow_for_the_trimmer_is_found() -> None:
    narrow = replace(PROBLEM, cutter=replace(PROBLEM.cutter, smallest_strip_units=inches("8")))
    assert "cannot hold" in " ".join(faults_of(narrow, good_plan()))


def test_missing_pieces_are_found() -> None:
    more = replace(PROBLEM, pieces=(replace(PROBLEM.pieces[0], count=99), PROBLEM.pieces[1]))
    assert "99 wanted" in " ".join(faults_of(more, good_plan()))


def test_wrong_stock_is_found() -> None:
    plan = good_plan()
    line = replace(plan.taken[0], from_stock=9)
    assert "9 from stock" in " ".join(faults_of(PROBLEM, replace(plan, taken=(line,))))


def test_a_miscalled_remainder_is_found() -> None:
    plan = with_blank(good_plan(), Use.WASTE, use=Use.OFF_CUT)
    assert "is called off-cut" in " ".join(faults_of(PROBLEM, plan))


def test_a_bound_above_the_plan_is_found() -> None:
    answer = first_plan(PROBLEM)
    bold = replace(answer, bound=replace(answer.bound, sheets=answer.best.sheets + 1))
    assert "break the bound" in " ".join(answer_faults(PROBLEM, bold))


def test_an_untrimmed_sheet_is_found() -> None:
    layout = good_plan().runs[0].layout
    assert "an edge is not trimmed once" in " ".join(
        layout_faults(PROBLEM, PROBLEM.stocks[0], replace(layout, cuts=layout.cuts[1:]))
    )

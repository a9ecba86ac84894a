"""The rules of the bench in cut plans (cutting.md)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduling.cutting.lines import Length, Reel, Roll, plan_reel, plan_roll
from scheduling.cutting.plan import first_plan
from scheduling.cutting.problem import CutProblem, Cutter, Fold, Grain, Keep, OffCut, Piece, Stock, Trim
from scheduling.cutting.result import CutAnswer, Method, Use
from scheduling.errors import ConflictError, InvalidError
from tests.support.cut_builders import UNITS_PER_MM, inches, piece, sheet
from tests.support.cut_check import answer_faults


def solve(problem: CutProblem) -> CutAnswer:
    """The first plan, passed by the independent checker."""
    answer = first_plan(problem)
    assert answer_faults(problem, answer) == []
    return answer


def test_nothing_to_cut_needs_nothing() -> None:
    answer = solve(CutProblem((piece("cover", "5 x 5", 0),), (sheet("S", "20 x 10"),)))
    assert answer.best.sheets == 0
    assert answer.best.runs == ()
    assert answer.best_possible


def test_a_piece_as_large_as_the_sheet_needs_no_cut() -> None:
    answer = solve(CutProblem((piece("whole", "20 x 10", 3),), (sheet("S", "20 x 10"),)))
    assert answer.best.sheets == 3
    assert answer.best.set_ups.cuts == 0


def test_trim_is_cut_once_from_each_edge_before_anything_else() -> None:
    problem = CutProblem((piece("half", "9 x 9 1/2", 2),), (sheet("S", "18 1/2 x 10", trim="1/4"),))
    layout = solve(problem).best.runs[0].layout
    assert [cut.stage for cut in layout.cuts] == [0, 0, 0, 0, 1]
    assert [cut.setting_units for cut in layout.cuts] == [
        inches(size) for size in ("18 1/4", "9 3/4", "18", "9 1/2", "9")
    ]


def test_trims_may_differ_by_edge() -> None:
    stock = replace(sheet("S", "20 x 10"), trim=Trim(inches("1"), 0, inches("1/2"), 0))
    problem = CutProblem((piece("rest", "19 x 9 1/2", 1),), (stock,))
    blank = solve(problem).best.runs[0].layout.pieces[0]
    assert (blank.x_units, blank.y_units) == (inches("1/2"), inches("1"))


def test_a_kerf_that_just_does_not_fit_costs_a_sheet() -> None:
    stock = sheet("S", "10 x 10")
    kerf = inches("1/32")
    two = piece("half", "5 x 10", 2)
    assert solve(CutProblem((two,), (stock,))).best.sheets == 1
    assert solve(CutProblem((two,), (stock,), cutter=Cutter(kerf, kerf))).best.sheets == 2
    narrower = replace(two, along_units=inches("5") - kerf // 2)
    assert solve(CutProblem((narrower,), (stock,), cutter=Cutter(kerf, kerf))).best.sheets == 1
    just_too_wide = replace(narrower, along_units=narrower.along_units + 1)
    assert solve(CutProblem((just_too_wide,), (stock,), cutter=Cutter(kerf, kerf))).best.sheets == 2


def test_grain_is_never_crossed_to_save_a_sheet() -> None:
    bound = piece("board", "8 1/4 x 5 3/8", 11)
    stock = sheet("board", "30 x 20")
    assert solve(CutProblem((bound,), (stock,))).best.sheets == 2
    assert solve(CutProblem((replace(bound, grain_bound=False),), (stock,))).best.sheets == 1
    no_grain = replace(stock, grain=Grain.NONE)
    assert solve(CutProblem((bound,), (no_grain,))).best.sheets == 1


def test_a_fold_across_the_grain_is_warned_about() -> None:
    good = piece("folio", "5 1/2 x 8 1/2", 2, fold=Fold.ALONG)
    stock = sheet("S", "11 x 8 1/2")
    assert solve(CutProblem((good,), (stock,))).best.warnings == ()
    bad = replace(good, fold=Fold.ACROSS)
    assert solve(CutProblem((bad,), (stock,))).best.warnings == (
        "The fold of folio runs across the grain; it may crack.",
    )


def test_halves_of_a_pair_are_counted_apart() -> None:
    left, right = Piece("left", inches("5"), inches("5"), 3, hand="left"), piece("right", "5 x 5", 2)
    best = solve(CutProblem((left, replace(right, hand="right")), (sheet("S", "10 x 10"),))).best
    made: dict[str, int] = {}
    for run in best.runs:
        for name, number in run.counts.items():
            made[name] = made.get(name, 0) + number
    assert made == {"left": 3, "right": 2}


def test_a_sheet_longer_than_the_trimmer_is_first_broken_down_by_knife() -> None:
    cutter = Cutter(longest_cut_units=inches("13"))
    problem = CutProblem((piece("folio", "8 x 11", 8),), (sheet("S", "38 x 25", trim="1/4"),), cutter=cutter)
    cuts = solve(problem).best.runs[0].layout.cuts
    assert all((cut.method is Method.KNIFE) == (cut.length_units > inches("13")) for cut in cuts)
    assert {cut.method for cut in cuts} == {Method.KNIFE, Method.TRIMMER}


def test_a_part_too_narrow_for_the_trimmer_is_cut_by_knife() -> None:
    cutter = Cutter(smallest_strip_units=inches("1"))
    problem = CutProblem((piece("spine", "8 x 1/2", 30),), (sheet("S", "18 x 10"),), cutter=cutter)
    cuts = solve(problem).best.runs[0].layout.cuts
    assert {cut.method for cut in cuts if cut.setting_units == inches("1/2")} == {Method.KNIFE}


def test_equal_settings_follow_each_other_over_all_strips() -> None:
    problem = CutProblem((piece("card", "3 x 4", 12),), (sheet("S", "12 1/2 x 12 1/2"),))
    layout = solve(problem).best.runs[0].layout
    assert layout.settings == 2
    assert len(layout.cuts) == 4 + 12


def test_a_sheet_stopped_early_leaves_the_rest_in_one_piece() -> None:
    problem = CutProblem((piece("card", "3 x 4", 13),), (sheet("S", "12 x 12"),))
    run = solve(problem).best.runs[0]
    assert (run.sheets, run.early_sheets) == (2, 1)
    assert run.early is not None
    assert max(blank.across_units * blank.along_units for blank in run.early.off_cuts) == inches("12") * inches("9")


def test_off_cuts_save_sheets_the_smallest_that_serve_first() -> None:
    stock = sheet("S", "20 x 10", on_hand=5)
    off_cuts = (
        OffCut("large", inches("12"), inches("9")),
        OffCut("small", inches("6"), inches("5")),
        OffCut("tiny", inches("3"), inches("3")),
    )
    problem = CutProblem((piece("card", "5 x 5", 9),), (stock,), off_cuts)
    best = solve(problem).best
    assert best.sheets == 1
    assert best.off_cuts_used == (("small", 1),)


def test_off_cuts_stay_where_they_save_no_sheet() -> None:
    off_cuts = (OffCut("small", inches("6"), inches("5")),)
    best = solve(CutProblem((piece("card", "5 x 5", 8),), (sheet("S", "20 x 10"),), off_cuts)).best
    assert (best.sheets, best.off_cuts_used) == (1, ())


def test_off_cuts_alone_may_do() -> None:
    off_cuts = (OffCut("scrap", inches("6"), inches("5"), count=4),)
    best = solve(CutProblem((piece("card", "5 x 5", 3),), (sheet("S", "20 x 10"),), off_cuts)).best
    assert (best.sheets, best.off_cuts_used) == (0, (("scrap", 3),))


def test_short_grain_off_cuts_lie_as_their_grain_says() -> None:
    short = OffCut("half board", inches("10"), inches("20"), Grain.SHORT)
    problem = CutProblem((piece("board", "9 x 19", 1),), (sheet("S", "30 x 8"),), (short,))
    assert solve(problem).best.off_cuts_used == (("half board", 1),)
    upright = piece("board", "19 x 9", 1)
    with pytest.raises(InvalidError) as refusal:
        first_plan(CutProblem((upright,), (sheet("S", "30 x 8"),), (short,)))
    assert "across the grain" in refusal.value.hint


def test_remainders_are_kept_only_above_the_set_size() -> None:
    problem = CutProblem((piece("card", "5 x 5", 1),), (sheet("S", "10 x 10"),), keep=Keep(inches("8"), inches("4")))
    rests = solve(problem).best.runs[0].layout
    assert [(b.along_units, b.across_units) for b in rests.off_cuts] == [(inches("5"), inches("10"))]
    assert [b.use for b in rests.blanks if b.along_units == b.across_units == inches("5")] == [Use.PIECE, Use.WASTE]


def test_packs_round_up_and_what_is_left_of_them_is_told() -> None:
    stock = sheet("S", "10 x 10", on_hand=2, pack=(5, 1250))
    line = solve(CutProblem((piece("whole", "10 x 10", 9),), (stock,))).best.taken[0]
    assert (line.from_stock, line.to_buy, line.packs, line.cost_minor, line.left_of_packs) == (2, 7, 2, 2500, 3)


def test_the_cheaper_of_two_sizes_is_bought_and_stock_goes_first() -> None:
    small = Stock("small", inches("10"), inches("10"), cost_minor=300, on_hand=1)
    large = Stock("large", inches("20"), inches("10"), cost_minor=400)
    best = solve(CutProblem((piece("card", "10 x 10", 3),), (small, large))).best
    assert {line.stock_id: (line.from_stock, line.to_buy) for line in best.taken} == {"small": (1, 0), "large": (0, 1)}
    assert best.cost_minor == 400


def test_fewer_set_ups_are_offered_for_one_sheet_more() -> None:
    outer = piece("outer", "7 1/2 x 7 3/8", 30)
    lining = piece("lining", "5 3/4 x 5 5/8", 30)
    cover = piece("cover", "7 3/4 x 7 1/8", 22)
    answer = solve(CutProblem((outer, lining, cover), (sheet("S", "27 1/2 x 19 1/2", trim="1/8"),)))
    sheets = [plan.sheets for plan in answer.plans]
    set_ups = [plan.set_ups.patterns for plan in answer.plans]
    assert sheets[0] == 10 == answer.bound.sheets
    assert sheets == sorted(sheets)
    assert set_ups == sorted(set_ups, reverse=True)
    assert len(answer.plans) >= 2
    assert "in 9 sheets" in answer.bound.reason


@pytest.mark.parametrize(
    ("size", "stock", "hint"),
    [
        ("20 x 10", sheet("S", "20 x 10", trim="1/8"), "It would fit on S untrimmed: trim less there."),
        ("9 x 19", sheet("S", "20 x 10"), "It would fit on S only across the grain"),
        ("21 x 9", sheet("S", "20 x 10"), "Use stock of at least 21 x 9 in after trimming"),
    ],
)
def test_a_piece_that_fits_no_sheet_is_named_with_the_mend(size: str, stock: Stock, hint: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        first_plan(CutProblem((piece("cover", size, 1),), (stock,)))
    assert refusal.value.message.startswith("cover, ")
    assert refusal.value.hint.startswith(hint)


def test_running_out_of_sheets_says_how_many_more() -> None:
    stock = sheet("S", "10 x 10", on_hand=2, may_buy=1)
    with pytest.raises(ConflictError) as refusal:
        first_plan(CutProblem((piece("whole", "10 x 10", 5),), (stock,)))
    assert "2 of 5 whole" in refusal.value.message
    assert refusal.value.hint.startswith("Allow 2 more sheets")


@pytest.mark.parametrize(
    "problem",
    [
        CutProblem((piece("a", "5 x 5", 1), piece("a", "4 x 4", 1)), (sheet("S", "20 x 10"),)),
        CutProblem((Piece("a", 0, 5, 1),), (sheet("S", "20 x 10"),)),
        CutProblem((Piece("a", 5, 5, -1),), (sheet("S", "20 x 10"),)),
        CutProblem((), (sheet("S", "20 x 10", trim="5"),)),
        CutProblem((), (replace(sheet("S", "20 x 10"), grain=Grain.SHORT),)),
        CutProblem((), (replace(sheet("S", "20 x 10"), pack=0),)),
        CutProblem((), (replace(sheet("S", "20 x 10"), cost_minor=-1),)),
        CutProblem((), (), cutter=Cutter(kerf_units=-1)),
    ],
)
def test_sizes_that_mean_nothing_are_refused(problem: CutProblem) -> None:
    with pytest.raises(InvalidError):
        first_plan(problem)


def test_a_thousand_kits_are_planned_to_the_bound() -> None:
    pieces = (piece("frame", "9 x 6", 4000), piece("base", "6 1/4 x 6 1/4", 1000))
    answer = solve(CutProblem(pieces, (sheet("S", "38 x 26"),)))
    assert answer.best.sheets == answer.bound.sheets


def test_mixed_inches_and_millimetres_are_exact() -> None:
    pieces = (piece("inch", "5 3/8 x 4 1/16", 14), Piece("metric", 137 * UNITS_PER_MM, 101 * UNITS_PER_MM, 14))
    a1 = Stock("A1", 841 * UNITS_PER_MM, 594 * UNITS_PER_MM)
    assert solve(CutProblem(pieces, (a1,), unit="mm")).best.sheets >= 1


def test_the_same_problem_gives_the_same_plan() -> None:
    pieces = (piece("outer", "7 1/2 x 7 3/8", 30), piece("lining", "5 3/4 x 5 5/8", 31))
    problem = CutProblem(pieces, (sheet("S", "27 1/2 x 19 1/2", trim="1/8"),))
    assert first_plan(problem) == first_plan(problem)


def test_leader_and_tail_of_a_new_reel_count() -> None:
    lengths = [Length("cord", inches("20"), 6)]
    assert plan_reel(lengths, Reel("R", inches("120"))).to_buy == 1
    assert plan_reel(lengths, Reel("R", inches("120"), inches("1"))).to_buy == 2
    assert plan_reel(lengths, Reel("R", inches("120"), tail_units=inches("1"))).to_buy == 2


def test_begun_reels_are_used_up_first() -> None:
    plan = plan_reel([Length("cord", inches("20"), 8)], Reel("R", inches("120"), on_hand=(inches("50"),)))
    assert plan.to_buy == 1
    assert [(cut.reel, cut.cuts, cut.left_units) for cut in plan.cuts] == [
        (0, (("cord", 2),), inches("10")),
        (None, (("cord", 6),), 0),
    ]


def test_a_row_of_cloth_never_turns_a_piece_against_the_grain() -> None:
    cloth = Roll(Reel("cloth", inches("180")), inches("42"))
    assert plan_roll([piece("case", "9 1/2 x 13 1/8", 9)], cloth).length_units == inches("28 1/2")
    free = replace(cloth, grain=Grain.NONE)
    assert plan_roll([piece("case", "13 x 5", 8)], cloth).length_units == inches("13")
    assert plan_roll([piece("case", "13 x 5", 3)], free).length_units == inches("5")

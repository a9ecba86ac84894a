"""The improved plan: the bound met by column generation and integer programs."""

from __future__ import annotations

import subprocess
import sys

import pytest

from scheduling.cutting.lines import Length, Reel, plan_reel
from scheduling.cutting.plan import begin, best_plan, first_plan
from scheduling.cutting.problem import CutProblem, Grain, Piece, Stock
from scheduling.errors import ConflictError
from tests.bench.cutting_jobs import workshop_jobs
from tests.support.cut_builders import inches, piece, sheet
from tests.support.cut_check import answer_faults

HARD = CutProblem(
    tuple(
        Piece(f"{w} x {h}", h, w, count)
        for w, h, count in (
            (310, 426, 91),
            (673, 468, 61),
            (426, 463, 40),
            (325, 498, 95),
            (555, 540, 18),
            (292, 455, 30),
            (343, 341, 56),
            (362, 491, 95),
            (305, 688, 51),
            (459, 607, 53),
        )
    ),
    (Stock("sheet", 1000, 1000),),
)


def test_a_hard_list_is_cut_to_the_bound_that_the_plain_search_misses() -> None:
    plain, best = first_plan(HARD), best_plan(HARD, few_set_ups=False)
    assert answer_faults(HARD, best) == []
    assert best.best.sheets == best.bound.sheets == 131 < plain.best.sheets
    assert best.best_possible


def test_the_improved_plan_is_the_same_every_time() -> None:
    assert best_plan(HARD, few_set_ups=False) == best_plan(HARD, few_set_ups=False)


@pytest.mark.parametrize("place", [1, 8, 12, 14, 35])
def test_the_improved_plan_is_never_worse_than_the_first(place: int) -> None:
    problem = workshop_jobs(place + 1)[place].problem
    plain, best = first_plan(problem), best_plan(problem)
    assert answer_faults(problem, best) == []
    assert best.best.cost_minor <= plain.best.cost_minor
    if len(problem.stocks) == 1:
        assert best.best.sheets <= min(plain.best.sheets, best.bound.sheets + 1)


def test_whole_packs_decide_between_two_sizes() -> None:
    large = Stock("large", inches("20"), inches("10"), pack=10, pack_cost_minor=4000)
    small = Stock("small", inches("10"), inches("10"), Grain.LONG, pack=1, pack_cost_minor=300)
    answer = best_plan(CutProblem((piece("whole", "10 x 10", 3),), (large, small)))
    assert answer.best.cost_minor == 900


def test_running_out_of_sheets_is_refused_here_too() -> None:
    with pytest.raises(ConflictError):
        best_plan(CutProblem((piece("whole", "10 x 10", 5),), (sheet("S", "10 x 10", may_buy=4),)))


def test_solver_and_arrays_are_loaded_only_when_needed_and_print_nothing() -> None:
    code = (
        "import sys\n"
        "from scheduling.cutting.plan import best_plan\n"
        "from scheduling.cutting.problem import CutProblem, Piece, Stock\n"
        "easy = CutProblem((Piece('a', 50, 50, 4),), (Stock('s', 100, 100),))\n"
        "assert best_plan(easy).best.sheets == 1\n"
        "assert not {'numpy', 'highspy'} & set(sys.modules)\n"
        "from tests.unit.test_cutting_best_plan import HARD\n"
        "best_plan(HARD)\n"
        "assert {'numpy', 'highspy'} <= set(sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_a_bound_is_proved_though_the_sheet_has_too_many_positions() -> None:
    """Job 35 of the workshop: millimetres on a kerf of 1/32 in; four sheets have room, but no pattern fills them so."""
    problem = workshop_jobs(35)[34].problem
    answer = best_plan(problem)
    assert answer_faults(problem, answer) == []
    assert (answer.best.sheets, answer.bound.sheets, answer.best_possible) == (5, 5, True)


def test_lengths_off_reels_are_cut_to_the_bound_where_nearly_every_place_can_be_reached() -> None:
    lengths = [Length(str(n), 20_000 + 317 * n, 2) for n in range(40)]
    plan = plan_reel(lengths, Reel("reel", 100_000), thoroughly=True)
    used = sum(cut.reels * number for cut in plan.cuts for _, number in cut.cuts)
    assert (used, plan.to_buy) == (80, plan.least_to_buy)


def test_a_plan_by_shelves_cuts_every_piece_and_none_beyond_the_need() -> None:
    search = begin(HARD)
    draft = search.construct(lambda: lambda variant: variant.across)
    made = [0] * len(HARD.pieces)
    for pattern, _, sheets in draft.runs:
        for place, number in enumerate(search.counts[pattern]):
            made[place] += number * sheets
    assert draft.whole
    assert tuple(made) == search.demand

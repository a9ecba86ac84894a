"""Whatever is asked, the plan can be cut as written, and the bound is no more than the truth."""

from __future__ import annotations

from functools import lru_cache

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scheduling.cutting.lines import Length, Reel, plan_reel
from scheduling.cutting.plan import fewest_sheets, first_plan
from scheduling.cutting.problem import CutProblem, Cutter, Grain, OffCut, Piece, Stock, Trim
from scheduling.errors import SchedulingError
from tests.support.cut_builders import UNITS_PER_INCH, UNITS_PER_MM
from tests.support.cut_check import answer_faults

SIXTEENTH = UNITS_PER_INCH // 16
sides = st.one_of(
    st.integers(8, 16 * 12).map(lambda n: n * SIXTEENTH),
    st.integers(12, 300).map(lambda n: n * UNITS_PER_MM),
)
kerfs = st.sampled_from([0, 0, UNITS_PER_INCH // 32, UNITS_PER_MM])


@st.composite
def stocks(draw: st.DrawFn, name: str) -> Stock:
    along, across = draw(st.integers(10, 40)) * UNITS_PER_INCH, draw(st.integers(10, 30)) * UNITS_PER_INCH
    grain = draw(st.sampled_from([Grain.NONE, Grain.LONG if along >= across else Grain.SHORT]))
    trim = draw(st.sampled_from([0, UNITS_PER_INCH // 8, UNITS_PER_INCH // 4]))
    return Stock(
        name,
        along,
        across,
        grain,
        draw(st.booleans()),
        Trim(trim, trim, draw(st.sampled_from([0, trim])), trim),
        cost_minor=draw(st.integers(0, 900)),
        on_hand=draw(st.integers(0, 4)),
        pack=draw(st.sampled_from([1, 5, 10])),
    )


@st.composite
def problems(draw: st.DrawFn) -> CutProblem:
    pieces = [
        Piece(
            f"piece {n}", draw(sides), draw(sides), draw(st.integers(0, 30)), draw(st.booleans()), draw(st.booleans())
        )
        for n in range(draw(st.integers(1, 4)))
    ]
    sheets = [draw(stocks(f"sheet {n}")) for n in range(draw(st.integers(1, 2)))]
    off_cuts = []
    for n in range(draw(st.integers(0, 2))):
        along, across = draw(sides), draw(sides)
        off_cuts.append(OffCut(f"off-cut {n}", along, across, Grain.NONE, draw(st.booleans()), draw(st.integers(0, 3))))
    cutter = Cutter(
        draw(kerfs),
        draw(kerfs),
        draw(st.sampled_from([None, 12 * UNITS_PER_INCH])),
        draw(st.sampled_from([0, UNITS_PER_INCH])),
    )
    return CutProblem(tuple(pieces), tuple(sheets), tuple(off_cuts), cutter)


@given(problems())
@settings(max_examples=60, deadline=None)
def test_every_plan_passes_the_independent_checker(problem: CutProblem) -> None:
    try:
        answer = first_plan(problem)
    except SchedulingError as error:
        refusal = error
    else:
        assert answer_faults(problem, answer) == []
        assert fewest_sheets(problem) == answer.best.sheets
        return
    assert refusal.message
    assert refusal.hint


@given(problems())
@settings(max_examples=15, deadline=None)
def test_the_order_of_the_pieces_does_not_change_how_many_sheets_are_proved(problem: CutProblem) -> None:
    try:
        there = first_plan(problem)
    except SchedulingError:
        assume(False)
    back = first_plan(CutProblem(problem.pieces[::-1], problem.stocks, problem.off_cuts, problem.cutter))
    if there.best_possible and back.best_possible and len(problem.stocks) == 1:
        assert there.best.sheets == back.best.sheets


@lru_cache(maxsize=200_000)
def _fits(width: int, height: int, parts: tuple[tuple[int, int], ...]) -> bool:
    """Whether all parts come out of a rectangle by any edge-to-edge cuts, unturned."""
    if not parts:
        return True
    if sum(w * h for w, h in parts) > width * height:
        return False
    if len(parts) == 1:
        return parts[0][0] <= width and parts[0][1] <= height
    for chosen in range(1, 2 ** (len(parts) - 1)):
        one = tuple(p for at, p in enumerate(parts) if chosen >> at & 1)
        two = tuple(p for at, p in enumerate(parts) if not chosen >> at & 1)
        if any(_fits(cut, height, one) and _fits(width - cut, height, two) for cut in range(1, width)):
            return True
        if any(_fits(width, cut, one) and _fits(width, height - cut, two) for cut in range(1, height)):
            return True
    return False


def true_fewest(width: int, height: int, parts: tuple[tuple[int, int], ...]) -> int:
    """The true least number of sheets, by trying everything."""
    everything = 2 ** len(parts) - 1
    fitting = [
        chosen
        for chosen in range(1, everything + 1)
        if _fits(width, height, tuple(p for at, p in enumerate(parts) if chosen >> at & 1))
    ]
    best = {0: 0}
    for done in range(everything + 1):
        if done in best:
            for chosen in fitting:
                if not chosen & done:
                    best[done | chosen] = min(best.get(done | chosen, len(parts)), best[done] + 1)
    return best[everything]


@given(
    st.integers(3, 8),
    st.integers(3, 8),
    st.lists(st.tuples(st.integers(1, 8), st.integers(1, 8)), min_size=1, max_size=5),
)
@settings(max_examples=60, deadline=None)
def test_bound_and_plan_enclose_the_truth_found_by_trying_everything(
    width: int, height: int, parts: list[tuple[int, int]]
) -> None:
    parts = sorted((min(w, width), min(h, height)) for w, h in parts)
    pieces = tuple(Piece(f"{w}x{h}", h, w, parts.count((w, h)), grain_bound=True) for w, h in dict.fromkeys(parts))
    grain = Grain.LONG if height >= width else Grain.SHORT
    answer = first_plan(CutProblem(pieces, (Stock("sheet", height, width, grain),)))
    truth = true_fewest(width, height, tuple(parts))
    assert truth <= answer.best.sheets <= truth + 1
    if answer.bound.any_cutting:
        assert answer.bound.sheets <= truth


@given(
    st.lists(st.tuples(st.integers(1, 90), st.integers(0, 12)), min_size=1, max_size=4),
    st.lists(st.integers(1, 150), max_size=2),
)
@settings(max_examples=40, deadline=None)
def test_reels_give_every_length_and_never_more_than_they_hold(
    lengths: list[tuple[int, int]], begun: list[int]
) -> None:
    wanted = [Length(str(n), size, count) for n, (size, count) in enumerate(lengths)]
    reel = Reel("reel", 100, 4, 3, tuple(begun))
    plan = plan_reel(wanted, reel)
    size = {one.id: one.length_units for one in wanted}
    made = dict.fromkeys(size, 0)
    for cut in plan.cuts:
        room = 93 if cut.reel is None else begun[cut.reel]
        assert sum(size[name] * number for name, number in cut.cuts) + cut.left_units == room
        for name, number in cut.cuts:
            made[name] += number * cut.reels
    assert made == {one.id: one.count for one in wanted}
    assert plan.least_to_buy <= plan.to_buy == sum(cut.reels for cut in plan.cuts if cut.reel is None)

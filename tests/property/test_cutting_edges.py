"""Odd sizes and numbers: inches beside millimetres, whole sheets, a kerf that just does not fit, none, 1,000 kits."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.cutting.arrays import ArrayFiller
from scheduling.cutting.line_filling import LineFiller
from scheduling.cutting.pattern import Pattern, on_grid, sources_of
from scheduling.cutting.plan import fewest_sheets, first_plan
from scheduling.cutting.problem import CutProblem, Cutter, Grain, Piece, Stock, Trim
from scheduling.errors import InvalidError
from tests.support.cut_builders import UNITS_PER_INCH, UNITS_PER_MM
from tests.support.cut_check import answer_faults

SIXTEENTH = UNITS_PER_INCH // 16
lengths = st.one_of(
    st.integers(2, 16 * 12).map(lambda n: n * SIXTEENTH),
    st.integers(3, 300).map(lambda n: n * UNITS_PER_MM),
)
kerfs = st.sampled_from([0, 1, UNITS_PER_INCH // 64, UNITS_PER_INCH // 32, UNITS_PER_MM // 2, UNITS_PER_MM])
trims = st.sampled_from([0, UNITS_PER_INCH // 8, 3 * UNITS_PER_MM])


def sheet(along: int, across: int, trim: int = 0, *, two_sided: bool = True) -> Stock:
    """A sheet that leaves these sides after trimming."""
    grain = Grain.LONG if along >= across else Grain.SHORT
    full = (along + 2 * trim, across + 2 * trim)
    return Stock("sheet", *full, grain, trim=Trim.all_round(trim), two_sided=two_sided)


@given(lengths, lengths, lengths, lengths, kerfs, trims, st.integers(1, 1000))
@settings(max_examples=60, deadline=None)
def test_one_kind_of_piece_takes_what_rows_and_kerfs_say(
    along: int, across: int, more_along: int, more_across: int, kerf: int, trim: int, count: int
) -> None:
    asked = CutProblem(
        (Piece("piece", along, across, count),),
        (sheet(along + more_along, across + more_across, trim),),
        cutter=Cutter(kerf, kerf),
    )
    each = ((along + more_along + kerf) // (along + kerf)) * ((across + more_across + kerf) // (across + kerf))
    answer = first_plan(asked)
    assert answer_faults(asked, answer) == []
    assert answer.best.sheets == fewest_sheets(asked) == -(-count // each)


@given(lengths, lengths, st.integers(1, 6), st.integers(1, 4), kerfs.filter(bool), trims)
@settings(max_examples=40, deadline=None)
def test_a_kerf_that_just_does_not_fit_costs_a_row(
    along: int, across: int, rows: int, columns: int, kerf: int, trim: int
) -> None:
    """Rows and columns fill the sheet to the last unit; one unit less of it, and a row is gone."""
    high, wide = rows * along + (rows - 1) * kerf, columns * across + (columns - 1) * kerf
    piece = Piece("piece", along, across, rows * columns)
    whole = CutProblem((piece,), (sheet(high, wide, trim),), cutter=Cutter(kerf, kerf))
    answer = first_plan(whole)
    assert answer_faults(whole, answer) == []
    assert answer.best.sheets == 1
    if rows > 1:
        less = replace(whole, stocks=(sheet(high - 1, wide, trim),))
        answer = first_plan(less)
        assert answer_faults(less, answer) == []
        assert answer.best.sheets == -(-rows // (rows - 1))


@given(lengths, lengths, kerfs, trims, st.integers(1, 12))
@settings(max_examples=30, deadline=None)
def test_pieces_as_large_as_the_sheet_take_one_each_and_a_unit_more_is_named_with_the_mend(
    along: int, across: int, kerf: int, trim: int, count: int
) -> None:
    stock = sheet(along, across, trim)
    asked = CutProblem((Piece("board", along, across, count),), (stock,), cutter=Cutter(kerf, kerf))
    answer = first_plan(asked)
    assert answer_faults(asked, answer) == []
    assert answer.best.sheets == count
    assert len(answer.best.runs[0].layout.cuts) == (4 if trim else 0)
    with pytest.raises(InvalidError) as caught:
        first_plan(replace(asked, pieces=(Piece("board", along + 1, across + 1, count),)))
    assert caught.value.message.startswith("board, ")
    assert ("untrimmed: trim less" if trim else "Use stock of at least") in caught.value.hint


@st.composite
def lists(draw: st.DrawFn) -> CutProblem:
    """Kits of 1,000 and fewer: pieces with pairs and faces, of inches and millimetres."""
    kits = draw(st.sampled_from([1, 7, 40, 1000]))
    pieces = [
        Piece(
            f"part {n}",
            draw(lengths),
            draw(lengths),
            kits * draw(st.integers(0, 3)),
            draw(st.booleans()),
            hand=draw(st.sampled_from(["", "left", "right"])),
            face=draw(st.sampled_from(["", "front", "back"])),
        )
        for n in range(draw(st.integers(1, 4)))
    ]
    kerf = draw(kerfs)
    side = 16 * UNITS_PER_INCH
    stock = sheet(draw(st.integers(side, 2 * side)), side, draw(trims), two_sided=draw(st.booleans()))
    return CutProblem(tuple(pieces), (stock,), cutter=Cutter(kerf, kerf))


@given(lists())
@settings(max_examples=40, deadline=None)
def test_lists_of_up_to_a_thousand_kits_are_cut_as_written(asked: CutProblem) -> None:
    answer = first_plan(asked)
    assert answer_faults(asked, answer) == []
    alone = sum(fewest_sheets(replace(asked, pieces=(piece,))) for piece in asked.pieces)
    assert answer.bound.sheets <= answer.best.sheets <= alone + 1 + alone // 20


@given(lists(), lengths, lengths)
@settings(max_examples=20, deadline=None)
def test_a_line_of_no_pieces_changes_nothing(asked: CutProblem, along: int, across: int) -> None:
    beside = replace(asked, pieces=(*asked.pieces, Piece("none", 100 * along, 100 * across, 0)))
    assert fewest_sheets(beside) == fewest_sheets(asked)
    assert first_plan(beside).best.sheets == first_plan(asked).best.sheets


@given(
    st.lists(
        st.tuples(st.integers(3, 40), st.integers(3, 40), st.integers(1, 9), st.booleans()), min_size=1, max_size=4
    ),
    st.tuples(st.integers(40, 90), st.integers(40, 90)),
    st.integers(0, 2),
    st.integers(30, 45),
    st.lists(st.integers(0, 60), min_size=4, max_size=4),
)
@settings(max_examples=40, deadline=None)
def test_a_sheet_on_a_coarse_grid_is_worth_no_less_than_the_sheet(
    parts: list[tuple[int, int, int, bool]], sides: tuple[int, int], kerf: int, cells: int, values: list[int]
) -> None:
    """What the proofs of large sheets rest on."""
    pieces = tuple(Piece(str(n), high, wide, most, bound) for n, (high, wide, most, bound) in enumerate(parts))
    (source,) = sources_of(CutProblem(pieces, (sheet(*sides),), cutter=Cutter(kerf, kerf)))
    demand = tuple(piece.count for piece in pieces)
    coarse = on_grid(source, kerf, cells)
    assert coarse is not None
    for rows in (True, False):
        exact, _ = ArrayFiller(source, Cutter(kerf, kerf), demand, rows=rows).fullest(values, demand)
        there, _ = ArrayFiller(coarse, Cutter(), demand, rows=rows).fullest(values, demand)
        assert there >= exact


@given(
    st.lists(st.tuples(st.integers(5, 60), st.integers(1, 6)), min_size=1, max_size=5, unique_by=lambda one: one[0]),
    st.integers(60, 140),
    st.integers(0, 2),
    st.lists(st.integers(0, 90), min_size=5, max_size=5),
)
@settings(max_examples=60, deadline=None)
def test_the_fullest_reel_is_that_of_trying_everything(
    lengths: list[tuple[int, int]], side: int, kerf: int, values: list[int]
) -> None:
    pieces = tuple(Piece(str(n), size, 1, most) for n, (size, most) in enumerate(lengths))
    reel = Stock("reel", side, 1, Grain.NONE)
    (source,) = sources_of(CutProblem(pieces, (reel,), cutter=Cutter(kerf, kerf)))
    demand = [most for _, most in lengths]
    for cells in (10_000, 37):
        filler = LineFiller(source, Cutter(kerf, kerf), demand, rows=True, cells=cells)
        worth, strips = filler.fullest(values, demand)
        pattern = Pattern(0, True, strips)
        counts = pattern.counts(len(pieces))
        assert sum(value * number for value, number in zip(values, counts, strict=False)) == worth
        assert all(have <= most for have, most in zip(counts, demand, strict=True))
        used = sum((size + kerf) * number for (size, _), number in zip(lengths, counts, strict=True))
        assert used <= side + kerf
        if filler.exact:
            assert worth == _most_worth(lengths, values, side + kerf, kerf)


def _most_worth(lengths: list[tuple[int, int]], values: list[int], room: int, kerf: int) -> int:
    """The most that fits, by trying every number of every length."""
    if not lengths:
        return 0
    (size, most), *rest = lengths
    return max(
        number * values[0] + _most_worth(rest, values[1:], room - number * (size + kerf), kerf)
        for number in range(min(most, room // (size + kerf)) + 1)
    )

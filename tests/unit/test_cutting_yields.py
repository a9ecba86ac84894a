"""The demo studio's yields (demo.md, numbers in brackets)."""

from __future__ import annotations

import pytest

from scheduling.cutting.problem import Cutter, Grain, Stock
from scheduling.cutting.yields import best_yield, reel_yield, row_yield, straight_yield
from tests.support.cut_builders import inches, piece, sheet

TEXT = sheet("M01", "11 x 8 1/2")
CREAM = sheet("M02", "38 x 25", trim="1/4")
DRAWING = sheet("M03", "30 x 22", trim="1/4")
COVER = sheet("M04", "26 x 20", trim="1/4")
REED = sheet("M05", "27 1/2 x 19 1/2", trim="1/8", one_way=True)
TIDE = sheet("M06", "27 1/2 x 19 1/2", trim="1/8")
MULBERRY = sheet("M07", "37 x 25", grain=Grain.NONE)
TISSUE = sheet("M08", "30 x 20", grain=Grain.NONE)
BOARD = sheet("M09", "30 x 20")
CHIPBOARD = sheet("M10", "38 x 26")


@pytest.mark.parametrize(
    ("stock", "size", "number"),
    [
        (TEXT, "5 1/2 x 8 1/2", 2),
        (COVER, "5 3/4 x 9", 8),
        (REED, "5 1/2 x 8 1/2", 8),
        (CREAM, "8 x 11", 8),
        (REED, "8 x 11", 3),
        (BOARD, "8 1/4 x 5 3/8", 9),
        (CHIPBOARD, "8 1/4 x 1/2", 208),
        (DRAWING, "5 3/4 x 11 1/2", 5),
        (DRAWING, "6 x 11 1/2", 4),
        (BOARD, "6 x 5 7/8", 15),
        (TIDE, "7 1/2 x 7 3/8", 6),
        (TIDE, "5 3/4 x 5 5/8", 12),
        (COVER, "9 x 18", 2),
        (TISSUE, "9 x 18", 3),
        (COVER, "12 x 3/4", 52),
        (CHIPBOARD, "4 x 4", 54),
        (CHIPBOARD, "9 x 6", 16),
        (MULBERRY, "8 1/2 x 5 1/2", 16),
        (CHIPBOARD, "6 1/4 x 6 1/4", 24),
        (DRAWING, "6 x 21 1/2", 4),
        (BOARD, "6 1/4 x 5 5/8", 12),
        (TIDE, "7 3/4 x 7 1/8", 6),
    ],
)
def test_straight_rows_give_the_number_in_brackets(stock: Stock, size: str, number: int) -> None:
    assert straight_yield(piece("part", size, 1), stock) == number


def test_a_kerf_of_a_thirty_second_costs_three_boards_of_fifteen() -> None:
    kerf = inches("1/32")
    assert straight_yield(piece("board", "6 x 5 7/8", 1), BOARD, Cutter(kerf, kerf)) == 12


@pytest.mark.parametrize(
    ("stock", "size", "number"), [(TIDE, "5 1/2 x 8 1/2", 9), (TIDE, "8 x 11", 5), (BOARD, "8 1/4 x 5 3/8", 11)]
)
def test_ignoring_the_grain_would_give_more(stock: Stock, size: str, number: int) -> None:
    free = piece("part", size, 1, grain_bound=False)
    assert best_yield(free, stock) == number
    assert best_yield(piece("part", size, 1), stock) == straight_yield(piece("part", size, 1), stock) < number


def test_a_one_way_print_is_not_turned_even_where_the_piece_has_no_grain() -> None:
    free = piece("part", "5 1/2 x 8 1/2", 1, grain_bound=False, one_way=True)
    assert best_yield(free, REED) == 8
    assert best_yield(free, TIDE) == 9


def test_mixed_rows_of_a_sheet_without_grain_give_eighteen() -> None:
    assert best_yield(piece("window", "8 1/2 x 5 1/2", 1), MULBERRY) == 18


@pytest.mark.parametrize(("across", "width", "number"), [("13 1/8", "42", 3), ("2 1/2", "40", 16), ("1", "42", 42)])
def test_a_row_of_cloth_gives_whole_pieces(across: str, width: str, number: int) -> None:
    assert row_yield(inches(across), inches(width)) == number


@pytest.mark.parametrize(
    ("length", "reel", "number"),
    [
        ("24", "1800", 75),
        ("72", "1800", 25),
        ("96", "1800", 18),
        ("12", "900", 75),
        ("30", "900", 30),
        ("20", "1200", 60),
        ("16", "1200", 75),
        ("96", "900", 9),
    ],
)
def test_a_reel_gives_whole_pieces(length: str, reel: str, number: int) -> None:
    assert reel_yield(inches(length), inches(reel)) == number

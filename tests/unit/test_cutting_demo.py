"""The demo's sheets needed (demo.md): each class alone and all classes from one plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduling.cutting.lines import Length, Reel, Roll, plan_reel, plan_roll
from scheduling.cutting.plan import first_plan
from scheduling.cutting.problem import CutProblem, Piece, Stock
from tests.support.cut_builders import inches, piece
from tests.support.cut_check import answer_faults
from tests.unit.test_cutting_yields import BOARD, CHIPBOARD, COVER, DRAWING, MULBERRY, REED, TEXT, TIDE, TISSUE

KITS = {"C04": 12, "C05": 10, "C06": 7, "C07": 11, "C08": 12, "C09": 6, "C10": 5}
KITS |= {"C11": 4, "C12": 8, "C13": 10, "C14": 3}
PROJECTS = {"C04": "P4", "C05": "P3", "C06": "P1", "C07": "P6", "C08": "P5", "C09": "P5", "C10": "P3"}
PROJECTS |= {"C11": "P4", "C12": "P5", "C13": "P4", "C14": "P1"}
PARTS = {
    ("M01", "P1"): [("folio", "5 1/2 x 8 1/2", 10)],
    ("M03", "P3"): [("folio", "5 3/4 x 11 1/2", 20)],
    ("M03", "P6"): [("strip", "6 x 21 1/2", 2)],
    ("M04", "P1"): [("cover", "5 3/4 x 9", 1)],
    ("M04", "P4"): [("body", "9 x 18", 1), ("handle", "12 x 3/4", 1)],
    ("M05", "P1"): [("endsheet", "5 1/2 x 8 1/2", 1)],
    ("M06", "P3"): [("outer paper", "7 1/2 x 7 3/8", 2), ("lining", "5 3/4 x 5 5/8", 2)],
    ("M06", "P6"): [("cover paper", "7 3/4 x 7 1/8", 2)],
    ("M07", "P5"): [("window", "8 1/2 x 5 1/2", 4)],
    ("M08", "P4"): [("tissue", "9 x 18", 1)],
    ("M09", "P3"): [("sketchbook board", "6 x 5 7/8", 2)],
    ("M09", "P6"): [("album board", "6 1/4 x 5 5/8", 2)],
    ("M10", "P4"): [("base square", "4 x 4", 1)],
    ("M10", "P5"): [("frame", "9 x 6", 4), ("base", "6 1/4 x 6 1/4", 1)],
}
SHEETS = {
    "M01": replace(TEXT, on_hand=180, pack=500, pack_cost_minor=1400),
    "M03": replace(DRAWING, on_hand=14, pack=10, pack_cost_minor=1650),
    "M04": replace(COVER, on_hand=9, pack=20, pack_cost_minor=1700),
    "M05": replace(REED, on_hand=6, pack=5, pack_cost_minor=2125),
    "M06": replace(TIDE, on_hand=7, pack=5, pack_cost_minor=2350),
    "M07": replace(MULBERRY, on_hand=3, pack=5, pack_cost_minor=2600),
    "M08": replace(TISSUE, on_hand=20, pack=48, pack_cost_minor=960),
    "M09": replace(BOARD, on_hand=6, pack=10, pack_cost_minor=3800),
    "M10": replace(CHIPBOARD, on_hand=8, pack=10, pack_cost_minor=2900),
}
ALONE = {
    "M01": {"C06": 35, "C14": 15},
    "M03": {"C05": 40, "C07": 6, "C10": 20},
    "M04": {"C04": 6, "C06": 1, "C11": 2, "C13": 5, "C14": 1},
    "M05": {"C06": 1, "C14": 1},
    "M06": {"C05": 5, "C07": 4, "C10": 3},
    "M07": {"C08": 3, "C09": 2, "C12": 2},
    "M08": {"C04": 4, "C11": 2, "C13": 4},
    "M09": {"C05": 2, "C07": 2, "C10": 1},
    "M10": {"C04": 1, "C08": 4, "C09": 2, "C11": 1, "C12": 3, "C13": 1},
}
TOGETHER = {"M01": 50, "M03": 65, "M04": 13, "M05": 2, "M06": 10, "M07": 6, "M08": 9, "M09": 4, "M10": 8}
BUY = {"M01": 0, "M03": 6, "M04": 1, "M05": 0, "M06": 1, "M07": 1, "M08": 0, "M09": 0, "M10": 0}


def pieces_for(material: str, classes: list[str]) -> tuple[Piece, ...]:
    """The cut list of one material for some classes, equal parts joined."""
    counts: dict[tuple[str, str], int] = {}
    for one in classes:
        for name, size, number in PARTS.get((material, PROJECTS[one]), []):
            counts[name, size] = counts.get((name, size), 0) + number * KITS[one]
    return tuple(piece(name, size, count) for (name, size), count in counts.items())


def stock(material: str) -> Stock:
    return SHEETS[material]


@pytest.mark.parametrize(
    ("material", "one", "sheets"), [(m, c, n) for m, classes in ALONE.items() for c, n in classes.items()]
)
def test_each_class_alone_takes_the_sheets_of_the_demo(material: str, one: str, sheets: int) -> None:
    problem = CutProblem(pieces_for(material, [one]), (stock(material),))
    answer = first_plan(problem)
    assert answer_faults(problem, answer) == []
    assert answer.best.sheets == sheets
    assert answer.best_possible


@pytest.mark.parametrize(("material", "sheets"), TOGETHER.items())
def test_all_classes_from_one_plan_take_the_sheets_of_the_demo(material: str, sheets: int) -> None:
    problem = CutProblem(pieces_for(material, list(KITS)), (stock(material),))
    answer = first_plan(problem)
    assert answer_faults(problem, answer) == []
    assert answer.best.sheets == sheets == answer.bound.sheets
    assert [line.packs for line in answer.best.taken] == [BUY[material]]


def test_a_sheet_for_each_kind_of_piece_would_take_one_more_for_the_sketchbooks() -> None:
    problem = CutProblem(pieces_for("M06", ["C05"]), (stock("M06"),))
    answer = first_plan(problem)
    apart = [first_plan(replace(problem, pieces=(one,))).best.sheets for one in problem.pieces]
    assert (answer.best.sheets, sum(apart)) == (5, 6)


def test_hinges_of_three_classes_take_27_inches_of_cloth_from_one_plan() -> None:
    cloth = Roll(Reel("M11", inches("180"), on_hand=(inches("96"),), cost_minor=6250), inches("42"))
    lengths = {}
    for name, kits in {"C08": 12, "C09": 6, "C12": 8, "all": 26}.items():
        plan = plan_roll([piece("hinge", "9 x 1", 4 * kits)], cloth)
        lengths[name] = plan.length_units // inches("1")
        assert plan.lengths.to_buy == 0
    assert lengths == {"C08": 18, "C09": 9, "C12": 9, "all": 27}


@pytest.mark.parametrize(
    ("reel", "pieces", "to_buy"),
    [
        (Reel("M13", inches("1800"), on_hand=(inches("900"),)), [("96", 15), ("24", 10)], 1),
        (Reel("M14", inches("900"), on_hand=(inches("400"),)), [("30", 11)], 0),
        (Reel("M16", inches("1200"), on_hand=(inches("700"),)), [("20", 26), ("16", 26)], 1),
    ],
)
def test_reels_are_counted_in_whole_pieces(reel: Reel, pieces: list[tuple[str, int]], to_buy: int) -> None:
    plan = plan_reel([Length(size, inches(size), count) for size, count in pieces], reel)
    assert plan.to_buy == plan.least_to_buy == to_buy

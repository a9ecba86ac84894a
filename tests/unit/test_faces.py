"""Which side of a part shows: kept on the bill, carried to the next version, counted apart and said in the cut plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from scheduling.commands.bill_rows import BillEntry
from scheduling.commands.bills import ChangeBillLine, SetBill, TakeNewVersion
from scheduling.commands.materials import ChangeMaterial
from scheduling.cutting.drawing import draw_svg, draw_text
from scheduling.cutting.plan import first_plan
from scheduling.cutting.problem import CutProblem, Piece
from scheduling.errors import InvalidError
from scheduling.model.materials import BillLine
from scheduling.queries.cut_plans import CutPlans, MaterialCut
from scheduling.queries.kit_shelves import BillOf
from scheduling.studio import Studio
from scheduling.typed_bill import read_ways, ways_text
from tests.support.cut_builders import inches, sheet
from tests.support.cut_check import answer_faults, faults_of
from tests.support.kit_studio import demo_studio
from tui.cut_words import face_text, look_of

PAMPHLET, CLASS, COVER_PAPER, BAG = 1, 14, 4, 20


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def problem(*, two_sided: bool) -> CutProblem:
    sides = inches("8"), inches("5")
    pieces = (Piece("outside", *sides, 6, face="front"), Piece("inside", *sides, 6, hand="left", face="back"))
    return CutProblem(pieces, (replace(sheet("S", "26 x 20", trim="1/4"), two_sided=two_sided),))


@pytest.mark.parametrize("two_sided", [True, False])
def test_a_piece_is_turned_over_only_where_the_faces_differ_and_its_back_shows(*, two_sided: bool) -> None:
    asked = problem(two_sided=two_sided)
    answer = first_plan(asked)
    assert answer_faults(asked, answer) == []
    over = {blank.piece_id for run in answer.best.runs for blank in run.layout.pieces if blank.over}
    assert over == (set() if two_sided else {"inside"})


def test_the_checker_finds_a_piece_with_the_wrong_side_up() -> None:
    asked = problem(two_sided=False)
    plan = first_plan(asked).best
    assert "wrong side up" in " ".join(faults_of(problem(two_sided=True), plan))
    swapped = replace(asked, pieces=tuple(replace(one, face="front") for one in asked.pieces))
    assert "inside comes out with the wrong side up" in " ".join(faults_of(swapped, plan))


def covers(studio: Studio, *, two_sided: bool) -> MaterialCut:
    """The cut plan of a pair of covers that show different sides."""
    studio.do(ChangeMaterial(material_id=COVER_PAPER, two_sided=two_sided))
    size = "5 3/4 x 9"
    lines = (
        BillEntry(part="Cover", material_id=COVER_PAPER, size=size, hand="left", face="front"),
        BillEntry(part="Back cover", material_id=COVER_PAPER, size=size, hand="right", face="back"),
        BillEntry(part="Bag", material_id=BAG),
    )
    studio.do(SetBill(project_id=PAMPHLET, lines=lines))
    studio.do(TakeNewVersion(class_date_id=CLASS))
    (found,) = studio.ask(CutPlans((CLASS,), COVER_PAPER))
    return found


def test_the_cut_plan_counts_sides_apart_and_says_which_is_turned_over(studio: Studio) -> None:
    found = covers(studio, two_sided=False)
    assert dict(found.pieces) == {"Cover (left, good side)": 3, "Back cover (right, back)": 3}
    plan = found.plans[0]
    look = look_of(plan, "in")
    assert face_text(found.material, plan, look) == (
        "Good side up: turn no sheet over. B shows the back: turn over once cut."
    )
    (run, *_) = plan.runs
    drawn = "\n".join(draw_text(run.layout, run.grain, width=60, height=30, look=look))
    assert "B back" in drawn
    assert "A back" not in drawn
    assert "B back" in draw_svg(run.layout, run.grain, title="covers", look=look)


def test_where_both_faces_are_alike_there_is_nothing_to_turn_over(studio: Studio) -> None:
    found = covers(studio, two_sided=True)
    assert dict(found.pieces) == {"Cover (left)": 3, "Back cover (right)": 3}
    assert face_text(found.material, found.plans[0]) == ""
    assert not any(blank.over for run in found.plans[0].runs for blank in run.layout.pieces)


def test_a_change_of_another_part_carries_the_face_to_the_next_version(studio: Studio) -> None:
    covers(studio, two_sided=False)
    studio.do(ChangeBillLine(project_id=PAMPHLET, part="Bag", line=BillEntry(part="Bag", material_id=BAG, quantity=2)))
    faces = {line.part: line.face for line, _ in studio.ask(BillOf(PAMPHLET)).lines}
    assert faces == {"Cover": "front", "Back cover": "back", "Bag": ""}


def test_the_ways_a_part_lies_read_back_as_they_are_shown() -> None:
    line = BillLine("Cover", 4, free_grain=True, one_way=True, fold="across", hand="left", face="back")
    assert ways_text(line) == "may be turned, one way up, folded across the grain, left of a pair, back shows"
    assert replace(BillLine("Cover", 4), **read_ways(ways_text(line))) == line
    assert (read_ways(""), ways_text(BillLine("Cover", 4))) == ({}, "")


@pytest.mark.parametrize("typed", ["upside down", "back shows, good side shows"])
def test_what_is_no_way_to_lie_is_refused_with_the_mend(typed: str) -> None:
    with pytest.raises(InvalidError) as caught:
        read_ways(typed)
    assert caught.value.hint

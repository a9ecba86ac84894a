"""What a late sign-up can still get: kits that the stock allows, held to hand-worked figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest

from scheduling.buying.cut_lists import Part
from scheduling.buying.more_kits import MOST, more_kits
from scheduling.lengths import COUNTS, Length
from scheduling.model.materials import Bench, BillLine, Form, Holding, LinePer, Material


def inches(number: int) -> Length:
    return Length(number * COUNTS["in"])


PAPER = Material(1, "Paper", Form.SHEET, along=inches(12), across=inches(12), grain="long")
RIBBON = Material(2, "Ribbon", Form.REEL, along=inches(100))
CLOTH = Material(3, "Cloth", Form.ROLL, along=inches(100), across=inches(20), grain="long")
BAG = Material(4, "Bag", Form.EACH)
KNOWN = {material.id: material for material in (PAPER, RIBBON, CLOTH, BAG)}
COVER = BillLine("Cover", 1, 2, along=inches(6), across=inches(6))
LINING = BillLine("Lining", 1, 2, along=inches(6), across=inches(6))
TIE = BillLine("Tie", 2, 1, along=inches(30))
SPINE = BillLine("Spine", 3, 2, along=inches(10), across=inches(10))


def more(*lines: BillLine, needed: Mapping[int, Sequence[Part]] | None = None, **held: Holding) -> int:
    numbers = {"paper": 1, "ribbon": 2, "cloth": 3, "bags": 4}
    return more_kits(lines, KNOWN, needed or {}, {numbers[name]: each for name, each in held.items()}, Bench())


def test_a_reel_gives_whole_pieces_and_its_tail_gives_none() -> None:
    assert more(TIE, ribbon=Holding(whole=1, lengths=(59 * COUNTS["in"],))) == 3 + 1


def test_a_roll_gives_whole_rows() -> None:
    assert more(SPINE, cloth=Holding(lengths=(39 * COUNTS["in"],))) == 3


def test_two_parts_of_one_material_share_its_sheets() -> None:
    # Four squares a sheet, four squares a kit: three sheets are three kits, not six.
    assert more(COVER, LINING, paper=Holding(whole=3)) == 3


def test_what_classes_need_is_not_given_away() -> None:
    needed = {1: (Part.of(COVER, 5),)}
    assert more(COVER, needed=needed, paper=Holding(whole=3)) == 3
    assert more(COVER, needed={1: (Part.of(COVER, 13),)}, paper=Holding(whole=3)) == 0


def test_off_cuts_are_counted_on() -> None:
    off_cut = (6 * COUNTS["in"], 12 * COUNTS["in"], "short", 1)
    assert more(COVER, paper=Holding(whole=1, off_cuts=(off_cut,))) == 3


def test_the_scarcest_material_decides_and_none_at_all_is_none() -> None:
    bag = BillLine("Bag", 4)
    assert more(COVER, TIE, bag, paper=Holding(whole=9), ribbon=Holding(whole=9), bags=Holding(whole=2)) == 2
    assert more(COVER, bag, paper=Holding(whole=9)) == 0


@pytest.mark.parametrize("per", [LinePer.HEAD, LinePer.CLASS, LinePer.MAILED_HEAD])
def test_what_is_in_no_kit_limits_none(per: LinePer) -> None:
    bag = BillLine("Bag", 4)
    assert more(bag, BillLine("Mailer", 2, per=per, along=inches(30)), bags=Holding(whole=5)) == 5


def test_the_search_ends_on_an_endless_shelf() -> None:
    assert more(BillLine("Bag", 4), bags=Holding(whole=10**6)) == MOST


def test_a_part_that_no_stock_fits_allows_no_kit() -> None:
    giant = BillLine("Giant", 1, along=inches(40), across=inches(6))
    assert more(giant, paper=Holding(whole=9)) == 0

"""What a late sign-up can still get: kits that the stock allows, held to hand-worked figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest

from scheduling.buying.cut_lists import Part
from scheduling.buying.more_kits import MOST, LateSignUps, Limit, Shelf, late_sign_ups
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


def late(
    *lines: BillLine,
    needed: Mapping[int, Sequence[Part]] | None = None,
    spares: int = 0,
    mailed: bool = False,
    on_order: Mapping[int, int] | None = None,
    known: Mapping[int, Material] = KNOWN,
    **held: Holding,
) -> LateSignUps:
    shelf = Shelf(known, needed or {}, _by_number(held), Bench(), on_order or {})
    return late_sign_ups(lines, shelf, spares=spares, mailed=mailed)


def more(*lines: BillLine, needed: Mapping[int, Sequence[Part]] | None = None, **held: Holding) -> int:
    return late_sign_ups(lines, Shelf(KNOWN, needed or {}, _by_number(held), Bench(), {})).heads


def _by_number(held: Mapping[str, Holding]) -> dict[int, Holding]:
    numbers = {"paper": 1, "ribbon": 2, "cloth": 3, "bags": 4}
    return {numbers[name]: each for name, each in held.items()}


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


@pytest.mark.parametrize(
    ("per", "mailed", "heads"),
    [
        (LinePer.CLASS, True, 5),
        (LinePer.MAILED_HEAD, False, 5),
        (LinePer.MAILED_HEAD, True, 2),
        (LinePer.HEAD, False, 2),
    ],
)
def test_what_each_head_gets_beside_its_kit_limits_too(per: LinePer, *, mailed: bool, heads: int) -> None:
    lines = (BillLine("Bag", 4), BillLine("Mailer", 2, per=per, along=inches(30)))
    assert late(*lines, mailed=mailed, bags=Holding(whole=5), ribbon=Holding(lengths=(inches(70).counts,))) == (
        LateSignUps(heads, (Limit(4, 1) if heads == 5 else Limit(2, 1),))
    )


def test_spares_are_given_first_and_need_no_new_kit() -> None:
    mailer = BillLine("Mailer", 2, per=LinePer.HEAD, along=inches(30))
    bag = BillLine("Bag", 4)
    assert late(bag, spares=2, bags=Holding(whole=1)) == LateSignUps(3, (Limit(4, 1),))
    assert late(bag, mailer, spares=2, bags=Holding(whole=9), ribbon=Holding(lengths=(inches(59).counts,))).heads == 1
    lacking = {4: (Part.of(bag, 9),)}
    assert late(bag, spares=2, needed=lacking, bags=Holding(whole=1)).heads == 2  # those kits are made anyway


def test_every_material_that_one_more_lacks_is_named_with_the_packs_that_lift_it() -> None:
    bags_in_tens = KNOWN | {4: replace(BAG, pack=10)}
    found = late(
        COVER, BillLine("Bag", 4, 3), needed={4: (Part.of(BillLine("Bag", 4), 25),)}, known=bags_in_tens,
        paper=Holding(whole=1), bags=Holding(whole=31),
    )  # fmt: skip
    assert found == LateSignUps(2, (Limit(1, 1), Limit(4, 1)))
    short = late(BillLine("Bag", 4), needed={4: (Part.of(BillLine("Bag", 4), 25),)}, known=bags_in_tens)
    assert short == LateSignUps(0, (Limit(4, 3),))  # 26 bags, three packs of ten


def test_what_is_on_order_lifts_a_limit_before_more_is_bought() -> None:
    bag = BillLine("Bag", 4, 2)
    assert late(bag, bags=Holding(whole=3), on_order={4: 1}).limits == (Limit(4, 0),)
    assert late(bag, bags=Holding(whole=2), on_order={4: 1}).limits == (Limit(4, 1),)


def test_the_search_ends_on_an_endless_shelf() -> None:
    assert more(BillLine("Bag", 4), bags=Holding(whole=10**6)) == MOST


def test_a_part_that_no_stock_fits_allows_no_kit() -> None:
    giant = BillLine("Giant", 1, along=inches(40), across=inches(6))
    assert late(giant, paper=Holding(whole=9)) == LateSignUps(0, (Limit(1, None),))

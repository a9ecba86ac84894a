"""The demo's needs, and the situations that it plants in them (demo.md)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.bookings import Book
from scheduling.commands.materials import ChangeMaterial
from scheduling.commands.stock import AllotStock, CountStock
from scheduling.model.deadlines import order_by
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.kit_costs import CostOfKit
from scheduling.queries.needs import NeedRow, Needs
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio

TOGETHER = {1: 50, 3: 65, 4: 13, 5: 2, 6: 10, 7: 6, 8: 9, 9: 4, 10: 8, 15: 25, 17: 52, 18: 52, 19: 104, 20: 88, 21: 88}
TOGETHER |= {22: 12}
BUY = {1: 0, 3: 6, 4: 1, 5: 0, 6: 1, 7: 1, 8: 0, 9: 0, 10: 0, 11: 0, 13: 1, 14: 0, 16: 1, 15: 1, 17: 2, 18: 0}
BUY |= {19: 3, 20: 1, 21: 0, 22: 1}
ALONE = {
    1: {6: 35, 14: 15},
    3: {5: 40, 7: 6, 10: 20},
    4: {4: 6, 6: 1, 11: 2, 13: 5, 14: 1},
    5: {6: 1, 14: 1},
    6: {5: 5, 7: 4, 10: 3},
    7: {8: 3, 9: 2, 12: 2},
    8: {4: 4, 11: 2, 13: 4},
    9: {5: 2, 7: 2, 10: 1},
    10: {4: 1, 8: 4, 9: 2, 11: 1, 12: 3, 13: 1},
    11: {8: 18 * 1_016_000, 9: 9 * 1_016_000, 12: 9 * 1_016_000},
    22: {7: 9, 10: 3},
}
COST = {1: 132, 2: 958, 3: 1081, 4: 228, 5: 473, 6: 397}


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def needs(studio: Studio) -> dict[int, NeedRow]:
    return {row.material.id: row for row in studio.ask(Needs())}


def shorts(row: NeedRow) -> dict[int, int]:
    return {one.class_id: one.need.short for one in row.classes if one.need.short}


def test_all_classes_from_one_plan_need_what_the_demo_says(studio: Studio) -> None:
    found = needs(studio)
    assert {number: found[number].need.together for number in TOGETHER} == TOGETHER
    assert {number: row.need.packs for number, row in found.items()} == BUY


def test_each_class_alone_needs_what_the_demo_says(studio: Studio) -> None:
    found = needs(studio)
    for number, classes in ALONE.items():
        assert {one.class_id: one.need.alone for one in found[number].classes} == classes


@pytest.mark.parametrize(("project", "minor"), COST.items())
def test_a_kit_costs_what_the_demo_says(studio: Studio, project: int, minor: int) -> None:
    cost = studio.ask(CostOfKit(project))
    assert cost is not None
    assert cost.total == minor
    assert cost.unknown == ()
    assert abs(cost.materials + cost.packaging + cost.waste - cost.total) <= 1


def test_situation_1_c07_gets_its_six_sheets_and_c05_waits_for_the_order(studio: Studio) -> None:
    found = needs(studio)
    paper = {one.class_id: one for one in found[3].classes}
    assert (paper[7].need.from_stock, paper[7].need.short) == (6, 0)
    assert (paper[5].need.from_stock, paper[5].need.short) == (8, 32)
    assert found[3].arrives == dt.date(2027, 2, 10)
    assert paper[5].need.aim_day == dt.date(2027, 2, 4)
    assert paper[5].aim_missed
    assert not paper[5].endangered
    assert (shorts(found[6])[5], shorts(found[13])[5], shorts(found[19])[5]) == (2, 1, 9)
    assert found[13].arrives == dt.date(2027, 2, 8)


def test_situation_2_lights_are_two_packs_short_and_come_on_27_feb(studio: Studio) -> None:
    lights = needs(studio)[17]
    assert (lights.need.on_hand, lights.need.to_buy, lights.need.packs) == (26, 26, 2)
    assert [one.class_id for one in lights.classes if not one.need.short] == [4, 8]
    c09 = next(one for one in lights.classes if one.class_id == 9)
    assert lights.arrives == c09.need.aim_day == dt.date(2027, 2, 27)
    assert lights.supplier is not None
    assert order_by(dt.date(2027, 3, 2), lights.supplier.delivery).day == dt.date(2027, 2, 4)


def test_situation_9_the_dropped_paper_names_its_projects_and_its_last_orders(studio: Studio) -> None:
    tide = needs(studio)[6]
    assert tide.about[0] == "It is dropped: last orders Wed 24 Mar. It is in Concertina album and Coptic sketchbook."
    assert (tide.need.packs, [one.class_id for one in tide.classes]) == (1, [7, 5, 10])


def test_situation_13_mailers_come_on_5_feb(studio: Studio) -> None:
    mailers = needs(studio)[22]
    assert shorts(mailers) == {7: 3, 10: 3}
    assert (mailers.arrives, mailers.cost) == (dt.date(2027, 2, 5), 2375)
    assert mailers.supplier is not None
    assert mailers.cost < mailers.supplier.least_order


def test_board_is_only_enough_when_all_is_cut_from_one_plan(studio: Studio) -> None:
    board = needs(studio)[10]
    assert board.need.pooled
    assert board.about == ("So few are enough only when C04, C08, C09, C11, C12, C13 are cut from one plan.",)


def test_stock_allotted_by_hand_goes_before_the_order_of_need(studio: Studio) -> None:
    studio.do(AllotStock(class_date_id=5, material_id=3, amount=14))
    assert shorts(needs(studio)[3]) == {7: 6, 5: 26, 10: 20}


def test_more_heads_are_seen_at_once(studio: Studio) -> None:
    before = needs(studio)[20].need.together
    studio.do(Book(class_date_id=14, payer_id=2))
    assert needs(studio)[20].need.together == before + 1


def test_a_count_that_differs_changes_what_is_short(studio: Studio) -> None:
    studio.do(CountStock(material_id=17, whole=20, note="six broken"))
    assert needs(studio)[17].need.to_buy == 32


def test_an_off_cut_on_hand_saves_a_sheet(studio: Studio) -> None:
    studio.do(CountStock(material_id=3, off_cuts=(("30 x 22", 6),), note="found in the drawer"))
    assert needs(studio)[3].need.together == 59


def test_a_dearer_pack_is_seen_in_the_money_of_a_class(studio: Studio) -> None:
    before = studio.ask(ClassMoney(5))
    studio.do(ChangeMaterial(material_id=3, price_minor=3300))
    after = studio.ask(ClassMoney(5))
    cost = studio.ask(CostOfKit(3))
    assert cost is not None
    assert cost.total == 1741  # twice the paper: 4 sheets of 33.00 / 10 instead of 16.50 / 10
    assert before.net_per_head.amount - after.net_per_head.amount == 1741 - 1081

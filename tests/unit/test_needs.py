"""Needs of one material: served in turn, from one plan, from orders; odd sizes and large numbers."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.buying.cut_lists import Part
from scheduling.buying.needs import Coming, Demand, material_need
from scheduling.lengths import read_length
from scheduling.model.materials import Bench, Form, Heads, Holding, LinePer, Material, counts_of
from scheduling.model.materials import BillLine as Line

BENCH = Bench()
DAY = dt.date(2027, 2, 1)


def counts(text: str) -> int:
    return read_length(text).counts


def sheet(size: str = "20 x 30", *, grain: str = "long", trim: str = "0", pack: int = 10) -> Material:
    across, along = (read_length(side) for side in size.split(" x "))
    return Material(1, "Paper", Form.SHEET, 1, along, across, grain, trim=read_length(trim), pack=pack, price=1000)


def part(size: str, count: int, *, free: bool = False) -> Part:
    along, across = size.split(" x ")
    return Part("piece", counts(along), counts(across), count, free_grain=free)


def demand(class_id: int, *parts: Part, day: int = 0, allotted: int = 0) -> Demand:
    need = DAY + dt.timedelta(days=day or class_id)
    return Demand(class_id, need, need, parts, allotted)


def test_a_thousand_kits_are_counted_exactly() -> None:
    need = material_need(sheet(), [demand(1, part("10 x 5", 1000))], Holding(), [], BENCH)
    assert (need.together, need.packs, need.left_of_packs) == (84, 9, 6)


def test_a_piece_as_large_as_the_sheet_takes_a_sheet_each() -> None:
    assert material_need(sheet(), [demand(1, part("30 x 20", 7))], Holding(), [], BENCH).together == 7


def test_a_piece_of_the_trimmed_size_just_fits_and_one_count_more_does_not() -> None:
    trimmed = sheet(trim="1/4")
    assert material_need(trimmed, [demand(1, part("29 1/2 x 19 1/2", 2))], Holding(), [], BENCH).together == 2
    over = Part("piece", counts("29 1/2") + 1, counts("19 1/2"), 2)
    found = material_need(trimmed, [demand(1, over)], Holding(), [], BENCH)
    assert found.trouble.startswith("piece, ")
    assert (found.together, found.to_buy, found.classes) == (0, 0, ())


def test_a_kerf_that_just_does_not_fit_costs_a_row() -> None:
    exact = [demand(1, part("10 x 20", 3))]
    assert material_need(sheet(), exact, Holding(), [], BENCH).together == 1
    assert material_need(sheet(), exact, Holding(), [], Bench(kerf=1)).together == 2


def test_inches_and_millimetres_mix_exactly() -> None:
    metric = Material(1, "A4", Form.SHEET, 1, read_length("297 mm"), read_length("210 mm"), "long", pack=1, price=5)
    need = material_need(
        metric, [demand(1, part("148.5mm x 105mm", 8), part("5 3/4 x 4 1/8", 4))], Holding(), [], BENCH
    )
    assert need.together == 3


def test_no_pieces_need_nothing() -> None:
    need = material_need(sheet(), [demand(1, part("5 x 5", 0))], Holding(), [], BENCH)
    assert (need.classes, need.together, need.packs) == ((), 0, 0)


def test_classes_are_served_in_the_order_of_their_need_days_whatever_their_numbers() -> None:
    demands = [demand(1, part("30 x 20", 4), day=9), demand(2, part("30 x 20", 4), day=3)]
    need = material_need(sheet(), demands, Holding(5), [], BENCH)
    assert [(one.class_id, one.from_stock, one.short) for one in need.classes] == [(2, 4, 0), (1, 1, 3)]


def test_what_one_plan_still_serves_from_stock_lacks_nothing() -> None:
    demands = [demand(number, part("10 x 20", 1)) for number in (1, 2, 3)]
    need = material_need(sheet(), demands, Holding(1), [], BENCH)
    assert [one.short for one in need.classes] == [0, 0, 0]
    assert (need.together, need.pooled, need.packs) == (1, True, 0)


def test_sheets_kept_for_a_later_class_are_not_given_to_an_earlier_one() -> None:
    demands = [demand(1, part("30 x 20", 3)), demand(2, part("30 x 20", 3), allotted=3)]
    need = material_need(sheet(), demands, Holding(4), [], BENCH)
    assert [(one.from_stock, one.short) for one in need.classes] == [(1, 2), (3, 0)]


def test_the_first_orders_to_come_serve_the_first_classes() -> None:
    demands = [demand(1, part("30 x 20", 4)), demand(2, part("30 x 20", 4))]
    coming = [Coming(8, DAY + dt.timedelta(20), 5), Coming(7, DAY + dt.timedelta(5), 3)]
    need = material_need(sheet(), demands, Holding(1), coming, BENCH)
    assert [(one.orders, one.ready_on) for one in need.classes] == [
        ((7,), DAY + dt.timedelta(5)),
        ((7, 8), DAY + dt.timedelta(20)),
    ]
    assert need.to_buy == 0


def test_a_class_that_orders_cover_only_in_part_is_short_of_the_rest() -> None:
    need = material_need(sheet(), [demand(1, part("30 x 20", 9))], Holding(1), [Coming(7, DAY, 3)], BENCH)
    assert [(one.from_stock, one.from_orders, one.short, one.ready_on) for one in need.classes] == [(1, 3, 5, None)]
    assert (need.to_buy, need.packs) == (5, 1)


@pytest.mark.parametrize(("lengths", "new", "short"), [(("100 in",), 1, 1), (("100 in", "30 in"), 0, 0), ((), 1, 4)])
def test_reels_yield_whole_pieces_only(lengths: tuple[str, ...], new: int, short: int) -> None:
    reel = Material(1, "Ribbon", Form.REEL, 1, read_length("500 in"), pack=1, price=700)
    pieces = Part("tie", counts("30 in"), 0, 4)
    held = Holding(lengths=tuple(counts(length) for length in lengths))
    need = material_need(reel, [demand(1, pieces)], held, [], BENCH)
    assert (need.together, need.classes[0].short) == (new, short)


def test_a_length_longer_than_the_reel_is_said() -> None:
    reel = Material(1, "Ribbon", Form.REEL, 1, read_length("20 in"), pack=1, price=700)
    need = material_need(reel, [demand(1, Part("tie", counts("30 in"), 0, 4))], Holding(), [], BENCH)
    assert need.trouble


def test_an_option_puts_another_material_in_the_place_of_the_lines_own() -> None:
    line = Line("Glue", 19, 2, options=(("no PVA", 30), ("own glue", None)))
    heads = Heads(12, 10, 0, (("no PVA", 2), ("own glue", 1)))
    assert counts_of(line, heads) == ((19, 18), (30, 4))


@pytest.mark.parametrize(
    ("per", "wanted"), [(LinePer.KIT, 24), (LinePer.HEAD, 20), (LinePer.MAILED_HEAD, 18), (LinePer.CLASS, 2)]
)
def test_a_line_is_counted_by_kit_head_mailed_head_or_class(per: LinePer, wanted: int) -> None:
    assert counts_of(Line("Part", 5, 2, per), Heads(12, 10, 9)) == ((5, wanted),)

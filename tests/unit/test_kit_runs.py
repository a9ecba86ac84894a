"""Kit runs in the demo studio: cut plans with their sums, sheets cut out of stock, steps, parcels, left-overs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.bill_rows import BillEntry
from scheduling.commands.bills import ChooseKitOptions, SetBill, TakeNewVersion
from scheduling.commands.bookings import Book
from scheduling.commands.cutting import CutSheets
from scheduling.commands.kit_runs import BeginKitRun, NoteKits, PostKit, ReturnKits, TickKits
from scheduling.commands.projects import ChangeProject
from scheduling.commands.stock import CountStock, MoveStock
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.cut_plans import CutPlans, MaterialCut
from scheduling.queries.cut_together import CutTogether
from scheduling.queries.kit_costs import CashOfClassKits
from scheduling.queries.kit_runs import KitRun
from scheduling.queries.kit_shelves import BillOf
from scheduling.queries.needs import Needs
from scheduling.queries.stock import Journal, Stock, StockRow
from scheduling.studio import Studio
from tests.support.cut_check import answer_faults
from tests.support.kit_studio import demo_studio


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def cut(studio: Studio, material: int, *classes: int) -> MaterialCut:
    (found,) = studio.ask(CutPlans(classes, material))
    return found


def stock(studio: Studio, material: int) -> StockRow:
    return next(row for row in studio.ask(Stock()) if row.material.id == material)


def done(studio: Studio, class_id: int) -> dict[str, int]:
    return {f"{row.step} {row.part}".strip(): row.done for row in studio.ask(KitRun(class_id)).steps}


def test_every_plan_of_the_demo_passes_the_checker(studio: Studio) -> None:
    for class_id in range(4, 15):
        for one in studio.ask(CutPlans((class_id,))):
            assert not one.trouble
            if one.problem is not None and one.answer is not None:
                assert answer_faults(one.problem, one.answer) == []


def test_situation_7_lantern_classes_cut_together_take_a_sheet_less_of_mulberry(studio: Studio) -> None:
    alone = [cut(studio, 7, class_id).plans[0].sheets for class_id in (8, 9, 12)]
    together = cut(studio, 7, 8, 9, 12).plans[0]
    assert (alone, together.sheets) == ([3, 2, 2], 6)
    assert sum(studio.ask(KitRun(class_id)).kits for class_id in (8, 9, 12)) == 26


def test_situation_7_is_offered_as_classes_worth_cutting_together(studio: Studio) -> None:
    rows = {row.project_id: row for row in studio.ask(CutTogether())}
    lanterns = rows[5]
    assert (lanterns.classes, lanterns.kits) == ((8, 9, 12), 26)
    mulberry = next(one for one in lanterns.savings if one.material.id == 7)
    assert (mulberry.sheets_apart, mulberry.sheets) == (7, 6)
    assert lanterns.sheets_saved >= 1


def test_why_so_many_sheets_gives_the_sum(studio: Studio) -> None:
    why = cut(studio, 5, 6).why
    assert why[0] == "7 Endsheet, 5 1/2 in x 8 1/2 in: a sheet gives 8 (9 if its pattern did not matter)."
    assert "At least 1 sheet is needed." in why
    assert "No mix of sheets cut in up to three stages does it in 39 sheets." in cut(studio, 3, 5).why


def test_sheets_cut_leave_the_stock_and_count_as_pieces(studio: Studio) -> None:
    kept = studio.do(CutSheets(class_date_ids=(7,), material_id=3))
    assert (kept.sheets, kept.pieces) == (6, 22)
    assert stock(studio, 3).holding.whole == 8
    assert done(studio, 7)["cut Concertina strip (4 panels of 5 3/8)"] == 22
    assert cut(studio, 3, 7).why == ("All of it is cut.",)
    row = next(row for row in studio.ask(Needs()) if row.material.id == 3)
    assert [one.class_id for one in row.classes] == [5, 10]


def test_cutting_that_is_broken_off_goes_on_with_what_is_left(studio: Studio) -> None:
    studio.do(CutSheets(class_date_ids=(7,), material_id=3, pattern=1, sheets=2))
    assert done(studio, 7)["cut Concertina strip (4 panels of 5 3/8)"] == 8
    assert sum(count for _, count in cut(studio, 3, 7).pieces) == 14
    studio.do(CutSheets(class_date_ids=(7,), material_id=3))
    assert stock(studio, 3).holding.whole == 8


def test_off_cuts_go_back_with_their_grain_and_are_offered_first(studio: Studio) -> None:
    kept = studio.do(CutSheets(class_date_ids=(6,), material_id=5))
    held = stock(studio, 5).holding
    assert kept.kept == sum(count for *_, count in held.off_cuts) > 0
    assert all(grain in ("long", "short") for _, _, grain, _ in held.off_cuts)
    assert all((along >= across) == (grain == "long") for along, across, grain, _ in held.off_cuts)


def test_a_cut_is_taken_back_whole(studio: Studio) -> None:
    kept = studio.do(CutSheets(class_date_ids=(7,), material_id=3))
    studio.do(Undo(history_id=kept.history_id))
    assert stock(studio, 3).holding.whole == 14
    assert sum(count for _, count in cut(studio, 3, 7).pieces) == 22


def test_more_sheets_than_there_are_cannot_be_cut(studio: Studio) -> None:
    with pytest.raises(ConflictError, match="40 sheets of Drawing paper are to be cut, and 14 are on hand"):
        studio.do(CutSheets(class_date_ids=(5,), material_id=3))


def test_ribbon_is_cut_off_its_reel_and_the_rest_goes_back(studio: Studio) -> None:
    studio.do(CutSheets(class_date_ids=(7,), material_id=14))
    assert stock(studio, 14).holding.lengths == ((400 - 11 * 30) * 1_016_000,)
    assert done(studio, 7)["cut Ribbon tie"] == 11


def test_cloth_is_cut_in_rows_off_its_roll(studio: Studio) -> None:
    studio.do(CutSheets(class_date_ids=(8, 9, 12), material_id=11))
    assert stock(studio, 11).holding.lengths == ((96 - 27) * 1_016_000,)
    assert done(studio, 9)["cut Corner hinge strip"] == 24


def test_bagging_takes_things_and_a_lower_count_brings_them_back(studio: Studio) -> None:
    studio.do(TickKits(class_date_id=4, step="bag", done=12, checked_by="Ada"))
    assert (stock(studio, 17).holding.whole, stock(studio, 20).holding.whole) == (14, 52)
    studio.do(TickKits(class_date_id=4, step="bag", done=10))
    assert stock(studio, 17).holding.whole == 16
    row = next(step for step in studio.ask(KitRun(4)).steps if step.step == "bag")
    assert (row.done, row.wanted, row.left, row.checked_by) == (10, 12, 2, "Ada")


def test_things_that_are_used_but_not_counted_are_said(studio: Studio) -> None:
    studio.do(CountStock(material_id=17, whole=5, note="box was damp"))
    kept = studio.do(TickKits(class_date_id=4, step="bag", done=12))
    assert stock(studio, 17).holding.whole == 0
    assert any("LED tea light" in warning for warning in kept.warnings)


def test_more_heads_ask_for_more_pieces_and_what_is_cut_stays(studio: Studio) -> None:
    studio.do(CutSheets(class_date_ids=(7,), material_id=3))
    studio.do(Book(class_date_id=7, payer_id=2))
    assert dict(cut(studio, 3, 7).pieces) == {"Concertina strip (4 panels of 5 3/8)": 2}


def test_the_page_of_a_kit_run_gives_the_sum_behind_its_kits(studio: Studio) -> None:
    page = studio.ask(KitRun(7))
    assert (page.kits, page.heads, page.spares, page.demo_copies) == (11, 9, 1, 1)
    assert page.post_by == dt.date(2027, 2, 10)
    (limit,) = page.late.limits
    assert (page.late.heads, limit.material.id, limit.packs, limit.cost) == (0, 22, 1, 2375)  # 9 mailers, 6 there
    assert (limit.comes, limit.in_time) == (dt.date(2027, 2, 5), True)
    assert next((tool.name, tool.wanted, tool.short) for tool in page.tools) == ("Cutting mat", 9, 0)
    assert page.weight.has_boards
    assert page.weight.mail.startswith("parcel")
    assert dict(page.label.contents)["Cover board"] == 2
    assert {row.material.id for row, _ in page.shorts} == {22}


def test_what_would_come_too_late_for_a_late_sign_up_may_be_taken_from_classes_that_can_wait(studio: Studio) -> None:
    late = studio.ask(KitRun(4)).late
    assert late.heads == 1  # the spare kit
    found = {limit.material.id: (limit.in_time, limit.from_classes) for limit in late.limits}
    assert found[4] == (False, (6, 11, 13, 14))  # nine sheets are there, C04 takes six; 10 Feb serves the others
    assert found[20] == (True, ())
    assert found[17] == (False, (9, 11, 12, 13))  # not C08, whose lights would come too late


@pytest.mark.parametrize(
    ("class_id", "total", "left"),
    [
        # 4 packs of M03, one of the others: 66 + 23.50 + 38 + 7.50 + 5 + 16 + 19 + 12; left of them
        # 8 sheets of M09, 15 needles, 22 cups, 90 bags, 230 labels: 30.40 + 3 + 11 + 17.10 + 11.50
        (5, 18700, 7300),
        # 26 + 29 + 62.50 + 4.80 + 21.60 + 4 + 16 + 19 + 12; 15.60 + 23.20 + 0 + 0 + 16.20 + 3.52 + 10 + 17.86 + 11.70
        (9, 19490, 9808),
    ],
)
def test_kits_cost_cash_in_whole_packs_to_the_cent(studio: Studio, class_id: int, total: int, left: int) -> None:
    cash = studio.ask(CashOfClassKits(class_id))
    assert cash is not None
    assert (cash.total, cash.left) == (total, left)
    studio.do(CutSheets(class_date_ids=(9,), material_id=10))  # what is cut already still cost its pack
    assert studio.ask(CashOfClassKits(class_id)) == cash


def test_what_a_class_lacks_is_the_same_whether_all_needs_are_known_or_not(studio: Studio) -> None:
    alone = {class_id: studio.ask(KitRun(class_id)).shorts for class_id in (4, 5, 9, 13)}
    studio.ask(Needs())
    assert {class_id: studio.ask(KitRun(class_id)).shorts for class_id in alone} == alone
    assert alone[5]


def test_tools_owned_are_held_against_the_heads(studio: Studio) -> None:
    page = studio.ask(KitRun(8))
    assert {tool.name: (tool.wanted, tool.owned) for tool in page.tools}["Craft knife"] == (5, 8)


def test_a_weight_far_from_the_expected_is_marked(studio: Studio) -> None:
    expected = studio.ask(KitRun(7)).weight.milligrams
    studio.do(NoteKits(class_date_id=7, weight_mg=expected))
    studio.do(NoteKits(class_date_id=7, weight_mg=expected * 9 // 10))
    assert [note.within for note in studio.ask(KitRun(7)).notes] == [True, False]


def test_a_problem_stays_until_it_is_mended(studio: Studio) -> None:
    studio.do(NoteKits(class_date_id=7, note="one strip creased"))
    (note,) = studio.ask(KitRun(7)).notes
    studio.do(NoteKits(class_date_id=7, mended=note.id))
    assert studio.ask(KitRun(7)).notes[0].mended


def test_a_posted_kit_takes_a_mailer_and_is_sent_again_only_by_asking(studio: Studio) -> None:
    seat = studio.ask(KitRun(7)).parcels[0]
    studio.do(PostKit(seat_id=seat.seat_id, proof="RR123"))
    assert stock(studio, 22).holding.whole == 5
    with pytest.raises(ConflictError, match="posted already"):
        studio.do(PostKit(seat_id=seat.seat_id))
    studio.do(PostKit(seat_id=seat.seat_id, proof="RR124", again=True))
    posted = next(row for row in studio.ask(KitRun(7)).parcels if row.seat_id == seat.seat_id)
    assert (posted.times, posted.proof) == (2, "RR123, RR124")
    assert done(studio, 7)["post"] == 1


def test_kits_that_are_left_give_their_things_back_and_their_pieces_to_another_class(studio: Studio) -> None:
    studio.do(CutSheets(class_date_ids=(4,), material_id=8))
    studio.do(TickKits(class_date_id=4, step="bag", done=12))
    before = stock(studio, 17).holding.whole
    studio.do(ReturnKits(class_date_id=4, kits=2, to_class_id=11))
    assert stock(studio, 17).holding.whole == before + 2
    assert done(studio, 11)["cut Tissue lining"] == 2


def test_the_journal_tells_every_movement(studio: Studio) -> None:
    studio.do(MoveStock(material_id=3, change=-2, reason="waste", note="water stain"))
    newest, first = studio.ask(Journal(3))
    assert (newest.change, newest.reason, newest.note) == (-2, "waste", "water stain")
    assert (first.change, first.reason) == (14, "counted")


def test_stock_never_falls_below_nothing(studio: Studio) -> None:
    with pytest.raises(ConflictError, match="More would be taken from stock than is there"):
        studio.do(MoveStock(material_id=3, change=-15, reason="waste"))


def test_a_class_keeps_its_version_until_it_takes_the_new_one(studio: Studio) -> None:
    studio.do(SetBill(project_id=6, lines=(BillEntry(part="Strip", material_id=3, size="137mm x 8 1/2", quantity=3),)))
    page = studio.ask(KitRun(7))
    assert (page.newer_version, len(page.label.contents)) == (2, 5)
    studio.do(TakeNewVersion(class_date_id=7))
    assert dict(cut(studio, 3, 7).pieces) == {"Strip": 33}


def test_sizes_typed_in_any_form_are_kept_exactly(studio: Studio) -> None:
    lines = (
        BillEntry(part="Board", material_id=9, size="5 3/8 x 8 1/2"),
        BillEntry(part="Paper", material_id=3, size="13.7 cm x 210 mm"),
        BillEntry(part="Ribbon", material_id=14, size="137mm"),
    )
    studio.do(SetBill(project_id=1, lines=lines))
    studio.do(TakeNewVersion(class_date_id=14))
    found = {one.material.id: one for one in studio.ask(CutPlans((14,)))}
    assert found[9].problem is not None
    assert found[3].problem is not None
    assert (found[9].problem.pieces[0].along_units, found[9].problem.pieces[0].across_units) == (5461000, 8636000)
    assert (found[3].problem.pieces[0].along_units, found[3].problem.pieces[0].across_units) == (5480000, 8400000)


def test_sizes_by_formula_follow_the_measures_of_the_project(studio: Studio) -> None:
    board = BillEntry(part="Board", material_id=9, size="height + 2*square x width - 1/8", quantity=2)
    cover = BillEntry(part="Cloth", material_id=11, size="height + 2*square + 2*turn_in x 2*width + 3/4")
    measures = {"height": "8", "width": "5 1/2", "square": "1/8", "turn_in": "5/8"}
    studio.do(SetBill(project_id=2, lines=(board, cover), measures=measures))
    bill = studio.ask(BillOf(2))
    assert [line.size for line, _ in bill.lines] == ["8 1/4 x 5 3/8 in", "9 1/2 x 11 3/4 in"]
    studio.do(SetBill(project_id=2, lines=(board,), measures=measures | {"height": "9 1/32"}))
    assert [line.size for line, _ in studio.ask(BillOf(2)).lines] == ["9 5/16 x 5 3/8 in"]
    studio.do(ChangeProject(project_id=2, level="improver"))
    assert dict(studio.ask(BillOf(2)).measures)["turn_in"].show() == "5/8 in"


def test_a_formula_over_an_unknown_measure_names_the_part(studio: Studio) -> None:
    with pytest.raises(InvalidError, match=r"Board: a part of .* There is no measure depth"):
        studio.do(SetBill(project_id=2, lines=(BillEntry(part="Board", material_id=9, size="depth x 3"),)))


def test_a_part_without_the_size_that_its_material_wants_is_refused_by_name(studio: Studio) -> None:
    with pytest.raises(InvalidError, match="Strip: a part of Drawing paper has two sides"):
        studio.do(SetBill(project_id=6, lines=(BillEntry(part="Strip", material_id=3, size="6"),)))


def test_changing_a_project_carries_its_bill_to_the_next_version(studio: Studio) -> None:
    studio.do(ChangeProject(project_id=6, level="improver"))
    studio.do(TakeNewVersion(class_date_id=7))
    assert len(studio.ask(KitRun(7)).label.contents) == 5
    assert [tool.name for tool in studio.ask(KitRun(7)).tools] == ["Cutting mat", "Bone folder", "Glue brush"]


def test_a_kit_option_of_a_seat_changes_what_is_needed(studio: Studio) -> None:
    seat = studio.ask(KitRun(4))
    before = next(row for row in studio.ask(Needs()) if row.material.id == 19).need.together
    studio.do(ChooseKitOptions(seat_id=_seat_of(studio, "Clover Mossgrave"), names=("no PVA",)))
    after = next(row for row in studio.ask(Needs()) if row.material.id == 19).need.together
    assert (seat.label.options, studio.ask(KitRun(4)).label.options) == ((), (("no PVA", 1),))
    assert after == before - 1


def test_the_pick_list_says_whose_kit_differs_and_how(studio: Studio) -> None:
    seat = _seat_of(studio, "Clover Mossgrave")
    studio.do(ChooseKitOptions(seat_id=seat, names=("no PVA",)))
    page = studio.ask(KitRun(4))
    first, *others = page.seat_kits
    assert (first.seat_id, first.name, first.options) == (seat, "Clover Mossgrave", ("no PVA",))
    assert [(swap.part, swap.quantity, swap.instead) for swap in first.swaps] == [("PVA cup", 1, None)]
    assert (len(page.seat_kits), page.options) == (page.heads, ("no PVA",))
    assert not any(kit.options or kit.swaps for kit in others)


def test_a_swap_of_a_material_is_named_on_the_pick_list(studio: Studio) -> None:
    lines = (BillEntry(part="Bag", material_id=20, options={"plain": 19}),)
    studio.do(SetBill(project_id=1, lines=lines))
    studio.do(TakeNewVersion(class_date_id=14))
    (kit, *_) = studio.ask(KitRun(14)).seat_kits
    studio.do(ChooseKitOptions(seat_id=kit.seat_id, names=("plain",)))
    (swap,) = studio.ask(KitRun(14)).seat_kits[0].swaps
    assert (swap.part, swap.usual, swap.instead) == ("Bag", *names(studio, 20, 19))


def names(studio: Studio, *numbers: int) -> tuple[str, ...]:
    return tuple(stock(studio, number).material.name for number in numbers)


def test_an_option_that_the_bill_has_not_is_refused(studio: Studio) -> None:
    with pytest.raises(InvalidError, match="The kit has no option purple"):
        studio.do(ChooseKitOptions(seat_id=_seat_of(studio, "Clover Mossgrave"), names=("purple",)))


def test_a_part_larger_than_its_sheet_is_named_and_hides_nothing_else(studio: Studio) -> None:
    lines = (
        BillEntry(part="Giant", material_id=3, size="40 x 8"),
        BillEntry(part="Bag", material_id=20),
    )
    studio.do(SetBill(project_id=1, lines=lines))
    studio.do(TakeNewVersion(class_date_id=14))
    rows = {row.material.id: row for row in studio.ask(Needs())}
    assert rows[3].need.trouble.startswith("Giant, 40 x 8 in along the grain, fits on no sheet.")
    assert rows[20].need.together == 88
    (trouble, *_) = [one.trouble for one in studio.ask(CutPlans((14,))) if one.material.id == 3]
    assert trouble.startswith("Giant")


def test_a_kit_run_may_be_begun_before_anything_is_done(studio: Studio) -> None:
    studio.do(BeginKitRun(class_date_id=14))
    assert studio.ask(KitRun(14)).begun
    assert not studio.ask(KitRun(13)).begun


def _seat_of(studio: Studio, name: str) -> int:
    class Seat:
        def fetch(self, reader: object) -> int:
            return int(
                reader.value(  # type: ignore[attr-defined]
                    "SELECT seat.id FROM seat JOIN person ON person.id = seat.person_id WHERE person.name = ?", (name,)
                )
            )

    return studio.ask(Seat())

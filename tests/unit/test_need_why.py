"""The sum behind a need: kits, pieces, what a sheet gives, who comes first, and the moment to order by."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.kit_rules import SetKitRules
from scheduling.commands.materials import AddMaterial, ChangeMaterial
from scheduling.commands.orders import PlaceOrder
from scheduling.commands.settings import MoveClock
from scheduling.commands.stock import AllotStock, CountStock
from scheduling.errors import NotFoundError
from scheduling.queries.need_why import WhyNeed
from scheduling.queries.needs import Needs
from scheduling.queries.stock_room import OrderDeadlines, StockRoom, TakeNeeds
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio
from tui.order_words import deadline_about


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def test_why_forty_sheets_is_answered_from_heads_to_the_moment_to_order(studio: Studio) -> None:
    assert studio.ask(WhyNeed(3, 5)) == (
        "C05 Coptic sketchbook builds 10 kits: 8 heads, 1 spare, 1 demo copy.",
        "Folio (4 per section), 5 3/4 x 11 1/2 in: 20 a kit x 10 kits = 200.",
        "200 Folio (4 per section), 5 3/4 in x 11 1/2 in: a sheet gives 5 (7 if grain did not matter).",
        "No mix of sheets cut in up to three stages does it in 39 sheets.",
        "So C05 by itself takes 40 sheets.",
        "Of 14 on hand, C07 takes 6 first: 8 for C05.",
        "Short of 32 sheets.",
        "Receive, count, mark grain for C05 must begin by Wed 10 Feb; the aim of its first use is Thu 4 Feb.",
        (
            "Counted back through your hours, with nothing else to do, then begin: Cut all pieces by Wed 10 Feb;"
            " Score, fold, punch, glue ahead by Thu 11 Feb; Sort, bag and label by Thu 11 Feb;"
            " Check kits again and seal by Fri 12 Feb."
        ),
        "Ammerlin Paper Stores takes 7 working days to Wed 10 Feb: order by Mon 1 Feb, 14:00.",
        "An order of now comes Wed 10 Feb: after the aim, in time.",
    )


def test_all_classes_together_end_in_packs_and_what_is_left_over(studio: Studio) -> None:
    said = studio.ask(WhyNeed(3))
    assert said[0] == "Class by class: C07 6 sheets, C05 40 sheets, C10 20 sheets."
    assert "From one plan 65 in all; 14 on hand, 0 on order: 51 to buy." in said
    assert "Sold by 10: 6 packs at 16.50 is 99.00, 9 left over." in said


def test_an_order_on_its_way_is_named_with_its_day(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    said = studio.ask(WhyNeed(3, 5))
    assert "32 sheets come with G01 on Wed 10 Feb." in said
    assert not any(sentence.startswith("Short of") for sentence in said)


def test_a_reel_says_what_one_gives_and_a_roll_its_rows(studio: Studio) -> None:
    assert "A reel of 1800 in gives 18 of 96 in." in studio.ask(WhyNeed(13, 5))
    cloth = studio.ask(WhyNeed(11))
    assert "Rows of 27 in in all; no mix of rows is shorter than 27 in." in cloth
    assert "Off begun one 1: 3 x row of 9 in; 69 in left." in cloth


def test_days_in_hand_stand_in_the_sum(studio: Studio) -> None:
    studio.do(SetKitRules(order_buffer_days=2))
    assert any("4 working days and 2 days in hand to Wed 10 Feb" in text for text in studio.ask(WhyNeed(22, 7)))


def test_a_lead_in_calendar_days_says_so(studio: Studio) -> None:
    assert "Ilverdane Lights takes 26 calendar days to Tue 2 Mar: order by Thu 4 Feb." in studio.ask(WhyNeed(17, 9))


def test_what_she_allotted_goes_before_and_the_sum_says_so(studio: Studio) -> None:
    studio.do(AllotStock(class_date_id=5, material_id=3, amount=14))
    assert "Of 14 on hand: 0 for C07." in studio.ask(WhyNeed(3, 7))
    assert "Of 14 on hand: 14 for C05." in studio.ask(WhyNeed(3, 5))


def test_a_material_without_a_supplier_says_so(studio: Studio) -> None:
    studio.do(ChangeMaterial(material_id=3, supplier_id=None))
    assert "It has no supplier: give it one to see when an order would come." in studio.ask(WhyNeed(3, 5))


def test_a_material_that_no_class_uses_is_refused(studio: Studio) -> None:
    number = studio.do(AddMaterial(name="Washi")).material_id
    with pytest.raises(NotFoundError, match="No class to come needs"):
        studio.ask(WhyNeed(number))
    with pytest.raises(NotFoundError):
        studio.ask(WhyNeed(3, 14))


def test_the_deadlines_of_the_week_name_suppliers_hours_and_classes(studio: Studio) -> None:
    found = {(one.day.day, one.supplier): one for one in studio.ask(OrderDeadlines())}
    assert set(found) == {
        (1, "Ammerlin Paper Stores"),
        (3, "Kestrowe Thread & Tools"),
        (4, "Cobbrith Cartons"),
        (4, "Ilverdane Lights"),
    }
    paper = found[1, "Ammerlin Paper Stores"]
    assert (paper.hour, paper.is_past) == (dt.time(14), False)
    assert paper.class_ids == (5, 10)
    assert found[4, "Cobbrith Cartons"].materials == ("Rigid mailer 12 x 15 x 1",)


def test_what_should_have_gone_out_counts_as_of_today(studio: Studio) -> None:
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 4, 13, 0, tzinfo=dt.UTC)))
    found = {(one.day, one.supplier): one.is_past for one in studio.ask(OrderDeadlines())}
    assert found[dt.date(2027, 2, 4), "Ammerlin Paper Stores"]
    assert not found[dt.date(2027, 2, 4), "Ilverdane Lights"]


def test_what_is_past_says_when_an_order_of_now_comes_and_whom_that_endangers(studio: Studio) -> None:
    """On Fri 5 Feb S1's paper comes Wed 17 Feb (the 15th is shut), after C05 on the 13th; S4's lights Wed 3 Mar, a day
    after C09's goods have to be taken in. On Mon 1 Feb at 14:30 the day's order with S1 is missed."""
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 1, 19, 30, tzinfo=dt.UTC)))
    paper = next(one for one in studio.ask(OrderDeadlines()) if one.supplier == "Ammerlin Paper Stores")
    assert (paper.is_past, paper.arrives, paper.endangered) == (True, dt.date(2027, 2, 11), (5,))
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 5, 13, 0, tzinfo=dt.UTC)))
    found = {one.supplier: one for one in studio.ask(OrderDeadlines())}
    assert (found["Ammerlin Paper Stores"].arrives, found["Ammerlin Paper Stores"].endangered) == (
        dt.date(2027, 2, 17),
        (5,),
    )
    lights = found["Ilverdane Lights"]
    assert (lights.arrives, lights.endangered) == (dt.date(2027, 3, 3), (9,))
    assert deadline_about(lights, today=dt.date(2027, 2, 5)) == (
        "It should have gone out before now: order LED tea light (coin cell, screw-shut) from Ilverdane Lights for C09,"
        " C11, C12, C13; an order of now comes Wed 3 Mar, too late for C09."
    )


def test_what_is_ordered_has_no_deadline(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=5, lines=((22, 1), (20, 1))))
    assert "Cobbrith Cartons" not in {one.supplier for one in studio.ask(OrderDeadlines(28))}


def test_needs_that_a_worker_counted_answer_until_the_file_changes(studio: Studio) -> None:
    with studio.again() as beside:
        counted, revision = beside.ask(StockRoom()).needs, beside.revision
    assert studio.ask(TakeNeeds(counted, revision))
    assert next(row for row in studio.ask(Needs()) if row.material.id == 3) is next(
        row for row in counted if row.material.id == 3
    )
    studio.do(CountStock(material_id=3, whole=90, note="found"))
    assert not studio.ask(TakeNeeds(counted, revision))
    assert next(row for row in studio.ask(Needs()) if row.material.id == 3).need.to_buy == 0


def test_the_stock_room_is_one_snapshot(studio: Studio) -> None:
    page = studio.ask(StockRoom())
    assert len(page.stock) == 22
    assert sum(row.need.packs > 0 for row in page.needs) == 11
    assert [one.supplier.name for one in page.proposals][:1] == ["Ammerlin Paper Stores"]

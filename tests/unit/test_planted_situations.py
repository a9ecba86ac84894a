"""The demo's planted situations as the planner brings them out on Mon 1 Feb 2027, 08:00 (demo.md, end)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.orders import PlaceOrder
from scheduling.commands.stock import AllotStock
from scheduling.commands.together import AllAtOnce
from scheduling.commands.undoing import Undo
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.explaining import class_mends
from scheduling.queries.needs import Needs
from scheduling.queries.plan import PlannedTask, PrepTasks, WhyTask
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.queries.plan_page import ThePlan
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def feb(day: int) -> dt.date:
    return dt.date(2027, 2, day)


def task(studio: Studio, class_id: int, title: str) -> PlannedTask:
    return next(one for one in studio.ask(PrepTasks(class_id)) if one.title == title)


def test_1_the_paper_of_c05_comes_after_its_cut_day_and_c07_is_given_its_sheets(studio: Studio) -> None:
    """Drawing paper M03: 14 sheets are there, C05 needs 40 and C07 6, and nothing is on order.

    S1 takes 7 working days: ordered Mon 1 Feb before 14:00 (day 0), Tue 2 is day 1, Mon 8 day 5 (the blocked days 8
    and 9 are hers, not the supplier's), Wed 10 day 7. C05's cut aim is T-9 of Sat 13 Feb: Thu 4 Feb, missed. C07 is
    posted by Wed 10 Feb, so it gets its 6 of the 14 sheets and is cut at once; C05 is cut from Wed 10 to Fri 12.
    """
    cut = task(studio, 5, "Cut all pieces")
    assert cut.aim_day == feb(4)
    assert feb(10) <= cut.stretches[0].day <= cut.stretches[-1].day <= feb(12)
    said = studio.ask(WhyTask(cut.id))
    assert "It cannot begin before Wed 10 Feb, when an order of today brings M03 Drawing paper." in said
    served = {one.class_id: one.need for row in studio.ask(Needs()) if row.material.id == 3 for one in row.classes}
    assert (served[7].from_stock, served[7].short) == (6, 0)
    assert (served[5].from_stock, served[5].short) == (8, 32)
    assert task(studio, 7, "Cut all pieces").stretches[-1].day <= feb(6)
    assert task(studio, 7, "Pack, weigh and post kits").stretches[-1].day <= feb(10)


def test_1_sheets_that_c05_was_given_are_offered_to_c07_as_a_mend_and_one_undo_takes_it_back(studio: Studio) -> None:
    """With all 14 sheets kept for C05, C07 has none: its 6 come Wed 10 Feb, the day by which it is to be posted, and
    cutting, a night of rest and posting do not fit that day. Giving C07 its 6 lets it be cut before."""
    studio.do(AllotStock(class_date_id=5, material_id=3, amount=14))
    assert task(studio, 7, "Cut all pieces").stretches[0].day >= feb(10)
    assert next(row.state for row in studio.ask(ThePlan()).classes if row.class_date_id == 7) == "late"
    mends = class_mends(studio.ask(ReadPlanInputs()), 7)
    mend = next(each for each in mends if each.said.startswith("Give C07 its 6 of M03 Drawing paper"))
    assert [step.entries["amount"] for step in mend.steps] == [8, 6], "C05 keeps 8 of its 14"
    made = studio.do(AllAtOnce(parts=tuple(AllotStock(**step.entries) for step in mend.steps)))
    assert next(row.state for row in studio.ask(ThePlan()).classes if row.class_date_id == 7) != "late"
    studio.do(Undo(history_id=made.history_id))
    assert next(row.state for row in studio.ask(ThePlan()).classes if row.class_date_id == 7) == "late"


def test_2_the_lights_come_on_the_day_by_which_c09_is_to_be_bagged(studio: Studio) -> None:
    """LED lights M17: 26 there; C04 and C08 take 12 each, C09, C11, C12 and C13 need 6 + 4 + 8 + 10 = 28, so 26 are
    short, 2 packs of 24. S4 takes 26 calendar days: 1 + 26 = Sat 27 Feb, which is T-7 of C09 (Sat 6 Mar), its bagging
    aim. Bagged on Tue 2 Mar at the latest, the lights are needed that day: 2 Mar - 26 days = Thu 4 Feb."""
    row = next(row for row in studio.ask(Needs()) if row.material.id == 17)
    assert (sum(one.need.short for one in row.classes), row.need.packs, row.arrives) == (26, 2, feb(27))
    bag = task(studio, 9, "Sort, bag and label")
    assert bag.aim_day == feb(27)
    assert bag.stretches[0].day >= feb(27)
    assert any("order of today brings M17" in said for said in studio.ask(WhyTask(bag.id)))
    kept = studio.do(PlaceOrder(supplier_id=4, lines=((17, 2),)))
    assert kept.promised_day == feb(27)
    assert any("when G01 comes" in said for said in studio.ask(WhyTask(bag.id)))
    assert dt.date(2027, 3, 2) - dt.timedelta(days=26) == feb(4)


def test_5_the_days_to_decide_on_c06_and_c09_come_before_the_venues_penalties(studio: Studio) -> None:
    """C06 (Thu 18 Feb, V3: all owed from T-7) is decided by T-8, Wed 10 Feb; C09 (Sat 6 Mar, V2: half owed from T-14,
    Sat 20 Feb) by T-15, Fri 19 Feb. C06 has its minimum of 5 exactly; C09 4 of 6. The hall: 5.75 h x 22.00 = 126.50
    from 27 Feb, half of it, 63.25, from 20 Feb."""
    rows = {row.class_date_id: row for row in studio.ask(ThePlan()).classes}
    assert (rows[6].go_no_go, rows[9].go_no_go) == (feb(10), feb(19))
    for class_id, last in ((6, feb(10)), (9, feb(19))):
        decide = task(studio, class_id, "Decide go or no-go")
        assert decide.hard_day == last
        assert decide.stretches[-1].day <= last
    assert studio.ask(ClassMoney(9)) is not None


def test_6_the_kit_for_abroad_of_c07_is_past_its_post_by(studio: Studio) -> None:
    """C07 is Sun 21 Feb, kits are in hand by T-4, Wed 17 Feb. 15 mailing days (Mon-Sat, without Mon 15 Feb) that end
    by then: 17, 16, 13, 12, 11, 10, 9, 8, 6, 5, 4, 3, 2, 1 Feb and 30 Jan, so it had to be posted on Fri 29 Jan."""
    day = next(row for row in studio.ask(ThePlan()).classes if row.class_date_id == 7)
    assert day.hard_day == feb(10), "the others: five mailing days, 17, 16, 13, 12 and 11 Feb, after Wed 10 Feb"
    abroad = [
        one for one in studio.ask(PrepTasks(7, with_closed=True)) if one.title == "Make up and post kits for abroad"
    ]
    assert all(one.aim_day == dt.date(2027, 1, 29) for one in abroad)


def test_10_the_blocked_days_of_march_push_c11s_decision_and_c12s_cutting_before_them(studio: Studio) -> None:
    """Wed 10 to Fri 12 Mar are blocked. C11 (Thu 18 Mar, V3) is decided by T-8, Wed 10 Mar: the last day to work on it
    is Tue 9. C12 (Sat 20 Mar) has cutting at T-9, Thu 11 Mar, and folding at T-8, Fri 12: both lie by Tue 9, or they
    are behind."""
    blocked = {dt.date(2027, 3, n) for n in (10, 11, 12)}
    tasks = studio.ask(PrepTasks())
    assert not [one for one in tasks for stretch in one.stretches if stretch.day in blocked]
    decide = task(studio, 11, "Decide go or no-go")
    assert decide.hard_day == dt.date(2027, 3, 10)
    assert decide.stretches[-1].day <= dt.date(2027, 3, 9)
    for title in ("Cut all pieces", "Score, fold, punch, glue ahead"):
        one = task(studio, 12, title)
        assert one.stretches[-1].day <= dt.date(2027, 3, 9) or one.standing == "behind"


def test_12_c07_is_bagged_and_sealed_before_the_blocked_days_in_february(studio: Studio) -> None:
    """Mon 8 and Tue 9 Feb are blocked; Sun 7 Feb has C04 and 60 min. C07's kits are posted by Wed 10 Feb, sealed the
    day before and bagged two days before, so both are done by Sat 6 Feb; the decision (post-by - 3) is Sun 7 Feb."""
    assert next(row.go_no_go for row in studio.ask(ThePlan()).classes if row.class_date_id == 7) == feb(7)
    for title in ("Sort, bag and label", "Check kits again and seal"):
        assert task(studio, 7, title).stretches[-1].day <= feb(6), title
    assert task(studio, 7, "Pack, weigh and post kits").stretches[-1].day <= feb(10)

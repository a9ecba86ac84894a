"""The demo's planted situations as the planner brings them out on Mon 1 Feb 2027, 08:00 (demo.md, end)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.orders import PlaceOrder
from scheduling.commands.planning import DoTogether
from scheduling.commands.settings import MoveClock
from scheduling.commands.stock import AllotStock
from scheduling.commands.together import AllAtOnce
from scheduling.commands.undoing import Undo
from scheduling.queries.class_deadlines import ClassDeadlines
from scheduling.queries.decisions import DecisionsDue
from scheduling.queries.explaining import class_mends
from scheduling.queries.feedback import BatchProposals
from scheduling.queries.need_why import WhyNeed
from scheduling.queries.needs import Needs
from scheduling.queries.plan import PlannedTask, PrepTasks, WhyTask
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.queries.plan_page import ThePlan
from scheduling.queries.roster import Roster
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def feb(day: int) -> dt.date:
    return dt.date(2027, 2, day)


def mar(day: int) -> dt.date:
    return dt.date(2027, 3, day)


def task(studio: Studio, class_id: int, title: str) -> PlannedTask:
    return next(one for one in studio.ask(PrepTasks(class_id)) if one.title == title)


def test_1_the_paper_of_c05_comes_after_its_cut_day_and_c07_is_given_its_sheets(studio: Studio) -> None:
    """Drawing paper M03: 14 sheets are there, C05 needs 40 and C07 6, and nothing is on order.

    S1 takes 7 working days: ordered Mon 1 Feb before 14:00 (day 0), Tue 2 is day 1, Mon 8 day 5 (the blocked days 8
    and 9 are hers, not the supplier's), Wed 10 day 7. C05's cut aim is T-9 of Sat 13 Feb: Thu 4 Feb, missed. C07 is
    posted by Wed 10 Feb, so it gets its 6 of the 14 sheets and is cut at once; C05 is cut from Wed 10 to Fri 12, and
    still checked the day after it is bagged: receiving 60 min and 120 of 168 of cutting on Wed, the other 48, folding
    65 and bagging 55 on Thu, the check on Fri 12.

    C05 also lacks 2 of M06 (7 - 4 of C07 = 3 of 5), 1 of 10 threads (900 in give 9 of 96) and 9 of 10 PVA (24 - 12 of
    C04 - 11 of C07 = 1); S3 takes 5 working days: from Mon 1 to Mon 8 Feb. Ordering for C05 is done on Mon 1 Feb
    before 14:00; half an hour of looking through the stock and two of four suppliers are done, so that 50 min are left.
    """
    order = task(studio, 5, "Check stock, order materials")
    assert (order.left, order.hard_day, order.standing) == (50, feb(1), "behind")
    assert order.stretches[-1].ends <= dt.datetime(2027, 2, 1, 14, tzinfo=order.stretches[-1].ends.tzinfo)
    cut = task(studio, 5, "Cut all pieces")
    assert (cut.aim_day, cut.standing) == (feb(4), "behind")
    assert feb(10) <= cut.stretches[0].day <= cut.stretches[-1].day <= feb(12)
    assert task(studio, 5, "Check kits again and seal").stretches[-1].day == feb(12)
    said = studio.ask(WhyTask(cut.id))
    assert "It cannot begin before Wed 10 Feb, when an order of today brings M03 Drawing paper." in said
    assert any(
        one.startswith(f"Ordered with {order.ref} Check stock, order materials, C05, planned to end Mon 1 Feb")
        and "comes Wed 10 Feb: M03 Drawing paper" in one
        for one in said
    )
    served = {
        (row.material.id, one.class_id): (one.need.from_stock, one.need.short)
        for row in studio.ask(Needs())
        for one in row.classes
    }
    assert (served[3, 7], served[3, 5]) == ((6, 0), (8, 32))
    assert (served[6, 5], served[13, 5], served[19, 5]) == ((3, 2), (9, 1), (1, 9))
    arrives = {row.material.id: (row.arrives, row.order_by and row.order_by.day) for row in studio.ask(Needs())}
    assert (arrives[3], arrives[6]) == ((feb(10), feb(1)), (feb(10), feb(1)))
    assert (arrives[13], arrives[19]) == ((feb(8), feb(3)), (feb(8), feb(3)))
    assert task(studio, 7, "Cut all pieces").stretches[-1].day <= feb(6)
    assert task(studio, 7, "Pack, weigh and post kits").stretches[-1].day <= feb(10)
    assert not [row for row in studio.ask(ThePlan()).classes if row.state == "late"]


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
    aim.

    The last day for them, counted back from the class: loading (43 min, in one sitting) lies on Fri 5 Mar, since
    Sat 6 Mar has no hours before the class; the check (14) before it, also on Fri, after a night of rest; bagging (41)
    by Thu 4; glue dries 12 h before that, so folding (45) ends by Wed 3, 21:00; cutting (94) and folding take 139 of
    that day's 180 min, so that taking in, counting and marking (70) begins on Tue 2 Mar: 2 Mar - 26 days = Thu 4 Feb.
    The plan orders on Mon 1 Feb all the same, because the aim of bagging is Sat 27 Feb.
    """
    row = next(row for row in studio.ask(Needs()) if row.material.id == 17)
    assert {one.class_id: one.need.short for one in row.classes} == {4: 0, 8: 0, 9: 4, 11: 4, 12: 8, 13: 10}
    assert (row.need.together, row.need.to_buy, row.need.packs, row.arrives) == (52, 26, 2, feb(27))
    c09 = next(one for one in row.classes if one.class_id == 9)
    assert (c09.need.aim_day, c09.need.need_day, c09.task) == (feb(27), mar(2), "Receive, count, mark grain")
    assert [day for _, day in c09.then] == [mar(3), mar(3), mar(4), mar(5), mar(5)]
    assert row.order_by is not None
    assert row.order_by.day == feb(4)
    assert "Ilverdane Lights takes 26 calendar days to Tue 2 Mar: order by Thu 4 Feb." in studio.ask(WhyNeed(17, 9))
    order = task(studio, 9, "Check stock, order materials")
    assert (order.hard_day, order.stretches[-1].day) == (feb(4), feb(1))
    bag = task(studio, 9, "Sort, bag and label")
    assert (bag.aim_day, bag.stretches[0].day) == (feb(27), feb(27))
    assert any("order of today brings M17" in said for said in studio.ask(WhyTask(bag.id)))
    kept = studio.do(PlaceOrder(supplier_id=4, lines=((17, 2),)))
    assert kept.promised_day == feb(27)
    assert any("when G01 comes" in said for said in studio.ask(WhyTask(bag.id)))


def test_2_ordered_on_thu_4_feb_the_lights_come_on_tue_2_mar_and_on_fri_5_they_endanger_c09(studio: Studio) -> None:
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 4, 13, tzinfo=dt.UTC)))
    lights = next(row for row in studio.ask(Needs()) if row.material.id == 17)
    assert (lights.arrives, lights.endangered) == (mar(2), ())
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 5, 13, tzinfo=dt.UTC)))
    lights = next(row for row in studio.ask(Needs()) if row.material.id == 17)
    assert (lights.arrives, [one.class_id for one in lights.endangered]) == (mar(3), [9])


def test_5_the_days_to_decide_on_c06_and_c09_come_before_the_venues_penalties(studio: Studio) -> None:
    """C06 (Thu 18 Feb, V3: all owed from T-7) is decided by T-8, Wed 10 Feb; C09 (Sat 6 Mar, V2: half owed from T-14,
    Sat 20 Feb) by T-15, Fri 19 Feb. C06 has its minimum of 5 exactly; C09 4 of 6, and would give back 4 x 58 = 232.00.
    The hall: 75 min set-up + 3 h 30 + 60 min clear-down are 5.75 h at 22.00, 126.50 from 27 Feb; half of it, 63.25,
    from 20 Feb. C06's room: 35.00 from 11 Feb."""
    rows = {row.class_date_id: row for row in studio.ask(ThePlan()).classes}
    assert (rows[6].go_no_go, rows[9].go_no_go) == (feb(10), feb(19))
    for class_id, last in ((6, feb(10)), (9, feb(19))):
        decide = task(studio, class_id, "Decide go or no-go")
        assert decide.hard_day == last
        assert decide.stretches[-1].day <= last
    due = {class_id: studio.ask(DecisionsDue(class_date_id=class_id))[0] for class_id in (6, 9)}
    assert (due[6].class_row.heads, due[6].class_row.minimum, due[6].break_even) == (5, 5, 2)
    assert (due[9].class_row.heads, due[9].class_row.minimum, due[9].break_even) == (4, 6, 3)
    assert [(one.day, one.owed) for one in due[6].penalties] == [(feb(11), 3500)]
    assert [(one.day, one.owed) for one in due[9].penalties] == [(feb(20), 6325), (feb(27), 12650)]
    assert due[9].to_give_back == 23200


def test_6_the_kit_for_abroad_of_c07_is_past_its_post_by_and_c10_is_offered(studio: Studio) -> None:
    """C07 is Sun 21 Feb, kits are in hand by T-4, Wed 17 Feb. 15 mailing days (Mon-Sat, without Mon 15 Feb) that end
    by then: 17, 16, 13, 12, 11, 10, 9, 8, 6, 5, 4, 3, 2, 1 Feb and 30 Jan, so it had to be posted on Fri 29 Jan. Those
    of C10 (Sun 14 Mar, in hand by Wed 10): 10, 9, 8, 6, 5, 4, 3, 2, 1 Mar, 27, 26, 25, 24, 23, 22 Feb, posted by
    Sat 20 Feb."""
    day = next(row for row in studio.ask(ThePlan()).classes if row.class_date_id == 7)
    assert day.hard_day == feb(10), "the others: five mailing days, 17, 16, 13, 12 and 11 Feb, after Wed 10 Feb"
    made = [one.title for one in studio.ask(PrepTasks(7, with_closed=True))]
    assert "Make up and post kits for abroad" not in made, "too late for the mail"
    abroad = [(one.kind, one.day) for one in studio.ask(ClassDeadlines(7)).deadlines if one.kind == "post-by abroad"]
    assert abroad == [("post-by abroad", dt.date(2027, 1, 29))]
    (note,) = [said for said in studio.ask(Roster(7)).warnings if "abroad" in said]
    assert note == (
        "Sunniva Greyholt lives abroad, and that kit was to be posted by Fri 29 Jan: offer a credit, or C10 Coptic"
        " sketchbook, whose kits for abroad are posted by Sat 20 Feb."
    )


def test_7_p5_is_proposed_in_one_go_for_c08_c09_and_c12_with_the_minutes_saved(studio: Studio) -> None:
    """12 + 6 + 8 = 26 kits of the box lantern. Cutting by the recipe: 15 min for each of the 4 cut materials, 60, and
    0.4 for each of 14 pieces a kit: 67.2, 33.6 and 44.8, so 128 + 94 + 105 = 327 min. In one go the 60 are worked
    once: 207, two hours less. Folding: 15 fixed and 5 a kit: 75 + 45 + 55 = 175, in one go 145. No class is late by
    either.
    """
    found = studio.ask(BatchProposals())
    bag = next(row for row in found if row.title == "Sort, bag and label" and 9 in row.class_date_ids)
    assert (bag.class_date_ids, bag.minutes, bag.saved) == ((9, 12), 69, 20), "C08 sorts by a task of its own: 41 + 48"
    rows = {row.title: row for row in found if row.class_date_ids == (8, 9, 12)}
    cut, fold = rows["Cut all pieces"], rows["Score, fold, punch, glue ahead"]
    assert (cut.minutes, cut.saved) == (207, 120)
    assert (fold.minutes, fold.saved) == (145, 30)
    kits = [one.kits for one in (studio.ask(ClassDeadlines(number)) for number in (8, 9, 12))]
    assert (kits, sum(kits)) == ([12, 6, 8], 26)
    studio.do(DoTogether(task_ids=cut.task_ids))
    assert not [row for row in studio.ask(ThePlan()).classes if row.state == "late"]


def test_10_the_blocked_days_of_march_push_c11s_decision_and_c12s_cutting_before_them(studio: Studio) -> None:
    """Wed 10 to Fri 12 Mar are blocked. C11 (Thu 18 Mar, V3) is decided by T-8, Wed 10 Mar: the last day to work on it
    is Tue 9; its bagging at T-7 and its check at T-6 are Thu 11 and Fri 12. C12 (Sat 20 Mar) has its answers and its
    handouts at T-10, Wed 10, cutting at T-9, Thu 11, folding at T-8, Fri 12. Each of these aims moves to the working
    day before, Tue 9 Mar; the decision itself may not be later than Wed 10."""
    blocked = {mar(10), mar(11), mar(12)}
    tasks = studio.ask(PrepTasks())
    assert not [one for one in tasks for stretch in one.stretches if stretch.day in blocked]
    moved = {
        11: ("Decide go or no-go", "Sort, bag and label", "Check kits again and seal"),
        12: (
            "Read access and allergy answers",
            "Print handouts and labels",
            "Cut all pieces",
            "Score, fold, punch, glue ahead",
        ),
    }
    for class_id, titles in moved.items():
        for title in titles:
            one = task(studio, class_id, title)
            assert one.aim_day == mar(9), title
            assert one.stretches[-1].day <= mar(9), title
    assert task(studio, 11, "Decide go or no-go").hard_day == mar(10)


def test_12_c07_is_bagged_and_sealed_before_the_blocked_days_in_february(studio: Studio) -> None:
    """Mon 8 and Tue 9 Feb are blocked; Sun 7 Feb has C04 and 60 min. C07's kits are posted by Wed 10 Feb, sealed the
    day before and bagged two days before, both aims moved to Sun 7; a night lies between, so that bagging is done on
    Fri 5 and sealing on Sat 6 Feb; the decision (post-by - 3) is Sun 7 Feb."""
    page = studio.ask(ThePlan())
    assert next(row.go_no_go for row in page.classes if row.class_date_id == 7) == feb(7)
    assert {row.day: row.limit for row in page.days}[feb(7)] == 60
    assert all(row.blocked == (row.day in (feb(8), feb(9))) for row in page.days)
    bag, seal = task(studio, 7, "Sort, bag and label"), task(studio, 7, "Check kits again and seal")
    assert bag.aim_day == seal.aim_day == feb(7)
    assert bag.stretches[-1].day < seal.stretches[0].day <= seal.stretches[-1].day <= feb(6)
    assert task(studio, 7, "Pack, weigh and post kits").stretches[-1].day <= feb(10)

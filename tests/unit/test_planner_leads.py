"""Goods that a task orders: they come on their supplier's calendar from when it is done, worked out by hand."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from scheduling.model.day_calendar import DayCalendar
from scheduling.model.deadlines import Delivery
from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner.changes import FasterDelivery, UseOffer, changed
from scheduling.planner.problem import After, Gate, GateKind, Lead, Offer, OfferKind, Problem
from tests.support.planning import ME, at, places, planned, problem, task
from tests.support.studios import CALENDARS, ZONE

#: Seven working days, orders taken on them before 14:00.
PAPER = Delivery(7, CALENDARS.working, CALENDARS.working, ZONE, dt.time(14))
REF, SOURCE = "M03 for C1", "an order of today"


def asked(delivery: Delivery = PAPER, *, minutes: int = 30, **others: object) -> Problem:
    link = After("order", Wait(7, WaitUnit.WORKING_DAYS), Lead(delivery, REF, SOURCE))
    gate = Gate(at(2, 10, 0), GateKind.DELIVERY, "M03", REF, SOURCE)
    return problem(
        task("order", minutes, dt.date(2027, 2, 1)),
        task("cut", 60, dt.date(2027, 2, 4), after=(link,), gates=(gate,)),
        **others,
    )


def test_ordered_on_the_first_morning_the_goods_come_on_the_seventh_working_day() -> None:
    """Mon 1 Feb before 14:00 is day 0, Tue 2 day 1, Mon 8 day 5, Wed 10 day 7."""
    found = planned(asked())
    assert places(found, "order") == ["Mon 1 Feb 09:00-09:30"]
    assert places(found, "cut") == ["Wed 10 Feb 09:00-10:00"]


def test_ordered_after_the_hour_they_come_a_day_later() -> None:
    """Only the evening is free on Mon 1 Feb: the order counts from Tue 2, and the goods come on Thu 11."""
    evening = replace(ME, hours_on={dt.date(2027, 2, 1): ((dt.time(19), dt.time(21)),)})
    assert places(planned(asked(hands=(evening,))), "cut") == ["Thu 11 Feb 09:00-10:00"]


def test_the_order_must_be_out_so_that_the_goods_are_there_by_the_latest_start() -> None:
    """Cutting 60 min by Thu 18 Feb, 00:00, begins at 20:00 on Wed 17. Mon 15 is shut, so back from Wed 17: Tue 16, Fri
    12, Thu 11, Wed 10, Tue 9, Mon 8, Fri 5 are seven days; the order is out on Fri 5 Feb before 14:00."""
    base = asked()
    tasks = tuple(replace(one, hard_before=at(2, 18, 0) if one.id == "cut" else None) for one in base.tasks)
    found = planned(replace(base, tasks=tasks))
    assert found.tasks["order"].latest_finish == at(2, 5, 14)


def test_calendar_days_count_every_day_and_a_closure_of_the_supplier_is_no_day_to_order() -> None:
    """Lights take 26 calendar days: from Mon 1 Feb they come on Sat 27, and from Tue 2 on Sun 28, where Mon is shut."""
    lights = Delivery(26, DayCalendar(), DayCalendar(), ZONE)
    later = replace(lights, taking=DayCalendar(closures=frozenset({dt.date(2027, 2, 1)})))
    for delivery, day in ((lights, "Sat 27"), (later, "Sun 28")):
        base = asked(delivery)
        tasks = tuple(replace(one, hard_before=at(3, 10, 0)) for one in base.tasks)
        assert places(planned(replace(base, tasks=tasks)), "cut")[0].startswith(day)


def test_a_faster_delivery_brings_the_goods_sooner_and_an_offer_of_stock_needs_no_order() -> None:
    base = replace(asked(), offers=(Offer("keep", OfferKind.STOCK, "keep it", {REF: at(2, 1, 0)}),))
    faster = changed(base, (FasterDelivery(SOURCE, 2),))
    assert places(planned(faster), "cut") == ["Mon 8 Feb 09:00-10:00"]
    given = changed(base, (UseOffer("keep"),))
    assert next(one for one in given.tasks if one.id == "cut").after == ()
    assert places(planned(given), "cut") == ["Thu 4 Feb 09:00-10:00"]


@pytest.mark.parametrize("zone", ["Europe/Berlin", "Pacific/Auckland"])
def test_the_suppliers_hour_is_by_its_own_clock(zone: str) -> None:
    """09:30 in New York is 15:30 in Berlin and 03:30 on Tue 2 Feb in Auckland: both place the order on Tue 2, and the
    goods come on Thu 11 Feb."""
    assert places(planned(asked(replace(PAPER, zone=zone))), "cut") == ["Thu 11 Feb 09:00-10:00"]

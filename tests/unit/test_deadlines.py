"""The dates of a class: go/no-go, sign-up close, post-by, final count, order-by; every class of the demo studio."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import pytest

from scheduling.clock import WallTime
from scheduling.errors import InvalidError
from scheduling.model.day_calendar import EVERY_WEEKDAY, MONDAY_TO_FRIDAY, MONDAY_TO_SATURDAY, DayCalendar
from scheduling.model.deadlines import (
    CancelStep,
    CancelTerms,
    ClassDates,
    DateRules,
    Delivery,
    arrives_on,
    class_dates,
    days_before,
    days_to_go,
    go_no_go,
    order_by,
    placed_on,
    post_by,
)
from scheduling.model.kinds import Kind

NEW_YORK = "America/New_York"
CLOSURES = frozenset({dt.date(2027, 1, 18), dt.date(2027, 2, 15)})
MAILING = DayCalendar(MONDAY_TO_SATURDAY, CLOSURES)
WORKING = DayCalendar(MONDAY_TO_FRIDAY, CLOSURES)
RULES = DateRules()

OWN_ROOM = None
HALL = CancelTerms((CancelStep(14, 50), CancelStep(7, 100)))
LIBRARY = CancelTerms((CancelStep(7, 100),))

ROOM = frozenset({Kind.ROOM})
MAILED = frozenset({Kind.LIVE, Kind.MAILED})
PARTY = frozenset({Kind.ROOM, Kind.PARTY})


def day(text: str) -> dt.date:
    """'20 Feb' of 2027."""
    return dt.datetime.strptime(f"{text} 2027", "%d %b %Y").replace(tzinfo=dt.UTC).date()


def wall(on: str | dt.date, hour: int = 10, zone: str = NEW_YORK) -> WallTime:
    class_day = day(on) if isinstance(on, str) else on
    return WallTime(dt.datetime.combine(class_day, dt.time(hour)), zone)


@dataclass(frozen=True)
class Expected:
    """One line of the demo's table of classes."""

    id: str
    on: str
    kinds: frozenset[Kind]
    cancel: CancelTerms | None
    go_no_go: str
    close: str
    post_by: str = ""
    final_count: str = ""


DEMO = [
    Expected("C01", "16 Jan", ROOM, OWN_ROOM, "9 Jan", "13 Jan"),
    Expected("C02", "21 Jan", ROOM, LIBRARY, "13 Jan", "18 Jan"),
    Expected("C03", "30 Jan", ROOM, HALL, "15 Jan", "27 Jan"),
    Expected("C04", "7 Feb", ROOM | {Kind.CHILDREN}, HALL, "23 Jan", "4 Feb"),
    Expected("C05", "13 Feb", ROOM, OWN_ROOM, "6 Feb", "10 Feb"),
    Expected("C06", "18 Feb", ROOM, LIBRARY, "10 Feb", "15 Feb"),
    Expected("C07", "21 Feb", MAILED, None, "7 Feb", "8 Feb", post_by="10 Feb"),
    Expected("C08", "26 Feb", PARTY, HALL, "11 Feb", "23 Feb", final_count="19 Feb"),
    Expected("C09", "6 Mar", ROOM, HALL, "19 Feb", "3 Mar"),
    Expected("C10", "14 Mar", MAILED, None, "1 Mar", "2 Mar", post_by="4 Mar"),
    Expected("C11", "18 Mar", ROOM, LIBRARY, "10 Mar", "15 Mar"),
    Expected("C12", "20 Mar", ROOM, OWN_ROOM, "13 Mar", "17 Mar"),
    Expected("C13", "27 Mar", PARTY | {Kind.CHILDREN}, OWN_ROOM, "20 Mar", "24 Mar", final_count="20 Mar"),
    Expected("C14", "3 Apr", ROOM, OWN_ROOM, "27 Mar", "31 Mar"),
]


def dates_of(expected: Expected, *, sends_abroad: bool = False) -> ClassDates:
    return class_dates(
        wall(expected.on),
        wall(expected.on, 12),
        expected.kinds,
        rules=RULES,
        mailing=MAILING,
        cancel=expected.cancel,
        sends_abroad=sends_abroad,
    )


@pytest.mark.parametrize("expected", DEMO, ids=lambda expected: expected.id)
def test_every_demo_class_has_its_dates(expected: Expected) -> None:
    dates = dates_of(expected)
    assert dates.go_no_go == day(expected.go_no_go)
    assert dates.sign_up_close == day(expected.close)
    assert dates.post_by == (day(expected.post_by) if expected.post_by else None)
    assert dates.final_count == (day(expected.final_count) if expected.final_count else None)
    assert dates.post_by_abroad is None
    assert dates.release is None


@pytest.mark.parametrize(("id_", "abroad"), [("C07", "29 Jan"), ("C10", "20 Feb")])
def test_kits_for_abroad_are_posted_earlier(id_: str, abroad: str) -> None:
    expected = next(line for line in DEMO if line.id == id_)
    dates = dates_of(expected, sends_abroad=True)
    assert dates.post_by_abroad == day(abroad)
    assert dates.post_by == day(expected.post_by)


def test_nothing_is_posted_for_a_room_class_with_someone_from_abroad() -> None:
    assert dates_of(DEMO[0], sends_abroad=True).post_by_abroad is None


def test_sign_up_opens_eight_weeks_before() -> None:
    assert dates_of(DEMO[8]).sign_up_open == day("9 Jan")


def test_a_recorded_class_has_a_day_of_release_and_no_decision() -> None:
    dates = class_dates(wall("1 Apr"), wall("1 Apr"), frozenset({Kind.RECORDED}), rules=RULES, mailing=MAILING)
    assert dates.release == day("1 Apr")
    assert dates.go_no_go is dates.sign_up_close is dates.post_by is None


def test_a_live_class_that_is_recorded_keeps_its_decision() -> None:
    kinds = frozenset({Kind.LIVE, Kind.RECORDED})
    dates = class_dates(wall("1 Apr"), wall("1 Apr", 12), kinds, rules=RULES, mailing=MAILING)
    assert dates.release == day("1 Apr")
    assert dates.go_no_go == day("25 Mar")


def test_a_class_that_is_held_nowhere_is_refused() -> None:
    with pytest.raises(InvalidError) as refusal:
        class_dates(wall("1 Apr"), wall("1 Apr"), frozenset({Kind.CHILDREN}), rules=RULES, mailing=MAILING)
    assert refusal.value.field == "kinds"


def test_a_class_that_ends_before_it_starts_is_refused() -> None:
    with pytest.raises(InvalidError):
        ClassDates(wall("1 Apr", 12), wall("1 Apr", 10))


# --- post-by ----------------------------------------------------------------------------------------------------


def posted(class_day: dt.date, mailing: DayCalendar = MAILING, transit: int = 5, handling: int = 0) -> dt.date:
    return post_by(class_day, transit_days=transit, in_hand_days_before=4, mailing=mailing, handling_days=handling)


def test_a_closure_moves_post_by_a_mailing_day_earlier() -> None:
    assert posted(day("21 Feb"), DayCalendar(MONDAY_TO_SATURDAY)) == day("11 Feb")
    assert posted(day("21 Feb")) == day("10 Feb")


def test_a_handling_day_moves_post_by_a_mailing_day_earlier() -> None:
    assert posted(day("21 Feb"), handling=1) == day("9 Feb")


def test_an_in_hand_day_without_mail_counts_from_the_mailing_day_before() -> None:
    # T-4 of Thursday 18 March is Sunday 14.
    assert posted(day("18 Mar"), transit=1) == day("12 Mar")


def test_post_by_crosses_a_leap_day() -> None:
    assert posted(dt.date(2028, 3, 5)) == dt.date(2028, 2, 24)
    assert posted(dt.date(2027, 3, 5)) == dt.date(2027, 2, 23)


# --- cancel terms and go/no-go ----------------------------------------------------------------------------------


def test_the_hall_is_free_through_15_days_before() -> None:
    class_day = day("6 Mar")
    assert HALL.first_penalty_day(class_day) == day("20 Feb")
    assert HALL.last_free_day(class_day) == day("19 Feb")


@pytest.mark.parametrize(
    ("notice", "percent"),
    [("19 Feb", 0), ("20 Feb", 50), ("26 Feb", 50), ("27 Feb", 100), ("6 Mar", 100), ("7 Mar", 100)],
)
def test_the_hall_asks_for_more_the_later_the_notice(notice: str, percent: int) -> None:
    assert HALL.owed_percent(day("6 Mar"), day(notice)) == percent


@pytest.mark.parametrize(
    "steps",
    [
        (),
        (CancelStep(7, 50), CancelStep(14, 100)),
        (CancelStep(7, 50), CancelStep(7, 100)),
        (CancelStep(14, 100), CancelStep(7, 50)),
        (CancelStep(14, 50), CancelStep(7, 50)),
        (CancelStep(14, 0), CancelStep(7, 50)),
        (CancelStep(14, 101),),
        (CancelStep(-1, 100),),
    ],
)
def test_cancel_terms_out_of_order_are_refused(steps: tuple[CancelStep, ...]) -> None:
    with pytest.raises(InvalidError) as refusal:
        CancelTerms(steps)
    assert refusal.value.field == "cancel_terms"


def test_go_no_go_of_mailed_kits_in_a_hired_room_is_the_earlier_day() -> None:
    class_day = day("14 Mar")
    assert go_no_go(class_day, cancel=HALL, mailed_close=day("2 Mar"), rules=RULES) == day("27 Feb")
    assert go_no_go(class_day, cancel=LIBRARY, mailed_close=day("2 Mar"), rules=RULES) == day("1 Mar")


def test_the_rules_of_the_studio_change_the_dates() -> None:
    rules = replace(RULES, close_days_before=1, own_room_go_no_go_days=10, final_count_days=5, open_days_before=30)
    dates = class_dates(wall("31 Mar"), wall("31 Mar", 12), PARTY, rules=rules, mailing=MAILING)
    assert dates.sign_up_close == day("30 Mar")
    assert dates.go_no_go == day("21 Mar")
    assert dates.final_count == day("26 Mar")
    assert dates.sign_up_open == day("1 Mar")


# --- the class day in its zone ----------------------------------------------------------------------------------


def test_days_before_are_calendar_days_across_the_clock_change() -> None:
    assert days_before(wall("14 Mar", 13), 1) == day("13 Mar")
    assert days_before(wall("15 Mar", 0), 7) == day("8 Mar")


def test_days_before_cross_month_ends_and_leap_days() -> None:
    starts = wall(dt.date(2028, 3, 7))
    assert days_before(starts, 7) == dt.date(2028, 2, 29)
    assert days_before(starts, 14) == dt.date(2028, 2, 22)
    assert days_before(wall(dt.date(2028, 2, 29)), 366) == dt.date(2027, 2, 28)


def test_days_to_go_are_counted_in_the_zone_of_the_class() -> None:
    late_evening = dt.datetime(2027, 3, 14, 3, 30, tzinfo=dt.UTC)  # 13 March 22:30 in New York
    assert days_to_go(late_evening, wall("14 Mar", 13)) == 1
    assert days_to_go(late_evening, wall("14 Mar", 13, "Europe/Berlin")) == 0
    assert days_to_go(late_evening, wall("12 Mar")) == -1


# --- orders -----------------------------------------------------------------------------------------------------

PAPER = Delivery(7, WORKING, WORKING, NEW_YORK, dt.time(14))
THREAD = Delivery(5, WORKING, WORKING, NEW_YORK)
LIGHTS = Delivery(26, DayCalendar(), DayCalendar(), NEW_YORK)
CARTONS = Delivery(4, WORKING, WORKING, NEW_YORK)
NOW = dt.datetime(2027, 2, 1, 13, tzinfo=dt.UTC)  # Monday 08:00


@pytest.mark.parametrize(
    ("delivery", "comes"), [(PAPER, "10 Feb"), (THREAD, "8 Feb"), (LIGHTS, "27 Feb"), (CARTONS, "5 Feb")]
)
def test_the_orders_of_the_demo_morning_come_as_said(delivery: Delivery, comes: str) -> None:
    assert arrives_on(NOW, delivery) == day(comes)


def test_an_order_at_the_closing_hour_counts_from_the_next_working_day() -> None:
    closing = dt.datetime(2027, 2, 5, 19, tzinfo=dt.UTC)  # Friday 14:00
    assert placed_on(closing - dt.timedelta(minutes=1), PAPER) == day("5 Feb")
    assert placed_on(closing, PAPER) == day("8 Feb")


def test_an_order_on_a_closure_counts_from_the_next_working_day() -> None:
    assert placed_on(dt.datetime(2027, 2, 15, 15, tzinfo=dt.UTC), PAPER) == day("16 Feb")


def test_an_order_counts_by_the_clock_of_the_supplier() -> None:
    abroad = replace(LIGHTS, zone="Asia/Tokyo")
    assert arrives_on(dt.datetime(2027, 2, 1, 16, tzinfo=dt.UTC), abroad) == day("28 Feb")


def test_lights_for_the_bagging_of_2_march_are_ordered_by_4_february() -> None:
    latest = order_by(day("2 Mar"), LIGHTS)
    assert latest.day == day("4 Feb")
    assert latest.before == dt.datetime(2027, 2, 5, 5, tzinfo=dt.UTC)


def test_paper_is_ordered_before_the_hour_of_the_supplier() -> None:
    latest = order_by(day("10 Feb"), PAPER)
    assert latest.day == day("1 Feb")
    assert latest.before == dt.datetime(2027, 2, 1, 19, tzinfo=dt.UTC)


def test_a_buffer_moves_order_by_earlier_by_calendar_days() -> None:
    assert order_by(day("12 Feb"), PAPER, buffer_days=2).day == day("1 Feb")


def test_goods_needed_on_a_weekend_are_ordered_to_come_before_it() -> None:
    assert order_by(day("14 Feb"), CARTONS).day == day("8 Feb")


def test_a_supplier_that_takes_orders_on_other_days_than_it_sends() -> None:
    weekly = replace(CARTONS, taking=DayCalendar(frozenset({5})))  # orders on Saturdays only
    assert arrives_on(NOW, weekly) == day("11 Feb")
    assert order_by(day("11 Feb"), weekly).day == day("6 Feb")


def test_the_closing_hour_follows_the_clock_change() -> None:
    sundays = replace(PAPER, taking=DayCalendar(EVERY_WEEKDAY), counting=DayCalendar())
    assert sundays.closing(day("13 Mar")) == dt.datetime(2027, 3, 13, 19, tzinfo=dt.UTC)
    assert sundays.closing(day("14 Mar")) == dt.datetime(2027, 3, 14, 18, tzinfo=dt.UTC)


def test_a_lead_crosses_a_leap_day() -> None:
    assert arrives_on(dt.datetime(2028, 2, 25, 15, tzinfo=dt.UTC), CARTONS) == dt.date(2028, 3, 2)

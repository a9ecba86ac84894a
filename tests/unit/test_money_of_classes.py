"""The money of a class, by its figures in the demo studio (demo.md, "How the figures come" 4, 5 and 9)."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from scheduling.clock import WallTime
from scheduling.errors import InvalidError
from scheduling.model.ledger import CardCost, ClassCosts, Hire, heads_worth_showing
from scheduling.model.prep import kits_to_build
from scheduling.model.prices import PriceTerms
from scheduling.model.refunds import Tiers, check_tiers, giving_back, notice_days, part_on
from scheduling.money import Currency

USD = Currency("USD")
CARD = CardCost(Decimal("2.9"), 30)
TIERS: Tiers = ((14, "full"), (7, "half"), (2, "credit"), (0, "none"))
KITS = {"P1": 132, "P2": 958, "P3": 1081, "P4": 228, "P5": 473, "P6": 397}
LOFT, HALL, LIBRARY, ONLINE = "V1", "V2", "V3", "V0"


def extra_kits(heads: int) -> int:
    return kits_to_build(heads, spare_percent=10, spare_least=1, demo_copies=1) - heads


def costs(project: str, venue: str, fee: int, *meetings: int, mailed: bool = False, work: int = 0) -> ClassCosts:
    """A class of the demo; meetings: minutes of each."""
    set_up, clear_down = {LOFT: (60, 30), HALL: (75, 60), LIBRARY: (60, 30), ONLINE: (0, 0)}[venue]
    minutes = [*meetings]
    minutes[0] += set_up
    minutes[-1] += clear_down
    hire = {
        LOFT: Hire("hour", 600, 0, tuple(minutes)),
        HALL: Hire("hour", 2200, 180, tuple(minutes)),
        LIBRARY: Hire("evening", 3500, 0, tuple(minutes)),
        ONLINE: Hire("none", 0, 0, tuple(minutes)),
    }[venue]
    drinks = (("drinks", 150),) if venue in (LOFT, HALL) else ()
    return ClassCosts(
        currency=USD,
        fee=fee,
        card=CARD,
        hire=hire,
        kit=KITS[project],
        extra_kits=extra_kits,
        fixed=(("travel", 1200),) if venue in (HALL, LIBRARY) else (),
        per_head=drinks + ((("mailer", 95),) if mailed else ()),
        hourly_rate=2500,
        work_minutes=work,
    )


DEMO = {
    "C01": (costs("P1", LOFT, 3800, 150), 1),
    "C02": (costs("P6", LIBRARY, 4200, 135), 2),
    "C03": (costs("P2", HALL, 16500, 330, 180), 2),
    "C04": (costs("P4", HALL, 2400, 120), 6),
    "C05": (costs("P3", LOFT, 7200, 240), 1),
    "C06": (costs("P1", LIBRARY, 3800, 135), 2),
    "C07": (costs("P6", ONLINE, 4600, 210, mailed=True), 1),
    "C08": (costs("P5", HALL, 6200, 210), 3),
    "C09": (costs("P5", HALL, 5800, 210), 3),
    "C10": (costs("P3", ONLINE, 6400, 300, mailed=True), 1),
    "C11": (costs("P4", LIBRARY, 3000, 135), 2),
    "C12": (costs("P5", LOFT, 5800, 210), 1),
    "C13": (costs("P4", LOFT, 2600, 120), 2),
    "C14": (costs("P1", LOFT, 3800, 150), 1),
}


@pytest.mark.parametrize("name", DEMO)
def test_the_break_even_of_each_demo_class_is_as_worked_out_by_hand(name: str) -> None:
    class_costs, heads = DEMO[name]
    assert class_costs.heads_for() == heads


def test_the_figures_behind_c09_are_those_of_the_demo() -> None:
    c09 = DEMO["C09"][0]
    assert c09.fixed_costs(4).amount == 14796
    assert c09.card.of(5800) == 198
    assert c09.net_per_head().amount == 4979
    assert c09.profit(4).amount == 4 * 4979 - 14796 == 5120


def test_the_figures_behind_c03_are_those_of_the_demo() -> None:
    c03 = DEMO["C03"][0]
    assert c03.fixed_costs(7).amount == 1075 * 22 + 1200 + 1916
    assert c03.net_per_head().amount == 14883


def test_pay_at_n_heads_is_that_of_the_trade_example() -> None:
    """job.md 5: with 9.75 h at 25 it takes 8 of 14 for full pay; at 4 heads the pay is 5.25 an hour."""
    c09 = costs("P5", HALL, 5800, 210, work=585)
    assert c09.full_pay == 24375
    assert c09.heads_for(c09.full_pay) == 8
    assert c09.pay_per_hour(c09.profit(4).amount) == 525


def test_every_figure_is_the_sum_of_its_lines() -> None:
    for class_costs, _ in DEMO.values():
        for heads in range(20):
            profit = class_costs.profit(heads)
            assert profit.amount == sum(amount for _, amount in profit.lines)


def test_break_even_counts_the_further_spare_kits_of_more_heads() -> None:
    """Eleven heads need a second spare, so eleven times what a head leaves has to cover one more kit."""
    dear = ClassCosts(USD, 100, CardCost(), Hire("none", 0, 0, (60,)), 10, extra_kits, fixed=(("room", 955),))
    assert dear.fixed_costs(10).amount == 955 + 20
    assert dear.fixed_costs(11).amount == 955 + 30
    assert dear.heads_for() == 11


def test_a_class_that_loses_on_every_head_never_breaks_even() -> None:
    assert ClassCosts(USD, 100, CardCost(), Hire("none", 0, 0, (60,)), 150, extra_kits).heads_for() is None


def test_a_hire_with_least_hours_charges_them_for_each_meeting() -> None:
    assert Hire("hour", 2200, 180, (120, 200)).figure(USD).amount == 13933  # 380 minutes at 22.00
    assert Hire("evening", 3500, 0, (120, 120)).figure(USD).amount == 7000


def test_heads_worth_showing_are_within_the_seats() -> None:
    assert list(heads_worth_showing(DEMO["C09"][0], 4, 6, 14)) == [3, 4, 6, 14]


@pytest.mark.parametrize(
    ("notice", "part", "back", "credit"),
    [
        ("2027-01-30", "full", 7200, 0),
        ("2027-01-31", "half", 3600, 0),
        ("2027-02-06", "half", 3600, 0),
        ("2027-02-07", "credit", 0, 7200),
        ("2027-02-11", "credit", 0, 7200),
        ("2027-02-12", "none", 0, 0),
        ("2027-02-13", "none", 0, 0),
        ("2027-02-14", "none", 0, 0),
    ],
)
def test_what_c05_gives_back_on_each_day_of_notice(notice: str, part: str, back: int, credit: int) -> None:
    starts = WallTime(dt.datetime.fromisoformat("2027-02-13T10:00"), "America/New_York")
    for hour in (0, 23):
        at = WallTime(dt.datetime.fromisoformat(notice) + dt.timedelta(hours=hour, minutes=59), starts.zone).utc
        found = part_on(TIERS, notice_days(at, starts))
        assert found == part
        shared = giving_back(found, held=7200, price_before=7200, price_after=0)
        assert (shared.back, shared.credit) == (back, credit)
        assert shared.back + shared.credit + shared.kept == 7200


def test_notice_is_read_in_the_zone_of_the_class_across_a_clock_change() -> None:
    """Clocks jump on 14 March; 04:30 UTC is still the evening before in New York."""
    starts = WallTime(dt.datetime.fromisoformat("2027-03-20T10:00"), "America/New_York")
    assert notice_days(dt.datetime(2027, 3, 6, 4, 30, tzinfo=dt.UTC), starts) == 15
    assert notice_days(dt.datetime(2027, 3, 6, 5, 30, tzinfo=dt.UTC), starts) == 14
    assert notice_days(dt.datetime(2027, 3, 19, 3, 30, tzinfo=dt.UTC), starts) == 2


def test_notice_counts_a_leap_day() -> None:
    starts = WallTime(dt.datetime.fromisoformat("2028-03-07T10:00"), "Europe/Berlin")
    assert notice_days(dt.datetime(2028, 2, 29, 12, tzinfo=dt.UTC), starts) == 7
    assert notice_days(dt.datetime(2028, 2, 22, 12, tzinfo=dt.UTC), starts) == 14


def test_an_instructor_who_calls_off_gives_all_back_whatever_the_tier() -> None:
    shared = giving_back("called off", held=10000, price_before=55800, price_after=0, deposit_kept=10000)
    assert (shared.back, shared.kept) == (10000, 0)


def test_a_hosts_deposit_is_kept_and_the_rest_goes_by_the_tier() -> None:
    shared = giving_back("full", held=30000, price_before=55800, price_after=0, deposit_kept=10000)
    assert (shared.back, shared.kept, shared.deposit_kept) == (20000, 10000, 10000)


def test_what_is_paid_covers_the_heads_that_stay_first() -> None:
    assert giving_back("full", held=7200, price_before=14400, price_after=7200).back == 0
    assert giving_back("half", held=14400, price_before=14400, price_after=7200).back == 3600


def test_half_of_an_odd_sum_is_rounded_for_the_payer_and_parts_add_up() -> None:
    shared = giving_back("half", held=4201, price_before=4201, price_after=0)
    assert (shared.back, shared.kept) == (2101, 2100)


def test_tiers_fall_to_the_class_day() -> None:
    with pytest.raises(InvalidError):
        check_tiers(((7, "half"), (14, "full"), (0, "none")))
    with pytest.raises(InvalidError):
        check_tiers(((14, "full"), (7, "half")))


def test_a_hosts_place_is_free_with_eight_others() -> None:
    """C08: 9 x 62 less the deposit of 100 leaves 458.00; C13: 7 others, so all 8 pay, 148.00 left."""
    assert PriceTerms(6200, host_free_from=8).price(10, USD).amount - 10000 == 45800
    assert PriceTerms(2600, host_free_from=8).price(8, USD).amount - 6000 == 14800
    assert PriceTerms(2600, host_free_from=8).heads_charged(9) == 8


def test_a_party_pays_for_its_least_heads() -> None:
    terms = PriceTerms(2600, least_heads=8)
    assert terms.price(6, USD).amount == 8 * 2600
    assert terms.price(9, USD).amount == 9 * 2600
    assert terms.price(0, USD).amount == 0


def test_reductions_as_booked_never_take_more_than_the_price() -> None:
    assert PriceTerms(5800, off_each=870).price(1, USD).amount == 4930
    assert PriceTerms(1000, off_once=1200).price(1, USD).amount == 0

"""Orders of one supplier: held to trying everything, to the demo's sums, and to single rules."""

from __future__ import annotations

import datetime as dt
import itertools
import random

import pytest

from scheduling.buying.basket import Basket, Filler, OrderPlan, Want, days_of, weighed
from scheduling.buying.orders import best_orders
from scheduling.buying.rewards import Band, Reward, RewardKind, ordinal, standing

TODAY = dt.date(2027, 2, 1)
PR2 = Reward(
    1,
    RewardKind.SPEND,
    "one 5-sheet decorative pack",
    TODAY,
    dt.date(2027, 2, 26),
    "America/New_York",
    dt.time(14),
    per=6000,
    worth=2125,
)


def day(number: int) -> dt.date:
    return TODAY + dt.timedelta(days=number)


def want(key: str, minor: int, last: int, *, packs: int = 1, then: tuple[int, int] | None = None) -> Want:
    prices = ((dt.date.min, minor), (day(then[0]), then[1])) if then else ((dt.date.min, minor),)
    return Want(key, 1, packs, day(last), prices)


def everything_tried(basket: Basket, most: int) -> OrderPlan | None:
    """The least cost by trying every day for every want and every number of fillers up to `most`."""
    places = [(when, filler.item) for when in basket.days for filler in basket.fillers]
    best: OrderPlan | None = None
    for choice in itertools.product(*(days_of(basket, each) for each in basket.wants)):
        for numbers in itertools.product(range(most + 1), repeat=len(places)):
            packs = dict(zip(places, numbers, strict=True))
            plan = weighed(basket, choice, packs)
            if plan is not None and (best is None or (plan.cost, len(plan.orders)) < (best.cost, len(best.orders))):
                best = plan
    return best


@pytest.mark.parametrize("seed", range(40))
def test_no_choice_is_cheaper_than_the_one_found(seed: int) -> None:
    rng = random.Random(seed)
    days = tuple(sorted(rng.sample(range(1, 60), rng.randint(1, 3))))
    wants = tuple(
        want(
            f"w{number}",
            rng.randrange(300, 6000),
            rng.choice((-3, 0, *days, 80)),
            packs=rng.randint(1, 3),
            then=(rng.choice((0, *days)), rng.randrange(300, 6000)) if rng.random() < 0.4 else None,
        )
        for number in range(rng.randint(1, 5))
    )
    rewards: list[Reward] = []
    if rng.random() < 0.6:
        last, per, worth = day(rng.choice((0, *days))), rng.randrange(800, 7000), rng.randrange(100, 2500)
        worth = min(worth, per // 2)
        rewards.append(Reward(1, RewardKind.SPEND, "one", day(0), last, "UTC", per=per, worth=worth))
    if rng.random() < 0.4:
        bands = (Band(3000, "small", rng.randrange(50, 600)), Band(9000, "large", rng.randrange(600, 2000)))
        rewards.append(Reward(2, RewardKind.TIER, "a band", day(1), day(60), "UTC", bands=bands))
    fillers = (Filler(7, ((dt.date.min, rng.randrange(900, 4000)),)),) if rng.random() < 0.5 else ()
    basket = Basket(
        TODAY,
        wants,
        (TODAY, *(day(number) for number in days)),
        least_order=rng.choice((0, 2500, 6000)),
        carriage=rng.choice((0, 700, 1400)),
        carriage_free=rng.choice((None, 5000, 12000)),
        work=rng.choice((0, 417)),
        rewards=tuple(rewards),
        counted={1: rng.choice((0, 2500))},
        fillers=fillers,
    )
    expected = everything_tried(basket, 3 if len(basket.days) < 4 else 2)
    answer = best_orders(basket)
    if expected is None:
        assert answer is None
        return
    assert answer is not None
    assert answer.proved
    assert answer.plan.cost <= expected.cost
    if not fillers or answer.plan.cost == expected.cost:
        assert (answer.plan.cost, len(answer.plan.orders)) == (expected.cost, len(expected.orders))


@pytest.mark.parametrize(("goods", "earned", "more", "what"), [(13175, 2, 4825, "third"), (21400, 3, 2600, "fourth")])
def test_the_sums_of_the_demos_reward(goods: int, earned: int, more: int, what: str) -> None:
    found = standing(PR2, goods)
    assert (found.earned, found.to_next, ordinal(found.earned + 1)) == (earned, more, what)


def test_pooled_orders_count_towards_the_reward() -> None:
    basket = Basket(TODAY, (want("own", 13175, 10),), (TODAY,), rewards=(PR2,), counted={1: 2250 + 4100 + 1875})
    answer = best_orders(basket)
    assert answer is not None
    assert answer.plan.earned == ((1, 21400, 3),)


def test_the_reward_closes_at_its_hour_in_the_suppliers_zone() -> None:
    assert PR2.closes == dt.datetime(2027, 2, 26, 19, tzinfo=dt.UTC)


def test_a_later_need_is_pulled_into_the_window_that_it_completes() -> None:
    basket = Basket(TODAY, (want("now", 5000, 0), want("later", 1500, 50)), (TODAY, day(50)), rewards=(PR2,))
    answer = best_orders(basket)
    assert answer is not None
    assert [order.day for order in answer.plan.orders] == [TODAY]
    assert answer.plan.worth == 2125


def test_a_price_that_falls_is_waited_for_only_where_it_saves_more_than_the_order() -> None:
    cheaper = want("paper", 5000, 40, then=(20, 4000))
    basket = Basket(TODAY, (want("glue", 900, 0), cheaper), (TODAY, day(20), day(40)), carriage=500, work=400)
    answer = best_orders(basket)
    assert answer is not None
    assert [order.day for order in answer.plan.orders] == [TODAY, day(20)]
    dear = best_orders(Basket(TODAY, basket.wants, basket.days, carriage=700, work=400))
    assert dear is not None
    assert [order.day for order in dear.plan.orders] == [TODAY]


def test_one_pack_below_the_least_order_takes_a_later_need_along() -> None:
    mailers, bags = want("mailers", 2375, 3), want("bags", 1900, 38)
    answer = best_orders(Basket(TODAY, (mailers, bags), (TODAY, day(3), day(38)), least_order=2500, carriage=700))
    assert answer is not None
    assert [(order.goods, order.wants) for order in answer.plan.orders] == [(4275, ("mailers", "bags"))]


def test_a_lone_pack_below_the_least_order_takes_the_cheapest_filler() -> None:
    fillers = (Filler(1, ((dt.date.min, 1900),)), Filler(2, ((dt.date.min, 1200),)))
    answer = best_orders(Basket(TODAY, (want("mailers", 2375, 3),), (TODAY, day(3)), least_order=2500, fillers=fillers))
    assert answer is not None
    assert answer.plan.orders[0].fillers == ((2, 1),)


def test_nothing_wanted_needs_no_order() -> None:
    assert best_orders(Basket(TODAY, (), (TODAY,))) is None


def test_forty_needs_of_one_supplier_are_solved_to_the_end() -> None:
    rng = random.Random(5)
    wants = tuple(want(f"w{number}", rng.randrange(400, 5000), rng.randrange(0, 84)) for number in range(40))
    days = tuple(sorted({TODAY, *(each.last_day for each in wants)}))
    answer = best_orders(
        Basket(TODAY, wants, days, 4000, 950, 15000, 417, (PR2,), {1: 8225}, (Filler(3, ((dt.date.min, 1650),)),))
    )
    assert answer is not None
    assert answer.proved

"""Orders in the demo studio: proposed, placed, promised, received; what waits for them is planned by them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.orders import CancelOrder, PlaceOrder, PromiseOrder, ReceiveOrder
from scheduling.commands.rewards import KeepReward, PoolSum
from scheduling.commands.settings import MoveClock
from scheduling.commands.suppliers import ChangeSupplier
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.needs import NeedRow, Needs
from scheduling.queries.order_proposals import OrderProposals, reward_sentence
from scheduling.queries.orders import Orders, Rewards
from scheduling.queries.plan import PlannedTask, PrepTasks, WhyTask
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio

PAPER, BOARD, THREAD, LIGHTS, CARTONS = 1, 2, 3, 4, 5


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def need(studio: Studio, material: int) -> NeedRow:
    return next(row for row in studio.ask(Needs()) if row.material.id == material)


def task(studio: Studio, class_id: int, title: str) -> PlannedTask:
    return next(each for each in studio.ask(PrepTasks(class_id)) if each.title == title)


def test_paper_is_pooled_into_one_order_that_comes_carriage_free_and_earns_rewards(studio: Studio) -> None:
    (proposal,) = studio.ask(OrderProposals(supplier_id=PAPER))
    (order,) = proposal.orders
    assert proposal.proved
    assert {line.material.id: line.packs for line in order.lines} == {3: 6, 4: 1, 6: 1, 7: 1}
    assert (order.goods, order.carriage) == (6 * 1650 + 1700 + 2350 + 2600, 0)
    assert order.arrives == dt.date(2027, 2, 10)
    assert proposal.said == (
        "247.75 earns 4 x one 5-sheet decorative pack; 52.25 more by Fri 26 Feb, 14:00 earns the fifth.",
    )


def test_mailers_alone_are_under_the_least_order_and_take_the_bags_along(studio: Studio) -> None:
    (proposal,) = studio.ask(OrderProposals(supplier_id=CARTONS))
    (order,) = proposal.orders
    assert {line.material.id: line.packs for line in order.lines} == {20: 1, 22: 1}
    assert (order.goods, order.arrives) == (4275, dt.date(2027, 2, 5))


def test_the_pooled_reward_stands_as_the_demo_says(studio: Studio) -> None:
    studio.do(ChangeSupplier(supplier_id=PAPER, carriage_minor=0))
    currency = studio.ask(Settings()).currency
    assert [one.goods for one in studio.ask(Rewards())] == [8225]
    studio.do(PoolSum(reward_id=1, who="her own basket", amount_minor=13175))
    (pooled,) = studio.ask(Rewards())
    assert (pooled.goods, pooled.earned, pooled.to_next) == (21400, 3, 2600)
    assert reward_sentence(pooled, currency) == (
        "214.00 earns 3 x one 5-sheet decorative pack; 26.00 more by Fri 26 Feb, 14:00 earns the fourth."
    )


def test_a_placed_order_counts_for_the_reward_and_a_cancelled_one_does_not(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 4),)))
    assert [one.goods for one in studio.ask(Rewards())] == [8225 + 6600]
    studio.do(CancelOrder(supply_order_id=kept.supply_order_id))
    assert [one.goods for one in studio.ask(Rewards())] == [8225]


def test_an_order_after_the_hour_of_the_last_day_counts_for_nothing(studio: Studio) -> None:
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 26, 19, 0, tzinfo=dt.UTC)))
    studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 4),)))
    assert [one.goods for one in studio.ask(Rewards())] == [8225]
    (proposal,) = studio.ask(OrderProposals(supplier_id=PAPER))
    assert proposal.standings == ()


def test_an_order_comes_by_the_suppliers_lead_and_serves_the_classes_that_lack(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6),)))
    assert kept.promised_day == dt.date(2027, 2, 10)
    row = need(studio, 3)
    assert (row.need.on_order, row.need.to_buy) == (60, 0)
    c05 = next(one for one in row.classes if one.class_id == 5)
    assert (c05.need.from_stock, c05.need.from_orders, c05.need.ready_on) == (8, 32, kept.promised_day)


def test_the_hour_to_order_by_moves_the_day_of_arrival(studio: Studio) -> None:
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 1, 19, 0, tzinfo=dt.UTC)))  # 14:00 in the studio
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6),)))
    assert kept.promised_day == dt.date(2027, 2, 11)


def test_cutting_waits_in_the_plan_for_the_paper_and_not_longer(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6), (6, 1))))
    cut = task(studio, 5, "Cut all pieces")
    assert cut.stretches[0].day >= dt.date(2027, 2, 10)
    assert cut.stretches[-1].day <= dt.date(2027, 2, 12)
    assert task(studio, 7, "Cut all pieces").stretches[0].day < dt.date(2027, 2, 8)
    assert "It cannot begin before Wed 10 Feb, when G01 comes." in studio.ask(WhyTask(cut.id))


def test_a_new_promise_replans(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6), (6, 1))))
    studio.do(PromiseOrder(supply_order_id=kept.supply_order_id, promised_day=dt.date(2027, 2, 11)))
    assert task(studio, 5, "Cut all pieces").stretches[0].day >= dt.date(2027, 2, 11)


def test_lights_hold_up_bagging_but_not_cutting(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=LIGHTS, lines=((17, 2),)))
    assert task(studio, 9, "Sort, bag and label").stretches[0].day >= dt.date(2027, 2, 27)
    assert task(studio, 9, "Cut all pieces").stretches[0].day < dt.date(2027, 2, 27)


def test_receiving_in_part_adds_what_came_and_leaves_the_rest_on_order(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6), (6, 1))))
    came = studio.do(ReceiveOrder(supply_order_id=kept.supply_order_id, came=((3, 4),)))
    assert came.state == "part received"
    row = need(studio, 3)
    assert (row.need.on_hand, row.need.on_order) == (54, 20)
    studio.do(ReceiveOrder(supply_order_id=kept.supply_order_id))
    assert (need(studio, 3).need.on_hand, need(studio, 3).need.on_order) == (74, 0)
    assert studio.ask(Orders()) == ()


def test_what_will_not_come_is_short_again(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6),)))
    done = studio.do(ReceiveOrder(supply_order_id=kept.supply_order_id, came=((3, 2),), rest_given_up=True))
    assert done.state == "received"
    assert need(studio, 3).need.packs == 4


def test_a_swap_goes_to_the_stock_of_what_came_and_is_said(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((6, 1),)))
    done = studio.do(ReceiveOrder(supply_order_id=kept.supply_order_id, swaps=((6, 5),)))
    assert need(studio, 5).need.on_hand == 11
    assert need(studio, 6).need.on_hand == 7
    assert any("say so on the kit's label" in warning for warning in done.warnings)


def test_taking_in_is_taken_back(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6),)))
    done = studio.do(ReceiveOrder(supply_order_id=kept.supply_order_id))
    studio.do(Undo(history_id=done.history_id))
    assert (need(studio, 3).need.on_hand, need(studio, 3).need.on_order) == (14, 60)


def test_more_than_was_ordered_is_not_taken_in(studio: Studio) -> None:
    kept = studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 6),)))
    with pytest.raises(InvalidError, match="6 of Drawing paper were to come, not 7"):
        studio.do(ReceiveOrder(supply_order_id=kept.supply_order_id, came=((3, 7),)))


def test_a_dropped_material_is_not_ordered_after_its_last_day(studio: Studio) -> None:
    studio.do(MoveClock(moment=dt.datetime(2027, 3, 25, 15, tzinfo=dt.UTC)))
    with pytest.raises(ConflictError, match="last orders were Wed 24 Mar"):
        studio.do(PlaceOrder(supplier_id=PAPER, lines=((6, 1),)))


def test_the_price_of_the_new_catalogue_holds_from_its_day(studio: Studio) -> None:
    studio.do(MoveClock(moment=dt.datetime(2027, 4, 1, 15, tzinfo=dt.UTC)))
    studio.do(PlaceOrder(supplier_id=PAPER, lines=((3, 1),)))
    (order,) = studio.ask(Orders())
    assert order.lines[0].price == 1716


def test_another_suppliers_goods_are_refused(studio: Studio) -> None:
    with pytest.raises(InvalidError, match="does not come from Dovecray"):
        studio.do(PlaceOrder(supplier_id=BOARD, lines=((3, 1),)))


def test_a_two_date_reward_says_when_the_event_must_be_held(studio: Studio) -> None:
    studio.do(
        KeepReward(
            supplier_id=THREAD,
            kind="two dates",
            what="a free reel",
            first_day=dt.date(2027, 2, 1),
            last_day=dt.date(2027, 3, 31),
            per_minor=3000,
            held_from=dt.date(2027, 2, 1),
            held_through=dt.date(2027, 3, 14),
        )
    )
    (proposal,) = studio.ask(OrderProposals(supplier_id=THREAD))
    (said,) = proposal.said
    assert said.startswith("65.30 earns 2 x a free reel; 24.70 more by Wed 31 Mar earns the third;")
    assert said.endswith("the event must be held from Mon 1 Feb through Sun 14 Mar.")

"""Rewards on their page: PR2's sums to the cent, whose sums are pooled, and a basket that is only tried."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.orders import PlaceOrder
from scheduling.commands.rewards import KeepReward, RetireReward
from scheduling.commands.undoing import Undo
from scheduling.errors import InvalidError, NotFoundError
from scheduling.queries.order_proposals import reward_sentence
from scheduling.queries.order_sums import OrderSum
from scheduling.queries.reward_pages import RewardPages, WhatBasketEarns
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio
from tui.reward_entries import entries_of


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def test_the_own_basket_and_the_pooled_one_earn_what_the_demo_says(studio: Studio) -> None:
    earns = studio.ask(WhatBasketEarns(1, 13175))
    assert (earns.alone.goods, earns.alone.earned, earns.alone.to_next) == (13175, 2, 4825)
    assert (earns.together.goods, earns.together.earned, earns.together.to_next) == (21400, 3, 2600)
    currency = studio.ask(Settings()).currency
    assert reward_sentence(earns.alone, currency).endswith("48.25 more by Fri 26 Feb, 14:00 earns the third.")
    assert reward_sentence(earns.together, currency).endswith("26.00 more by Fri 26 Feb, 14:00 earns the fourth.")


def test_trying_a_basket_keeps_nothing(studio: Studio) -> None:
    before = studio.revision
    studio.ask(WhatBasketEarns(1, 13175))
    assert studio.revision == before
    assert studio.ask(RewardPages())[0].standing.goods == 8225


def test_the_page_parts_her_own_orders_from_the_pooled_sums(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 2),)))
    (page,) = studio.ask(RewardPages())
    assert (page.own, [one.amount for one in page.pooled], page.standing.goods) == (3300, [2250, 4100, 1875], 11525)
    assert page.is_open


def test_a_changed_reward_keeps_its_number_and_its_pooled_sums_and_comes_back_by_undo(studio: Studio) -> None:
    (page,) = studio.ask(RewardPages())
    kept = studio.do(KeepReward(**entries_of(page) | {"per_minor": 5000, "what": "a pack"}))
    (changed,) = studio.ask(RewardPages())
    assert (kept.reward_id, changed.reward.per, changed.reward.what) == (1, 5000, "a pack")
    assert changed.pooled == page.pooled
    studio.do(Undo())
    assert studio.ask(RewardPages()) == (page,)


def test_the_entries_of_a_reward_change_nothing_by_themselves(studio: Studio) -> None:
    before = studio.ask(RewardPages())
    studio.do(KeepReward(**entries_of(before[0])))
    assert studio.ask(RewardPages()) == before


def test_a_retired_reward_is_listed_only_when_wanted(studio: Studio) -> None:
    studio.do(RetireReward(reward_id=1))
    assert studio.ask(RewardPages()) == ()
    assert [one.retired for one in studio.ask(RewardPages(with_retired=True))] == [True]


def test_a_tiered_reward_stands_by_its_bands(studio: Studio) -> None:
    bands = ((15000, "a roll", 500), (65000, "two rolls", 1200))
    kept = studio.do(
        KeepReward(
            supplier_id=2,
            kind="tier",
            what="bands",
            first_day=dt.date(2027, 2, 1),
            last_day=dt.date(2027, 2, 28),
            bands=bands,
        )
    )
    earns = studio.ask(WhatBasketEarns(kept.reward_id, 20000))
    assert (earns.alone.earned, earns.alone.to_next) == (1, 45000)
    page = next(one for one in studio.ask(RewardPages()) if one.id == kept.reward_id)
    assert entries_of(page)["bands"] == bands


def test_a_reward_that_is_not_there_is_refused(studio: Studio) -> None:
    with pytest.raises(NotFoundError):
        studio.ask(WhatBasketEarns(9, 100))
    with pytest.raises((NotFoundError, InvalidError)):
        studio.do(KeepReward(**entries_of(studio.ask(RewardPages())[0]) | {"reward_id": 9}))


def test_an_order_is_summed_before_it_is_sent(studio: Studio) -> None:
    found = studio.ask(OrderSum(1, ((3, 6), (4, 1))))
    assert (found.goods, found.carriage, found.arrives) == (11600, 950, dt.date(2027, 2, 10))
    assert found.said == (
        "116.00 of goods, 9.50 carriage; it comes Wed 10 Feb.",
        "Send it before Mon 1 Feb, 14:00.",
        "34.00 more and it comes carriage free.",
        "198.25 earns 3 x one 5-sheet decorative pack; 41.75 more by Fri 26 Feb, 14:00 earns the fourth.",
    )


def test_a_sum_below_the_least_order_says_what_is_missing(studio: Studio) -> None:
    assert "1.25 more to the least order of 25.00." in studio.ask(OrderSum(5, ((22, 1),))).said


def test_the_sum_is_what_placing_it_keeps(studio: Studio) -> None:
    wanted = ((3, 6), (4, 1), (6, 1), (7, 1))
    said = studio.ask(OrderSum(1, wanted))
    kept = studio.do(PlaceOrder(supplier_id=1, lines=wanted))
    assert kept.promised_day == said.arrives
    assert "165.50 of goods and 0.00 carriage" in kept.said
    assert (said.goods, said.carriage) == (16550, 0)

"""How the pages of stock, needs and orders look, at 80x24 and 120x40."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.orders import PlaceOrder, ReceiveOrder
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check
from tests.support.pasting import pasted

SIZES = pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.all)], ids=["80x24", "120x40"]
)
#: Keys from the stock page; a word in angle brackets is pasted.
LOOKS = {
    "stock": (),
    "stock-needs": ("v", "n", "enter"),
    "stock-why": ("v", "n", "enter", "down", "w"),
    "stock-orders": ("v", "o", "enter"),
    "stock-suppliers": ("v", "<supp>", "enter"),
    "stock-rewards": ("v", "<rew>", "enter"),
    "stock-count": ("down", "down", "c"),
    "order-place": ("v", "o", "enter", "enter"),
    "material": ("down", "down", "enter"),
    "material-form": ("v", "<mat>", "enter", "down", "down", "c"),
    "reward-try": ("v", "<rew>", "enter", "enter", "<131.75>"),
}


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


@SIZES
@pytest.mark.parametrize("name", LOOKS)
async def test_the_page_looks_as_it_was_found_right(studio: Studio, name: str, size: tuple[int, int]) -> None:
    await _looks(studio, name, LOOKS[name], size)


@SIZES
async def test_orders_on_their_way_look_as_they_were_found_right(studio: Studio, size: tuple[int, int]) -> None:
    for supplier, lines in ((1, ((3, 6), (6, 1))), (5, ((20, 1), (22, 1))), (3, ((19, 3),))):
        studio.do(PlaceOrder(supplier_id=supplier, lines=lines))
    studio.do(ReceiveOrder(supply_order_id=1, came=((3, 4), (6, 1)), swaps=((6, 5),)))
    studio.do(ReceiveOrder(supply_order_id=3))
    await _looks(studio, "stock-on-their-way", ("v", "o", "enter", "end"), size)


@SIZES
async def test_an_order_looks_as_it_was_found_right(studio: Studio, size: tuple[int, int]) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6), (6, 1)), note="half by van"))
    studio.do(ReceiveOrder(supply_order_id=1, came=((3, 4), (6, 1)), swaps=((6, 5),)))
    async with opened(studio, "stock", size=size) as pilot:
        pilot.app.open_order(1)  # type: ignore[attr-defined]
        await pilot.pause()
        check(pilot.app, f"order-{size[0]}x{size[1]}")


async def _looks(studio: Studio, name: str, keys: tuple[str, ...], size: tuple[int, int]) -> None:
    async with opened(studio, "stock", size=size) as pilot:
        for key in keys:
            if key.startswith("<"):
                await pasted(pilot, key[1:-1])
            else:
                await pilot.press(key)
        await pilot.pause()
        check(pilot.app, f"{name}-{size[0]}x{size[1]}")

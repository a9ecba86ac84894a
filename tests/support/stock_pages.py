"""What the tests of the stock, order and material pages share."""

from __future__ import annotations

from textual.pilot import Pilot

from scheduling.queries.orders import OrderRow, Orders
from scheduling.queries.stock import Stock, StockRow
from scheduling.studio import Studio
from tests.support.pasting import pasted
from tests.support.screens import screen_text
from tui.screens.stock import StockScreen
from tui.widgets.rows import Rows


def stock_of(studio: Studio, number: int) -> StockRow:
    return next(row for row in studio.ask(Stock(with_retired=True)) if row.material.id == number)


def orders(studio: Studio) -> list[OrderRow]:
    return list(studio.ask(Orders(with_closed=True)))


def show(pilot: Pilot[int], view: str, row_id: object = None) -> Rows[object]:
    """Another list of the stock page, with the cursor on a row."""
    page = pilot.app.screen
    assert isinstance(page, StockScreen)
    page.show_view(view)
    rows = page.query_one("#stock", Rows)
    assert row_id is None or rows.go_to(row_id), screen_text(pilot.app)
    return rows


def flowing(pilot: Pilot[int]) -> str:
    """The screen's text without its lines' ends and frames."""
    return " ".join(screen_text(pilot.app).replace("│", " ").split())


async def over(pilot: Pilot[int], text: str) -> None:
    """Type `text` over what the focused entry holds."""
    await pilot.press("end", "ctrl+u")
    await pasted(pilot, text)

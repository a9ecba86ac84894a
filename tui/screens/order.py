"""One order whole: what is in it, when it comes, what came, which classes wait for it, and its sums."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from scheduling.model.refs import ref
from scheduling.queries.order_page import OneOrder, OrderPage, WaitRow
from scheduling.queries.orders import OrderLineRow
from scheduling.queries.stock import Movement
from tui import order_forms
from tui.keys import bindings
from tui.lines_page import LinesPage
from tui.order_lines import COLUMNS, order_page_lines
from tui.widgets.aside import Aside
from tui.widgets.rows import Rows


class OrderScreen(LinesPage):
    """Rows in sections. The classes that wait are worked out beside the page."""

    BINDINGS = bindings(
        "open", "take_in", "move_date", "cancel", "why", "step_back", take_in="take in", move_date="new day",
    )  # fmt: skip
    AUTO_FOCUS = "#order"

    def __init__(self, order_id: int) -> None:
        super().__init__()
        self.order_id = order_id
        self.title_words = ref("supply_order", order_id)
        self._page: OrderPage | None = None

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](COLUMNS, empty="Counting what waits for it...", id="order")
        yield Aside()

    def reload(self) -> None:
        self.ask_beside(OneOrder(self.order_id))

    def ask_beside_again(self) -> None:
        self.ask_beside(OneOrder(self.order_id))

    def take_answer(self, answer: Any, revision: int) -> None:
        self._page = answer
        self._lines = order_page_lines(answer, self._ground, keys="i takes in, d new day, x cancels")
        self._rows.show(self._lines.rows)
        self._say_about()

    # Keys

    def on_rows_opened(self) -> None:
        here = self._here
        if isinstance(here, OrderLineRow):
            self.kitwright.open_material(here.material.id)
        elif isinstance(here, WaitRow):
            self.kitwright.open_class(here.one.class_id)
        elif isinstance(here, Movement):
            self.kitwright.open_material(here.material_id)
        else:
            self.action_why()

    def action_why(self) -> None:
        self.says.note(self.query_one(Aside).text or "There is nothing under the cursor to explain.")

    def action_take_in(self) -> None:
        if self._page is not None:
            order_forms.receive_order(self, self._page.order)

    def action_move_date(self) -> None:
        if self._page is not None:
            order_forms.promise_order(self, self._page.order)

    def action_cancel(self) -> None:
        if self._page is not None:
            order_forms.cancel_order(self, self._page.order)

"""A material's page: its stock, what it is promised to, the sum, its orders, price changes, movements."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from scheduling.model.refs import ref
from scheduling.queries.material_page import MaterialPage, OneMaterial
from scheduling.queries.need_why import WhyNeed
from scheduling.queries.orders import OrderRow
from tui import order_forms, stock_forms
from tui.beside import AsksBeside
from tui.cells import Column
from tui.keys import bindings
from tui.material_lines import material_rows
from tui.stock_lines import Ground
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.rows import Cell, Row, Rows


class MaterialScreen(AsksBeside):
    """Rows in sections; what c and Enter do goes by the row under the cursor."""

    BINDINGS = bindings(
        "open", "change", "give_seat", "why", "new", "take_in", "move_date", "step_back",
        give_seat="allot", new="order", take_in="take in", move_date="new day",
    )  # fmt: skip
    AUTO_FOCUS = "#material"

    def __init__(self, material_id: int) -> None:
        super().__init__()
        self.material_id = material_id
        self.title_words = ref("material", material_id)
        self._page: MaterialPage | None = None

    def body(self) -> Iterable[Widget]:
        yield Rows[Any]((Column("", 10), Column("", share=1, least=30)), empty="Counting...", id="material")
        yield Aside()

    def reload(self) -> None:
        self.ask_beside(OneMaterial(self.material_id))

    def ask_beside_again(self) -> None:
        self.ask_beside(OneMaterial(self.material_id))

    def take_answer(self, answer: Any, revision: int) -> None:
        self._page = answer
        facts = self.kitwright.facts
        self._rows.show(material_rows(answer, Ground(facts.currency, facts.units, self.today)))
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#material", Rows)

    @property
    def _key(self) -> tuple[Any, ...]:
        """The id of the row under the cursor, always as a tuple."""
        cursor = self._rows.cursor_id
        return cursor if isinstance(cursor, tuple) else (cursor,)

    def _say_about(self) -> None:
        item = self._rows.cursor_item
        cells = item.cells if isinstance(item, Row) else ()
        text = ": ".join(cell.text if isinstance(cell, Cell) else cell for cell in cells)
        self.query_one(Aside).show(text)

    def on_rows_moved(self) -> None:
        self._say_about()

    # Keys

    def on_rows_opened(self) -> None:
        kind = self._key[0]
        if kind == "class":
            self.kitwright.open_class(self._key[1])
        elif kind == "order":
            self.kitwright.open_order(self._key[1])
        elif kind == "supplier" and self._page is not None and self._page.stock.supplier is not None:
            self.kitwright.change_supplier(self._page.stock.supplier.id)
        elif kind == "why":
            self.action_why()
        else:
            self.action_change()

    def action_change(self) -> None:
        """The count, on a row of stock or a movement; on all others the material's own entries."""
        if self._page is not None and self._key[0] in ("count", "move", "free"):
            stock_forms.count_stock(self, self._page.stock)
        else:
            self.kitwright.change_material(self.material_id)

    def action_give_seat(self) -> None:
        if self._page is not None:
            number = self._key[1] if self._key[0] == "class" else None
            stock_forms.allot_stock(self, self._page.stock, self._page.need, number)

    def action_why(self) -> None:
        """The sum of the class under the cursor, or of all classes."""
        page = self._page
        if page is None or page.need is None:
            self.says.note("No class to come needs it.")
            return
        number = self._key[1] if self._key[0] == "class" else None
        sentences = page.why if number is None else self.studio.ask(WhyNeed(self.material_id, number))
        for_class = "" if number is None else f" for {ref('class_date', number)}"
        title = f"Why so much of {page.stock.ref} {page.stock.material.name}{for_class}?"
        details = "\n".join(f"{n}. {sentence}" for n, sentence in enumerate(sentences, 1))
        self.app.push_screen(Ask(title, (Answer("back", "Back"),), details=details))

    def action_new(self) -> None:
        """An order of it to its supplier, with the packs that are wanted."""
        page = self._page
        if page is None or page.stock.supplier is None:
            self.says.note("It has no supplier yet. Press c on its entries to give it one.")
            return
        packs = page.need.need.packs if page.need is not None else 0
        self.kitwright.place_order(page.stock.supplier.id, ((self.material_id, packs or 1),))

    def _order_here(self) -> OrderRow | None:
        orders = self._page.orders if self._page is not None else ()
        number = self._key[1] if self._key[0] == "order" else None
        found = next((order for order in orders if number in (None, order.id)), None)
        if found is None:
            self.says.note("None of it is on order. Press n to order it.")
        return found

    def action_take_in(self) -> None:
        if (order := self._order_here()) is not None:
            order_forms.receive_order(self, order)

    def action_move_date(self) -> None:
        if (order := self._order_here()) is not None:
            order_forms.promise_order(self, order)

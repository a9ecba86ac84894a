"""The form of an order: packs of each material, summed up while one types, placed as one action."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.amounts import read_count, read_money
from scheduling.commands.orders import PlaceOrder
from scheduling.commands.request import Outcome
from scheduling.errors import InvalidError, NotFoundError, SchedulingError
from scheduling.model.materials import Material, Supplier
from scheduling.model.refs import ref
from scheduling.queries.kit_shelves import Materials, Suppliers
from scheduling.queries.order_sums import OrderSum
from scheduling.words import read_day
from tui import cells
from tui.screens.form_page import FormPage
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form


class PlaceOrderScreen(FormPage):
    """Every material of the supplier has an entry; those that are wanted stand first, with their packs."""

    DEFAULT_CSS = """
    PlaceOrderScreen #sum { height: auto; padding: 0 1; color: $ink; }
    """
    title_words = "Place an order"

    def __init__(self, supplier_id: int, wanted: Sequence[tuple[int, int]] = ()) -> None:
        """wanted: (material's number, packs) to begin with."""
        super().__init__()
        self._supplier_id = supplier_id
        self._wanted = dict(wanted)
        self._lines: list[Material] = []

    def body(self) -> Iterable[Widget]:
        yield self.form()
        yield Static("", id="sum")

    def form(self) -> Form:
        supplier = self._supplier()
        own = [one for one in self.studio.ask(Materials()) if one.supplier_id == supplier.id]
        self._lines = sorted(own, key=lambda one: (one.id not in self._wanted, one.id))
        fields: list[Field] = [self._packs(one) for one in self._lines]
        fields += [
            TextField(
                "promised_day", "It comes", is_needed=False, read=self._day,
                hint="the day that the supplier promised; empty: by its lead",
            ),
            TextField(
                "carriage", "Carriage", is_needed=False, read=self._money, entry_cells=14,
                hint="empty: by the supplier's terms",
            ),
            TextField("note", "Note", is_needed=False, hint="such as no swaps"),
        ]  # fmt: skip
        title = f"An order to {ref('supplier', supplier.id)} {supplier.name}"
        return Form(*fields, title=title, keep="It went out")

    def on_mount(self) -> None:
        super().on_mount()
        self._say_sum()

    def on_field_changed(self) -> None:
        self._say_sum()

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        lines = self._packs_typed(values)
        if not lines:
            raise InvalidError("No packs are ordered.", hint="Write how many packs.", field=f"m{self._first}")
        entries: dict[str, Any] = {"note": values["note"]}
        if values["promised_day"]:
            entries["promised_day"] = self._read_day(values["promised_day"]).value
        if values["carriage"]:
            currency = self.kitwright.facts.currency
            entries["carriage_minor"] = read_money(values["carriage"], currency, field="carriage").value
        return self.studio.do(PlaceOrder(supplier_id=self._supplier_id, lines=lines, **entries))

    @property
    def _first(self) -> int:
        return self._lines[0].id if self._lines else 0

    def _say_sum(self) -> None:
        """What the order comes to as it is typed; what is not understood yet is left out."""
        lines = self._packs_typed(self.shown.values, strict=False)
        try:
            said = self.studio.ask(OrderSum(self._supplier_id, lines)).said if lines else ("Nothing is ordered yet.",)
        except SchedulingError as error:
            said = (str(error),)
        self.query_one("#sum", Static).update(Content(cells.lines("= " + " ".join(said))))

    def _packs_typed(self, values: Mapping[str, Any], *, strict: bool = True) -> tuple[tuple[int, int], ...]:
        found = []
        for one in self._lines:
            typed = values[f"m{one.id}"]
            if not typed:
                continue
            try:
                packs = read_count(typed, field=f"m{one.id}").value
            except InvalidError:
                if strict:
                    raise
                continue
            if packs:
                found.append((one.id, packs))
        return tuple(found)

    def _packs(self, one: Material) -> Field:
        show = self.kitwright.facts.currency.show
        price = one.price_on(self.today)

        def meaning(typed: str) -> str:
            packs = read_count(typed, field=f"m{one.id}").value
            sheets = f"{packs * one.pack} {one.name}"
            return f"{sheets}, {show(packs * price)}" if packs else f"no {one.name}"

        return TextField(
            f"m{one.id}", f"{ref('material', one.id)} packs", value=str(self._wanted.get(one.id, "") or ""),
            read=meaning, is_needed=False, entry_cells=10,
            hint=f"{one.name}, a pack of {one.pack} at {show(price)}",
        )  # fmt: skip

    def _supplier(self) -> Supplier:
        for one in self.studio.ask(Suppliers(with_retired=True)):
            if one.id == self._supplier_id:
                return one
        raise NotFoundError("That supplier is gone.", hint="Look again: it was taken back elsewhere.")

    def _read_day(self, typed: str) -> Any:
        return read_day(typed, today=self.today, day_first=self.day_first, field="promised_day")

    def _day(self, typed: str) -> str:
        return str(self._read_day(typed).shown)

    def _money(self, typed: str) -> str:
        return read_money(typed, self.kitwright.facts.currency, field="carriage").shown

"""The form of a supplier, new or kept already, with the days on which it is shut."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from scheduling.amounts import read_count, read_money
from scheduling.commands.request import Outcome
from scheduling.commands.suppliers import AddSupplier, ChangeSupplier
from scheduling.errors import NotFoundError
from scheduling.queries.supplier_rows import SupplierRow, SupplierRows
from scheduling.typed_supply import read_days, read_weekdays, weekdays_text
from scheduling.words import read_time, show_day, show_time
from tui import checked
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import Choice, ChoiceField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form
from tui.widgets.lines_field import LinesField

_LEADS: Final = (Choice("working days", "working days"), Choice("calendar days", "calendar days"))


class SupplierFormScreen(FormPage):
    """Days and sums by which orders are proposed."""

    def __init__(self, supplier_id: int | None = None) -> None:
        super().__init__()
        self._supplier_id = supplier_id
        self.title_words = "New supplier" if supplier_id is None else "Change a supplier"

    def form(self) -> Form:
        row = self._row()
        kept = row.supplier if row else None
        before = kept.delivery.order_before if kept else None
        return Form(
            TextField("name", "Supplier", value=kept.name if kept else ""),
            TextField("lead_days", "Lead", value=str(kept.delivery.lead_days) if kept else "5", entry_cells=8,
                      read=checked.count(0, 400, "lead_days", "day|days"),
                      hint="days after the day of the order; customs counted in"),
            ChoiceField("lead_in", "Counted in", _LEADS, value=kept.lead_in if kept else "working days"),
            TextField("order_before", "Order before", value="" if before is None else show_time(before),
                      read=lambda typed: read_time(typed, field="order_before").shown, is_needed=False, entry_cells=10,
                      hint="the hour from which an order counts as of the next day"),
            TextField("takes_orders_on", "Takes orders", value=weekdays_text(row.takes_orders_on) if row else "",
                      read=lambda typed: read_weekdays(typed).shown, is_needed=False,
                      hint="mon-fri; empty: every day"),
            self._money("least_order_minor", "Least order", kept.least_order if kept else None, "goods; empty: none"),
            self._money("carriage_minor", "Carriage", kept.carriage if kept else None, "for one order; empty: none"),
            self._money("carriage_free_minor", "Carriage free", kept.carriage_free if kept else None,
                        "from so much of goods; empty: never"),
            TextField("shut", "Shut on", value=", ".join(show_day(day, year=True) for day in row.shut) if row else "",
                      read=lambda typed: str(self._read_days(typed).shown), is_needed=False,
                      hint="its own closed days to come, such as 15 feb, 26 mar"),
            TextField("contact", "Contact", value=row.contact if row else "", is_needed=False, hint="who takes orders"),
            LinesField("note", "Note", value=kept.note if kept else "", lines=2, hint="catalogue dates, swaps"),
            title=f"{row.ref} {row.supplier.name}" if row else "A new supplier",
        )  # fmt: skip

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        currency = self.kitwright.facts.currency
        entries = {name: values[name] for name in ("name", "lead_in", "contact", "note")}
        entries["lead_days"] = read_count(values["lead_days"], most=400, field="lead_days").value
        typed = values["order_before"]
        entries["order_before"] = read_time(typed, field="order_before").value if typed else None
        entries["takes_orders_on"] = read_weekdays(values["takes_orders_on"]).value
        for name in ("least_order_minor", "carriage_minor", "carriage_free_minor"):
            empty = None if name == "carriage_free_minor" else 0
            entries[name] = read_money(values[name], currency, field=name).value if values[name] else empty
        entries["shut"] = self._read_days(values["shut"]).value
        if self._supplier_id is None:
            return self.studio.do(AddSupplier(**entries))
        return self.studio.do(ChangeSupplier(supplier_id=self._supplier_id, **entries))

    def _money(self, name: str, label: str, kept: int | None, hint: str) -> Field:
        currency = self.kitwright.facts.currency
        value = currency.show(kept) if kept or (kept == 0 and name == "carriage_free_minor") else ""
        return TextField(name, label, value=value, is_needed=False, entry_cells=14, hint=hint,
                         read=lambda typed: read_money(typed, currency, field=name).shown)  # fmt: skip

    def _read_days(self, typed: str) -> Any:
        return read_days(typed, today=self.today, day_first=self.day_first)

    def _row(self) -> SupplierRow | None:
        if self._supplier_id is None:
            return None
        for row in self.studio.ask(SupplierRows(with_retired=True)):
            if row.id == self._supplier_id:
                return row
        raise NotFoundError("That supplier is gone.", hint="Look again: it was taken back elsewhere.")

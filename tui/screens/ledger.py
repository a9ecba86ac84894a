"""The ledger of one class: what comes in, what it costs, what is left, where each booking stands."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Any

from textual.widget import Widget

from scheduling import commands
from scheduling.amounts import read_money
from scheduling.commands.request import Outcome
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.model.terms_text import read_refund_tiers, refund_tiers_text
from scheduling.queries.class_charges import ClassCharges
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import HeldForClass
from tui import ledger_lines
from tui.booking_keys import BookingKeys
from tui.keys import bindings
from tui.money_lines import MoneyLines, read_sum, shown_sum
from tui.widgets.aside import Aside
from tui.widgets.choice_field import YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.rows import Rows


class LedgerScreen(BookingKeys):
    """One list of figures; what a figure is the sum of stands below it."""

    BINDINGS = bindings(
        "pay", "refund", "transfer", "change", "new", "cancel", "export", "why", "step_back",
        new="add a cost", cancel="take away", export="receipt",
    )  # fmt: skip
    AUTO_FOCUS = "Rows"

    def __init__(self, class_date_id: int) -> None:
        super().__init__()
        self.class_date_id = class_date_id
        self.title_words = f"Ledger of {ref('class_date', class_date_id)}"
        self._lines = MoneyLines()

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](ledger_lines.COLUMNS, empty="Nothing is known of its money yet.")
        yield Aside()

    def reload(self) -> None:
        page = self.studio.ask(ClassMoney(self.class_date_id))
        owed = self.studio.ask(HeldForClass(self.class_date_id))
        charges = self.studio.ask(ClassCharges(self.class_date_id))
        self._lines = ledger_lines.ledger_lines(page, charges, owed)
        self._rows.show(self._lines.rows)
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    @property
    def _here(self) -> Hashable | None:
        return self._rows.cursor_id

    def booking_here(self) -> int | None:
        return self._lines.bookings.get(self._here)

    def class_here(self) -> int | None:
        return self.class_date_id

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(self._here, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        if self.booking_here() is not None:
            self.action_pay()
        else:
            self.action_why()

    def action_why(self) -> None:
        self.open_sum(self._lines, self._here)

    def action_export(self) -> None:
        self.open_receipt()

    # How the class is charged

    def action_new(self) -> None:
        currency = self.kitwright.facts.currency

        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.AddClassCost(
                    class_date_id=self.class_date_id,
                    what=values["what"],
                    amount_minor=read_sum(values["amount_minor"], currency),
                    per="head" if values["per"] else "class",
                )
            )

        form = Form(
            TextField("what", "What for", hint="such as helper, listing, insurance share"),
            TextField("amount_minor", "Sum", read=lambda typed: shown_sum(typed, currency)),
            YesNoField("per", "For each head", hint="no counts it once for the class"),
            title=f"A further cost of {ref('class_date', self.class_date_id)}",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_cancel(self) -> None:
        here = self._here
        if isinstance(here, tuple) and here[0] == "cost":
            self.perform(commands.DropClassCost(class_date_id=self.class_date_id, what=str(here[1])))
        else:
            self.says.note("Only a cost that was added here is taken away; c changes the class's charges.")

    def action_change(self) -> None:
        """The booking under the cursor; anywhere else how the class is charged."""
        booking_id = self.booking_here()
        if booking_id is None:
            self._change_charges()
        else:
            self.app.push_screen(
                self.ask_change_booking(booking_id), lambda answer: self.change_booking(booking_id, answer)
            )

    def _change_charges(self) -> None:
        currency = self.kitwright.facts.currency
        now = self.studio.ask(ClassCharges(self.class_date_id))

        def shown(amount: int | None) -> str:
            return currency.show(amount) if amount else ""

        def money(name: str, label: str, value: int | None, hint: str) -> TextField:
            return TextField(
                name,
                label,
                value=shown(value),
                is_needed=False,
                hint=hint,
                read=lambda typed: (
                    f"{read_money(typed, currency, field=name).shown} {currency.code}" if typed.strip() else "none"
                ),
            )

        form = Form(
            money("postage_minor", "Postage", now.postage, "on top of the fee, for a mailed head"),
            money("deposit_minor", "Deposit", now.deposit, "asked to hold a place"),
            TextField(
                "least_heads_charged", "Heads at least", value=str(now.least_heads or ""), is_needed=False,
                hint="a party pays for so many",
            ),
            TextField(
                "host_free_from", "Host's free place", value=str(now.host_free_from or ""), is_needed=False,
                hint="free with so many others",
            ),
            money("kit_cost_minor", "A kit costs", now.kit_cost, "instead of what its bill adds up to"),
            TextField(
                "refund_tiers", "Refund terms", value="" if now.tiers is None else refund_tiers_text(now.tiers),
                is_needed=False, hint="the studio's own, unless typed: 14 full, 7 half, 2 credit, 0 none",
                read=lambda typed: read_refund_tiers(typed).shown if typed.strip() else "the studio's own",
            ),
            title=f"Charges of {ref('class_date', self.class_date_id)}; bookings made already keep theirs",
        )  # fmt: skip

        def keep(values: Mapping[str, Any]) -> Outcome:
            def amount(name: str) -> int:
                return read_money(values[name], currency, field=name).value if values[name].strip() else 0

            tiers = values["refund_tiers"].strip()
            return self.studio.do(
                commands.SetClassMoney(
                    class_date_id=self.class_date_id,
                    postage_minor=amount("postage_minor"),
                    deposit_minor=amount("deposit_minor"),
                    least_heads_charged=_count(values, "least_heads_charged") or 0,
                    host_free_from=_count(values, "host_free_from"),
                    kit_cost_minor=amount("kit_cost_minor") or None,
                    refund_tiers=read_refund_tiers(tiers).value if tiers else None,
                )
            )

        self.app.push_screen(FormSheet(form, keep), self.was_kept)


def _count(values: Mapping[str, Any], name: str) -> int | None:
    """A number of heads, None where nothing is typed; raises InvalidError."""
    typed = str(values[name]).strip()
    if not typed:
        return None
    if not typed.isdecimal() or not int(typed):
        raise InvalidError(f"{typed} is not a number of heads.", hint="Write digits such as 8.", field=name)
    return int(typed)

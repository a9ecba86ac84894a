"""The form of a supplier's reward, new or kept already."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from scheduling.amounts import read_money
from scheduling.commands.request import Outcome
from scheduling.commands.rewards import KeepReward
from scheduling.errors import NotFoundError
from scheduling.queries.kit_shelves import Suppliers
from scheduling.queries.reward_pages import RewardPage, RewardPages
from scheduling.typed_supply import bands_text, read_bands
from scheduling.words import read_day, read_time, show_day, show_time
from tui.reward_entries import entries_of
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import Choice, ChoiceField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form

_KINDS: Final = (
    Choice("spend", "one for every so much of goods"),
    Choice("tier", "by bands, the highest that is reached"),
    Choice("two dates", "one for every so much, for an event held in a window"),
)


class RewardFormScreen(FormPage):
    """What is earned, by how much of goods, in orders sent until when."""

    def __init__(self, reward_id: int | None = None) -> None:
        super().__init__()
        self._reward_id = reward_id
        self.title_words = "New reward" if reward_id is None else "Change a reward"

    def form(self) -> Form:
        page = self._page()
        kept: dict[str, Any] = entries_of(page) if page else {}
        currency = self.kitwright.facts.currency
        suppliers = [Choice(one.id, one.name) for one in self.studio.ask(Suppliers())]
        last = kept.get("last_time")
        return Form(
            ChoiceField("supplier_id", "Supplier", suppliers, value=kept.get("supplier_id")),
            TextField("what", "Reward", value=kept.get("what", ""), hint="what one is, such as a free pack of paper"),
            ChoiceField("kind", "Earned", _KINDS, value=kept.get("kind", "spend")),
            self._money("per_minor", "For every", kept.get("per_minor"), "goods before tax and carriage; not of bands"),
            TextField("bands", "Bands", value=bands_text(kept.get("bands", ()), currency), is_needed=False,
                      read=lambda typed: read_bands(typed, currency).shown,
                      hint="lowest first, such as 150 a roll worth 5; 650 two rolls"),
            self._money("worth_minor", "Worth to you", kept.get("worth_minor"), "of one; for the choice of orders"),
            self._day("first_day", "From", kept.get("first_day", self.today), "the first day of the window"),
            self._day("last_day", "Through", kept.get("last_day"), "the last day of the window"),
            TextField("last_time", "Until", value="" if last is None else show_time(last), is_needed=False,
                      read=lambda typed: read_time(typed, field="last_time").shown, entry_cells=10,
                      hint="the hour of the last day, in the supplier's zone; empty: its end"),
            self._day("held_from", "Event held from", kept.get("held_from"), "of a two-date reward", is_needed=False),
            self._day("held_through", "Held through", kept.get("held_through"), "and until then", is_needed=False),
            title=f"{page.ref} {page.reward.what}" if page else "A new reward",
        )  # fmt: skip

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        currency = self.kitwright.facts.currency
        entries: dict[str, Any] = {name: values[name] for name in ("supplier_id", "what", "kind")}
        entries["reward_id"] = self._reward_id
        is_tier, held = values["kind"] == "tier", values["kind"] == "two dates"
        per = "" if is_tier else values["per_minor"]
        entries["per_minor"] = read_money(per, currency, field="per_minor").value if per else None
        entries["bands"] = read_bands(values["bands"], currency).value if is_tier else ()
        worth = values["worth_minor"]
        entries["worth_minor"] = read_money(worth, currency, field="worth_minor").value if worth else 0
        for name in ("first_day", "last_day", *(("held_from", "held_through") if held else ())):
            entries[name] = self._read_day(values[name], name).value if values[name] else None
        hour = values["last_time"]
        entries["last_time"] = read_time(hour, field="last_time").value if hour else None
        return self.studio.do(KeepReward(**entries))

    def _money(self, name: str, label: str, kept: int | None, hint: str) -> Field:
        currency = self.kitwright.facts.currency
        return TextField(name, label, value=currency.show(kept) if kept else "", is_needed=False, entry_cells=14,
                         hint=hint, read=lambda typed: read_money(typed, currency, field=name).shown)  # fmt: skip

    def _day(self, name: str, label: str, kept: dt.date | None, hint: str, *, is_needed: bool = True) -> Field:
        value = "" if kept is None else show_day(kept, year=True)
        return TextField(name, label, value=value, is_needed=is_needed, hint=hint,
                         read=lambda typed: str(self._read_day(typed, name).shown))  # fmt: skip

    def _read_day(self, typed: str, name: str) -> Any:
        return read_day(typed, today=self.today, day_first=self.day_first, field=name)

    def _page(self) -> RewardPage | None:
        if self._reward_id is None:
            return None
        for page in self.studio.ask(RewardPages(with_retired=True)):
            if page.id == self._reward_id:
                return page
        raise NotFoundError("That reward is gone.", hint="Look again: it was taken back elsewhere.")

"""The form of a promotion: an early bird, or with classes on two sides a bundle."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scheduling.amounts import read_count
from scheduling.commands.promotions import AddPromotion, ChangePromotion
from scheduling.commands.request import Outcome
from scheduling.queries.classes import Classes, ClassRow
from scheduling.queries.promotions import OnePromotion, PromotionRow
from scheduling.typed_promotions import ends_typed, off_text, read_ends, read_off
from scheduling.words import read_day, show_day
from tui import checked
from tui.class_names import classes_typed, read_classes
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form

_REFS = "such as C09, C12, or words of their titles"


class PromotionFormScreen(FormPage):
    """Makes one (None), or changes one; its kind stays."""

    def __init__(self, promotion_id: int | None = None) -> None:
        super().__init__()
        self._promotion_id = promotion_id
        self._choosable: Sequence[ClassRow] = ()
        self.title_words = "New promotion" if promotion_id is None else "Change a promotion"

    def form(self) -> Form:
        row = None if self._promotion_id is None else self.studio.ask(OnePromotion(self._promotion_id))
        coming = list(self.studio.ask(Classes("coming", with_cancelled=False)))
        there = [at.class_row for at in row.classes if at.role] if row else []
        self._choosable = [*coming, *(one for one in there if one.id not in {each.id for each in coming})]
        title = "A new promotion; bookings made already keep their price"
        if row is not None:
            title = f"{row.ref} {row.promotion.name}: bookings made already keep their price"
        return Form(*self._terms(row), *self._class_fields(row), *self._limits(row), title=title)

    def _terms(self, row: PromotionRow | None) -> list[TextField]:
        one, currency = (row.promotion if row else None), self.kitwright.facts.currency
        return [
            TextField("name", "Name", value=one.name if one else "", hint="such as Early bird"),
            TextField(
                "off_minor", "Off a head", value=off_text(one.percent, one.off, currency) if one else "",
                read=lambda typed: read_off(typed, currency).shown, hint=f"such as 15% or {currency.show(1200)}",
                entry_cells=14,
            ),
            TextField(
                "ends", "Until", value=ends_typed(one.ends, one.ends_days_before) if one else "", is_needed=False,
                read=self._ends_words, hint="T-21, or a day such as mon 1 mar; both: the sooner; empty: no end",
            ),
        ]  # fmt: skip

    def _class_fields(self, row: PromotionRow | None) -> list[TextField]:
        """An early bird has one entry, a bundle two; a new one shows both."""
        sides = (
            {side: [at.class_row.id for at in row.classes if at.role == side] for side in ("each", "one", "other")}
            if row
            else {}
        )
        is_bundle = row is not None and row.promotion.kind == "bundle"
        first = "one" if is_bundle else "each"
        fields = [
            TextField(
                "ones" if is_bundle else "classes", "For classes",
                value=classes_typed(sides.get(first, ()), self._choosable),
                read=lambda typed: self._named(typed, "classes"), hint=_REFS,
            )
        ]  # fmt: skip
        if row is None or is_bundle:
            hint = "only of a bundle: who books one of each pays less for the second; empty makes an early bird"
            fields.append(
                TextField(
                    "others", "Bundled with", value=classes_typed(sides.get("other", ()), self._choosable),
                    read=lambda typed: self._named(typed, "others"), is_needed=is_bundle,
                    hint=_REFS if is_bundle else hint,
                )
            )  # fmt: skip
        return fields

    def _limits(self, row: PromotionRow | None) -> list[Any]:
        one = row.promotion if row else None
        fields: list[Any] = []
        if one is None or one.kind == "early bird":
            fields.append(
                TextField(
                    "first_heads", "First heads",
                    value=str(one.first_heads) if one and one.first_heads is not None else "", is_needed=False,
                    read=checked.count(1, 10_000, "first_heads", "head of each class|heads of each class"),
                    hint="only for so many heads of a class; empty for all", entry_cells=8,
                )
            )  # fmt: skip
        else:
            hint = "may the first booking of the bundle have another promotion?"
            fields.append(YesNoField("with_others", "Beside others", value=one.with_others, hint=hint))
        fields.append(
            TextField(
                "opens", "From", value=show_day(one.opens, year=True) if one else "", is_needed=False,
                read=lambda typed: f"from {self._day(typed).shown}", hint="its first day; empty is today",
            )
        )  # fmt: skip
        return fields

    def _named(self, typed: str, field: str) -> str:
        return read_classes(typed, self._choosable, field=field).shown

    def _day(self, typed: str) -> Any:
        return read_day(typed, today=self.today, day_first=self.day_first, field="opens")

    def _ends(self, typed: str) -> Any:
        return read_ends(typed, today=self.today, day_first=self.day_first)

    def _ends_words(self, typed: str) -> str:
        return str(self._ends(typed).shown)

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        off = read_off(values["off_minor"], self.kitwright.facts.currency, field="off_minor").value
        ends = self._ends(values["ends"]).value
        entries: dict[str, Any] = {"name": values["name"], "ends": ends.day, "ends_days_before": ends.days_before}
        entries |= {"percent": off.percent} if off.minor is None else {"off_minor": off.minor}
        for side in ("classes", "ones", "others"):
            if side in values:
                entries[side] = read_classes(values[side], self._choosable, field=side).value
        if "first_heads" in values:
            typed = values["first_heads"]
            entries["first_heads"] = read_count(typed, least=1, field="first_heads").value if typed else None
        if "with_others" in values:
            entries["with_others"] = values["with_others"]
        if values["opens"]:
            entries["opens"] = self._day(values["opens"]).value
        if self._promotion_id is not None:
            return self.studio.do(ChangePromotion(promotion_id=self._promotion_id, **entries))
        if not entries["others"]:
            return self.studio.do(AddPromotion(kind="early bird", **entries))
        entries["ones"] = entries.pop("classes")
        return self.studio.do(AddPromotion(kind="bundle", **entries))

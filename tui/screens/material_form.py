"""The form of a material, new or kept already."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from scheduling.amounts import read_count, read_money
from scheduling.commands.materials import AddMaterial, ChangeMaterial
from scheduling.commands.request import Outcome
from scheduling.errors import NotFoundError
from scheduling.lengths import Length, read_length, read_size
from scheduling.model.materials import Material
from scheduling.model.refs import ref
from scheduling.queries.kit_shelves import Materials, Suppliers
from scheduling.typed_supply import grams_text, read_grams
from scheduling.words import read_day, show_day
from tui import checked
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form
from tui.widgets.lines_field import LinesField

FORMS: Final = (
    Choice("each", "single things"),
    Choice("sheet", "flat sheets"),
    Choice("roll", "cloth on a roll"),
    Choice("reel", "thread, cord or ribbon on a reel"),
)
GRAINS: Final = (
    Choice("long", "along the long side"),
    Choice("short", "along the short side"),
    Choice("none", "none"),
)
SWAPS: Final = (Choice("none", "no swap"), Choice("colour", "another colour only"), Choice("any", "anything near"))
_MONEY: Final = ("price_minor", "price_then_minor")
_DAYS: Final = ("price_from", "last_order_day")


NO_SUPPLIERS: Final = "may stay empty; suppliers are made on page 8: v, suppliers, n"


class MaterialFormScreen(FormPage):
    """Only what differs from what is kept is changed."""

    def __init__(self, material_id: int | None = None) -> None:
        super().__init__()
        self._material_id = material_id
        self._begun: dict[str, object] = {}
        self.title_words = "New material" if material_id is None else "Change a material"

    def form(self) -> Form:
        row = self._row()
        new = row is None
        suppliers = [Choice(one.id, one.name) for one in self.studio.ask(Suppliers())]
        sides = self.kitwright.facts.units
        form = Form(
            TextField("name", "Material", value=row.name if row else "", hint="such as Drawing paper, cream"),
            ChoiceField("supplier_id", "Supplier", suppliers, value=row.supplier_id if row else None,
                        is_needed=False, hint="where it is ordered; type a few letters" if suppliers else NO_SUPPLIERS),
            ChoiceField("form", "Comes as", FORMS, value=row.form.value if row else "sheet"),
            TextField(
                "size", "Size", value=row.size if row else "", read=self._size_meant, is_needed=False,
                hint="22 x 30, 210 x 297 mm; a roll 42 in x 5 yd, width first; a reel 50 m; none of single things",
            ),
            ChoiceField("grain", "Grain of a sheet", GRAINS, value=row.grain if row else "long"),
            YesNoField("one_way", "One-way pattern", value=bool(row and row.one_way), hint="it has an upright"),
            YesNoField("two_sided", "Both faces alike", value=new or bool(row and row.two_sided)),
            self._length("trim", "Trim an edge", row.trim if row else None, "off every edge before anything, 1/4"),
            self._length("leader", "Leader", Length(row.leader.counts, sides) if row else None,
                         "lost at the start of a reel or roll"),
            self._length("thickness", "Thickness", Length(row.thickness_counts, sides) if row else None,
                         "of one, such as 0.080; for the post"),
            TextField("weight_mg", "Weight of one", value=grams_text(row.weight_mg) if row else "", is_needed=False,
                      read=lambda typed: read_grams(typed).shown, entry_cells=14, hint="in grams; for the post"),
            TextField("pack", "Sold by", value=str(row.pack) if row else "1", entry_cells=10,
                      read=checked.count(1, 100_000, "pack", "in a pack"), hint="how many are in a pack"),
            self._money("price_minor", "Price a pack", row.price if row else None, is_needed=True),
            self._money("price_then_minor", "Price then", row.price_then if row else None, is_needed=False),
            self._day("price_from", "From", row.price_from if row else None, "the day from which that price holds"),
            self._day("last_order_day", "Last orders", row.last_order_day if row else None,
                      "where it is dropped: the last day to order it"),
            ChoiceField("swap", "Swaps", SWAPS, value=row.swap if row else "none"),
            YesNoField("packaging", "Packaging", value=bool(row and row.packaging), hint="not listed on the label"),
            LinesField("cautions", "Cautions", value=row.cautions if row else "", lines=2,
                       hint="as its label says them; the maker's sheet and local rules come first"),
            title=f"{ref('material', row.id)} {row.name}" if row else "A new material",
        )  # fmt: skip
        self._begun = form.values
        return form

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        if self._material_id is None:
            return self.studio.do(AddMaterial(**self._entries(values)))
        changed = {name: value for name, value in values.items() if value != self._begun[name]}
        return self.studio.do(ChangeMaterial(material_id=self._material_id, **self._entries(changed)))

    def _entries(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """What is typed as the command takes it."""
        entries = dict(values)
        currency = self.kitwright.facts.currency
        for name in entries:
            typed = entries[name]
            if name in _MONEY:
                entries[name] = read_money(typed, currency, field=name).value if typed else None
            elif name in _DAYS:
                entries[name] = self._read_day(typed, name).value if typed else None
            elif name == "pack":
                entries[name] = read_count(typed, least=1, most=100_000, field=name).value
            elif name == "weight_mg":
                entries[name] = read_grams(typed).value if typed else 0
            elif name in ("trim", "leader", "thickness"):
                entries[name] = typed or "0"
        return entries

    # What is understood of an entry

    def _size_meant(self, typed: str) -> str:
        unit = self.kitwright.facts.units
        comes = self.shown.field("form").value
        if comes == "each":
            return "single things have no size; it is left out"
        if comes == "reel":
            return read_length(typed, unit, field="size").show()
        first, second = read_size(typed, unit)
        if comes == "roll":
            return f"{first.show()} wide, {second.show()} long"
        grain = self.shown.field("grain").value
        if grain not in ("long", "short"):
            return f"{first.show()} x {second.show()}, no grain"
        along = max(first, second) if grain == "long" else min(first, second)
        return f"{first.show()} x {second.show()}, grain along the {along.show()}"

    def _length(self, name: str, label: str, kept: Length | None, hint: str) -> Field:
        unit = self.kitwright.facts.units
        value = kept.show() if kept else ""
        return TextField(name, label, value=value, is_needed=False, entry_cells=16, hint=hint,
                         read=lambda typed: read_length(typed, unit, field=name).show())  # fmt: skip

    def _money(self, name: str, label: str, kept: int | None, *, is_needed: bool) -> Field:
        currency = self.kitwright.facts.currency
        hint = "such as 16.50" if is_needed else "another price that holds from the day below"
        return TextField(name, label, value="" if kept is None else currency.show(kept), is_needed=is_needed,
                         entry_cells=14, hint=hint,
                         read=lambda typed: read_money(typed, currency, field=name).shown)  # fmt: skip

    def _day(self, name: str, label: str, kept: dt.date | None, hint: str) -> Field:
        value = "" if kept is None else show_day(kept, year=True)
        return TextField(name, label, value=value, is_needed=False, hint=hint,
                         read=lambda typed: str(self._read_day(typed, name).shown))  # fmt: skip

    def _read_day(self, typed: str, name: str) -> Any:
        return read_day(typed, today=self.today, day_first=self.day_first, field=name)

    def _row(self) -> Material | None:
        if self._material_id is None:
            return None
        for row in self.studio.ask(Materials(with_retired=True)):
            if row.id == self._material_id:
                return row
        raise NotFoundError("That material is gone.", hint="Look again: it was taken back elsewhere.")

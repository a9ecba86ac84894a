"""The form of one part of a bill: what it is cut from, its exact size, how it may lie, and its options."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scheduling import commands
from scheduling.amounts import read_count
from scheduling.commands.bill_rows import BillEntry
from scheduling.commands.request import Outcome
from scheduling.errors import NotFoundError, SchedulingError
from scheduling.lengths import read_length, read_size
from scheduling.model.materials import BillLine, Material
from scheduling.model.materials import Form as Comes
from scheduling.model.refs import ref
from scheduling.model.size_formula import is_formula
from scheduling.queries.kit_shelves import BillOf, Materials
from scheduling.typed_bill import options_text, read_options
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form

PER = {"kit": "a kit", "head": "a head", "mailed head": "a head that gets it by mail", "class": "the class"}
FOLDS = {"none": "no fold", "along": "along the grain", "across": "across the grain"}
FACES = {"": "either", "front": "the good side", "back": "the back"}
HANDS = {"": "no pair", "left": "the left one", "right": "the right one"}


NO_MATERIALS = "materials come first: page 8, v, materials, and there n"


class BillLineScreen(FormPage):
    """A part that is changed, or a new one where `part` is empty."""

    def __init__(self, project_id: int, part: str) -> None:
        super().__init__()
        self._project_id = project_id
        self._part = part
        self.title_words = "Change a part" if part else "New part"
        self._materials: dict[int, Material] = {}

    def _line(self) -> BillLine | None:
        if not self._part:
            return None
        for line, _material in self.studio.ask(BillOf(self._project_id)).lines:
            if line.part == self._part:
                return line
        raise NotFoundError(f"{self._part} is gone from the bill.", hint="Look again: it was changed elsewhere.")

    def form(self) -> Form:
        line = self._line()
        self._materials = {one.id: one for one in self.studio.ask(Materials())}
        choices = [Choice(one.id, f"{ref('material', one.id)} {one.name}") for one in self._materials.values()]
        bill = self.studio.ask(BillOf(self._project_id))
        return Form(
            TextField("part", "Part", value=line.part if line else "", hint="such as cover board, folio, thread"),
            ChoiceField("material_id", "Of", choices, value=line.material_id if line else None,
                        hint="type a few letters" if choices else NO_MATERIALS),
            TextField("quantity", "Number", value=str(line.quantity) if line else "1", entry_cells=8,
                      read=lambda typed: read_count(typed, least=1, most=10_000, field="quantity").shown),
            ChoiceField("per", "For each", [Choice(*one) for one in PER.items()],
                        value=line.per.value if line else "kit"),
            TextField("size", "Size", value=(line.formula or line.size) if line else "", is_needed=False,
                      read=self._understood,
                      hint="along the grain first: 5 3/8 x 8 1/2, 137 x 210 mm; one length off a reel; or a formula"),
            YesNoField("free_grain", "May be turned", value=bool(line and line.free_grain),
                       hint="yes where the grain does not matter"),
            YesNoField("one_way", "One way up", value=bool(line and line.one_way),
                       hint="yes for a pattern with an upright"),
            ChoiceField("fold", "Folded", [Choice(*one) for one in FOLDS.items()], value=line.fold if line else "none"),
            ChoiceField("hand", "Of a pair", [Choice(*one) for one in HANDS.items()], value=line.hand if line else ""),
            ChoiceField("face", "Side that shows", [Choice(*one) for one in FACES.items()],
                        value=line.face if line else "", hint="counts where the two faces differ"),
            TextField("options", "Options by seat", value=options_text(dict(line.options)) if line else "",
                      is_needed=False, read=lambda typed: options_text(read_options(typed)),
                      hint="slate = M04; no glue = nothing"),
            title=f"{bill.ref} {bill.title}: keeping it makes version {bill.number + 1}",
        )  # fmt: skip

    def _understood(self, typed: str) -> str:
        """What was understood of a size; formulas are worked out when the part is kept."""
        units = self.kitwright.facts.units
        if not typed.strip():
            return "a thing, with no size"
        if is_formula(typed):
            return "by the measures of the project"
        try:
            along, across = read_size(typed, units)
        except SchedulingError:
            return read_length(typed, units).show()
        return f"{along.show()} along the grain, {across.show()} across"

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        entry = BillEntry(
            part=values["part"],
            material_id=values["material_id"],
            quantity=read_count(values["quantity"], least=1, most=10_000, field="quantity").value,
            size=values["size"].strip(),
            per=values["per"],
            free_grain=values["free_grain"],
            one_way=values["one_way"],
            fold=values["fold"],
            hand=values["hand"],
            face=values["face"],
            options=read_options(values["options"]),
        )
        try:
            return self.studio.do(commands.ChangeBillLine(project_id=self._project_id, part=self._part, line=entry))
        except SchedulingError as error:
            if error.field == "lines":  # a bill is refused as a whole; here its one line is the size that was typed
                error.field = "size" if self._materials[entry.material_id].form is not Comes.EACH else "material_id"
            raise

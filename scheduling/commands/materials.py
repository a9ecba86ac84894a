"""Materials and tools: made, changed, retired; sizes come typed and are kept exact."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, in_use, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import InvalidError
from scheduling.lengths import Length, read_length, read_size
from scheduling.model.refs import ref
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction

Sum = Annotated[int, Field(ge=0, le=10**14)]
Name = Annotated[str, Field(min_length=1, max_length=120)]


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialKept(Outcome):
    material_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolKept(Outcome):
    tool_id: int


class _MaterialEntries(Request[MaterialKept]):
    """Entries of a material; what is not given stays as it is (or at its default in a new one).

    form: each, sheet, roll or reel. size: as typed, the width across first: "22 x 30", "210 x 297 mm" for a sheet,
    "42 in x 5 yd" for a roll, "1800 in" for a reel. grain: of a sheet, along its long or its short side, or none;
    it decides which of the two sides runs along the grain. trim, leader, thickness: lengths as typed.
    price_minor: a pack; price_then_minor from the day price_from on. last_order_day: it is dropped after that day.
    weight_mg: of one sheet, thing, roll or reel.
    """

    supplier_id: int | None = None
    form: Literal["each", "sheet", "roll", "reel"] = "each"
    size: Annotated[str, Field(max_length=60)] = ""
    grain: Literal["long", "short", "none"] = "none"
    one_way: bool = False
    two_sided: bool = True
    trim: Annotated[str, Field(max_length=30)] = "0"
    leader: Annotated[str, Field(max_length=30)] = "0"
    thickness: Annotated[str, Field(max_length=30)] = "0"
    pack: Annotated[int, Field(ge=1, le=100000)] = 1
    price_minor: Sum = 0
    price_from: dt.date | None = None
    price_then_minor: Sum | None = None
    last_order_day: dt.date | None = None
    swap: Literal["none", "colour", "any"] = "none"
    weight_mg: Annotated[int, Field(ge=0, le=10**9)] = 0
    packaging: bool = False
    cautions: str = ""

    def _columns(self, tx: Transaction, *, only_given: bool, now: Row | None = None) -> dict[str, Value]:
        names = self.model_fields_set if only_given else set(type(self).model_fields)
        unit = str(tx.value("SELECT units FROM studio"))
        columns: dict[str, Value] = {}
        for name in sorted(names - {"material_id", "size", "trim", "leader", "thickness", "form", "grain"}):
            value = getattr(self, name)
            if isinstance(value, dt.date):
                columns[name] = value.isoformat()
            else:
                columns[name] = int(value) if isinstance(value, bool) else value
        for name in sorted(names & {"trim", "leader", "thickness"}):
            length = read_length(getattr(self, name), unit, field=name)
            columns[f"{name}_counts"] = length.counts
            if name == "trim":
                columns["trim_form"] = length.form
        if names & {"form", "size", "grain"}:
            form = self.form if now is None or "form" in names else str(now["form"])
            grain = self.grain if now is None or "grain" in names else str(now["grain"])
            columns |= {"form": form, "grain": grain if form in ("sheet", "roll") else "none"}
            if now is None or self.size:
                along, across = _sides(form, grain, self.size, unit)
            else:
                kept = [Length.kept(_whole(now[f"{side}_counts"]), str(now[f"{side}_form"])) for side in _SIDES]
                along, across = _turned(form, grain, kept[1], kept[0]) if form == "sheet" else (kept[0], kept[1])
            columns |= {"along_counts": along.counts, "along_form": along.form}
            columns |= {"across_counts": across.counts, "across_form": across.form}
        if self.supplier_id is not None and "supplier_id" in names:
            in_use(tx, "supplier", self.supplier_id)
        return columns


_SIDES = ("along", "across")


def _sides(form: str, grain: str, size: str, unit: str) -> tuple[Length, Length]:
    """Along and across the grain, from the size as typed; raises InvalidError with the form that is wanted."""
    nothing = Length(0, unit)
    if form == "each":
        return nothing, nothing
    if form == "reel":
        if not size:
            raise InvalidError("A reel has a length.", hint="Give it, such as 1800 in or 50 m.", field="size")
        along = read_length(size, unit, field="size")
        across = nothing
    else:
        if not size:
            raise InvalidError(f"A {form} has a size.", hint="Give it, such as 22 x 30 in.", field="size")
        first, second = read_size(size, unit)
        along, across = _turned(form, grain, first, second)
    if not along.counts or (form != "reel" and not across.counts):
        raise InvalidError("A size is above nought.", hint="Give each side.", field="size")
    return along, across


def _turned(form: str, grain: str, first: Length, second: Length) -> tuple[Length, Length]:
    """The two sides as (along the grain, across it); a roll's width is typed first."""
    if form == "roll" or grain == "none":
        return second, first
    longer, shorter = max(first, second), min(first, second)
    return (longer, shorter) if grain == "long" else (shorter, longer)


class AddMaterial(_MaterialEntries):
    """Keep a new material."""

    name: Name

    def run(self, tx: Transaction) -> MaterialKept:
        columns = self._columns(tx, only_given=False)
        material_id = tx.insert("material", columns)
        return MaterialKept(
            summary=f"Added {ref('material', material_id)} {self.name}",
            said=f"{self.name} is kept as {ref('material', material_id)}.",
            material_id=material_id,
        )


class ChangeMaterial(_MaterialEntries):
    """Change a material; its size stays while some of it is on hand, since begun lengths were cut from it."""

    material_id: int
    name: Annotated[str, Field(max_length=120)] = ""

    def run(self, tx: Transaction) -> MaterialKept:
        row = found(tx, "material", self.material_id)
        columns = self._columns(tx, only_given=True, now=row)
        if not self.name:
            columns.pop("name", None)
        if columns.get("form", row["form"]) != row["form"] and tx.value(
            "SELECT 1 FROM stock_movement WHERE material_id = ?", (self.material_id,)
        ):
            raise InvalidError(
                f"{row['name']} has been in stock as {row['form']}.",
                hint="Keep it under another name in its new form, and retire this one.",
                field="form",
            )
        tx.update("material", self.material_id, columns)
        return MaterialKept(
            summary=f"Changed {ref('material', self.material_id)}",
            said=f"{columns.get('name', row['name'])} is changed.",
            material_id=self.material_id,
        )


class RetireMaterial(Request[MaterialKept]):
    """Take a material out of the lists, or bring it back; bills that name it stay."""

    material_id: int
    back: bool = False

    def run(self, tx: Transaction) -> MaterialKept:
        row = found(tx, "material", self.material_id)
        tx.update("material", self.material_id, {"retired_at": None if self.back else tx.now_text})
        word = "is back in the lists" if self.back else "is retired"
        return MaterialKept(
            summary=f"{'Brought back' if self.back else 'Retired'} {ref('material', self.material_id)}",
            said=f"{text(row, 'name')} {word}.",
            material_id=self.material_id,
        )


class KeepTool(Request[ToolKept]):
    """Keep a tool with how many are owned: a new one, or the one named by tool_id with other entries.

    holds: kits that each of them holds while they dry or are pressed; 0: nothing rests in it.
    """

    name: Annotated[str, Field(max_length=120)] = ""
    owned: Annotated[int, Field(ge=0, le=10000)] | None = None
    holds: Annotated[int, Field(ge=0, le=10000)] | None = None
    cautions: str | None = None
    tool_id: int | None = None
    retired: bool | None = None

    def run(self, tx: Transaction) -> ToolKept:
        columns: dict[str, Value] = {
            name: getattr(self, name) for name in ("owned", "cautions") if getattr(self, name) is not None
        }
        if self.name:
            columns["name"] = self.name
        if self.holds is not None:
            columns["holds"] = self.holds or None
        if self.retired is not None:
            columns["retired_at"] = tx.now_text if self.retired else None
        if self.tool_id is None:
            if not self.name or self.owned is None:
                raise InvalidError("A tool has a name and a number.", hint="Give both.", field="name")
            tool_id, name = tx.insert("tool", columns), self.name
        else:
            row = found(tx, "tool", self.tool_id)
            tool_id, name = self.tool_id, self.name or text(row, "name")
            tx.update("tool", tool_id, columns)
        return ToolKept(
            summary=f"Kept {ref('tool', tool_id)} {name}",
            said=f"{name} is kept as {ref('tool', tool_id)}.",
            tool_id=tool_id,
        )


def _whole(value: Value) -> int:
    if not isinstance(value, int):
        raise TypeError(f"{value!r} is not a whole number")
    return value

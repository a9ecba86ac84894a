"""The rows of a project version's bill of materials and tools: typed lines kept, and carried to the next version."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from scheduling.commands.found import found, in_use, number, text
from scheduling.errors import InvalidError
from scheduling.lengths import Length, read_length, read_size
from scheduling.model.size_formula import is_formula, worked_out
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction


class BillEntry(BaseModel):
    """One line of a bill as typed.

    size: along the grain first, "5 3/8 x 8 1/2" or "137 x 210 mm"; one length for what comes off a reel; empty for
    things. Each side may be a formula over the project's measures: "height + 2*turn_in x width + 1/4", kept as typed
    and worked out anew with the measures. per: what the quantity is for one of. free_grain: the piece may be turned.
    fold: the fold line runs along or across its grain. face: the side that shows, "front" is the good one; empty for
    either, and it counts only where the faces of the material differ. options: by the name of an option, the material
    that such a seat gets instead, None for none.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True, str_strip_whitespace=True)

    part: Annotated[str, Field(min_length=1, max_length=80)]
    material_id: int
    quantity: Annotated[int, Field(ge=1, le=10000)] = 1
    size: Annotated[str, Field(max_length=120)] = ""
    per: Literal["kit", "head", "mailed head", "class"] = "kit"
    free_grain: bool = False
    one_way: bool = False
    fold: Literal["none", "along", "across"] = "none"
    hand: Literal["", "left", "right"] = ""
    face: Literal["", "front", "back"] = ""
    options: dict[str, int | None] = Field(default_factory=dict)


BillLines = Annotated[tuple[BillEntry, ...], Field(max_length=200)]
Measures = dict[Annotated[str, Field(pattern="^[a-z][a-z_]*$", max_length=30)], Annotated[str, Field(max_length=30)]]
"""Finished measures of a project as typed, by names such as height or turn_in."""
ToolNeeds = tuple[tuple[int, Literal["head", "two", "table", "class"]], ...]
"""(tool's number, one of it for each head, for two, for a table or for the class)."""


def read_measures(tx: Transaction, measures: Measures) -> dict[str, Length]:
    """The measures as lengths; raises InvalidError for one that is no length above nought."""
    unit = str(tx.value("SELECT units FROM studio"))
    found = {name: read_length(typed, unit, field="measures") for name, typed in measures.items()}
    for name, length in found.items():
        if not length.counts or name in ("x", "by"):
            raise InvalidError(f"{name} is no measure.", hint="Give it a length above nought.", field="measures")
    return found


def measures_of(tx: Transaction, version_id: int) -> dict[str, Length]:
    """The measures of a version."""
    return {
        row["name"]: Length.kept(row["counts"], row["form"])
        for row in tx.rows("SELECT * FROM project_measure WHERE project_version_id = ? ORDER BY id", (version_id,))
    }


def keep_measures(tx: Transaction, version_id: int, measures: dict[str, Length]) -> None:
    """Write the measures of a new version."""
    for name, length in measures.items():
        tx.insert(
            "project_measure",
            {"project_version_id": version_id, "name": name, "counts": length.counts, "form": length.form},
        )


def bill_columns(tx: Transaction, lines: tuple[BillEntry, ...], measures: dict[str, Length]) -> list[Row]:
    """The lines as rows, without their version; raises InvalidError that names the part to mend."""
    parts = [line.part.casefold() for line in lines]
    for line in lines:
        if parts.count(line.part.casefold()) > 1:
            raise InvalidError(
                f"{line.part} stands twice on the bill.", hint="Give each part its own name.", field="lines"
            )
    unit = str(tx.value("SELECT units FROM studio"))
    return [_line_columns(tx, place, line, unit, measures) for place, line in enumerate(lines, 1)]


def keep_rows(
    tx: Transaction, version_id: int, rows: Sequence[Row], options: Sequence[Mapping[str, int | None]]
) -> None:
    """Write the lines of a new version with their options."""
    for columns, own in zip(rows, options, strict=True):
        line_id = tx.insert("bill_line", columns | {"project_version_id": version_id})
        for name, material_id in own.items():
            if material_id is not None:
                in_use(tx, "material", material_id, field="lines")
            tx.insert("bill_option", {"bill_line_id": line_id, "name": name, "material_id": material_id})


def kept_lines(tx: Transaction, version_id: int) -> list[tuple[Row, dict[str, int | None]]]:
    """The lines of a version as they are kept, each with its options, without the numbers of the rows."""
    found: list[tuple[Row, dict[str, int | None]]] = []
    for row in tx.rows("SELECT * FROM bill_line WHERE project_version_id = ? ORDER BY position", (version_id,)):
        options = {
            option["name"]: option["material_id"]
            for option in tx.rows("SELECT * FROM bill_option WHERE bill_line_id = ? ORDER BY id", (row["id"],))
        }
        columns = {name: value for name, value in dict(row).items() if name not in ("id", "project_version_id")}
        found.append((columns, options))
    return found


def sized_anew(tx: Transaction, row: Row, measures: dict[str, Length]) -> Row:
    """A kept line whose size is a formula, worked out with other measures."""
    unit = str(tx.value("SELECT units FROM studio"))
    line = BillEntry(part=text(row, "part"), material_id=number(row, "material_id"), size=text(row, "size_formula"))
    along, across = _size(line, found(tx, "material", line.material_id), unit, measures)
    return row | {
        "along_counts": along.counts,
        "along_form": along.form,
        "across_counts": across.counts,
        "across_form": across.form,
    }


def keep_tools(tx: Transaction, version_id: int, tools: ToolNeeds) -> None:
    """Write the tools of a new version."""
    for tool_id, per in tools:
        found(tx, "tool", tool_id)
        tx.insert("tool_need", {"project_version_id": version_id, "tool_id": tool_id, "per": per})


def carry_bill(tx: Transaction, old_version_id: int, new_version_id: int) -> None:
    """Give a new version the lines, options and tools of the old one."""
    kept = kept_lines(tx, old_version_id)
    keep_rows(tx, new_version_id, [row for row, _ in kept], [options for _, options in kept])
    keep_measures(tx, new_version_id, measures_of(tx, old_version_id))
    carry_tools(tx, old_version_id, new_version_id)


def carry_tools(tx: Transaction, old_version_id: int, new_version_id: int) -> None:
    """Give a new version the tools of the old one."""
    for row in tx.rows("SELECT * FROM tool_need WHERE project_version_id = ? ORDER BY id", (old_version_id,)):
        tx.insert("tool_need", {"project_version_id": new_version_id, "tool_id": row["tool_id"], "per": row["per"]})


def _line_columns(tx: Transaction, position: int, line: BillEntry, unit: str, measures: dict[str, Length]) -> Row:
    material = in_use(tx, "material", line.material_id, field="lines")
    along, across = _size(line, material, unit, measures)
    return {
        "position": position,
        "part": line.part,
        "material_id": line.material_id,
        "quantity": line.quantity,
        "per": line.per,
        "along_counts": along.counts,
        "along_form": along.form,
        "across_counts": across.counts,
        "across_form": across.form,
        "free_grain": int(line.free_grain),
        "one_way": int(line.one_way),
        "fold": line.fold,
        "hand": line.hand,
        "face": line.face,
        "size_formula": line.size if is_formula(line.size) else "",
    }


def _size(line: BillEntry, material: Row, unit: str, measures: dict[str, Length]) -> tuple[Length, Length]:
    """A piece's sides as its material wants them; raises InvalidError that names the part."""
    nothing = Length(0, unit)
    form, name = text(material, "form"), text(material, "name")
    wanted = {
        "each": "nothing, since they are things",
        "reel": "one length, such as 24 in",
        "sheet": "two sides, the one along the grain first, such as 5 3/8 x 8 1/2",
        "roll": "two sides, the one along the roll first, such as 9 1/2 x 13 1/8",
    }[form]
    try:
        if form == "each" and line.size:
            raise InvalidError("Things have no size.")
        along, across = nothing, nothing
        if form == "reel":
            along = _side(line.size, unit, measures)
        elif form != "each":
            along, across = _sides(line.size, unit, measures)
        if form != "each" and (not along.counts or (form != "reel" and not across.counts)):
            raise InvalidError("A size is above nought.")
    except InvalidError as error:
        raise InvalidError(
            f"{line.part}: a part of {name} has {wanted}. {error.args[0]}", hint=error.hint, field="lines"
        ) from error
    return along, across


def _side(text: str, unit: str, measures: dict[str, Length]) -> Length:
    return worked_out(text, measures, unit) if is_formula(text) else read_length(text, unit)


def _sides(text: str, unit: str, measures: dict[str, Length]) -> tuple[Length, Length]:
    """Two sides as typed, or two formulas with an x between."""
    if not is_formula(text):
        return read_size(text, unit)
    first, sign, second = text.casefold().partition(" x ")
    if not sign:
        raise InvalidError("A size has two sides.", hint="Write such as height + 1/4 x width.")
    return _side(first.strip(), unit, measures), _side(second.strip(), unit, measures)


def bill_counts(tx: Transaction, rows: list[Row]) -> dict[str, Value]:
    """Pieces to cut for a kit, materials that are cut, suppliers of all that is in it."""
    cut = [row for row in rows if row["along_counts"]]
    materials = {number(row, "material_id") for row in rows}
    suppliers = {tx.value("SELECT supplier_id FROM material WHERE id = ?", (each,)) for each in materials} - {None}
    return {
        "pieces": sum(number(row, "quantity") for row in cut if row["per"] == "kit"),
        "materials": len({row["material_id"] for row in cut}),
        "suppliers": len(suppliers),
    }

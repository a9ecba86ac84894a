"""A project's bill of materials, tools and kit options: each change is a new version (decisions 4)."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from scheduling.commands.bill_rows import carry_tools
from scheduling.commands.found import found, in_use, number, text
from scheduling.commands.projects import ProjectKept, newest_version
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.lengths import Length, read_length, read_size
from scheduling.model.refs import ref
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction


class BillEntry(BaseModel):
    """One line of a bill as typed.

    size: along the grain first, "5 3/8 x 8 1/2" or "137 x 210 mm"; one length for what comes off a reel; empty for
    things. per: what the quantity is for one of. free_grain: the piece may be turned. fold: the fold line runs along
    or across its grain. options: by the name of an option, the material that such a seat gets instead, None for none.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True, str_strip_whitespace=True)

    part: Annotated[str, Field(min_length=1, max_length=80)]
    material_id: int
    quantity: Annotated[int, Field(ge=1, le=10000)] = 1
    size: Annotated[str, Field(max_length=60)] = ""
    per: Literal["kit", "head", "mailed head", "class"] = "kit"
    free_grain: bool = False
    one_way: bool = False
    fold: Literal["none", "along", "across"] = "none"
    hand: Literal["", "left", "right"] = ""
    options: dict[str, int | None] = Field(default_factory=dict)


class SetBill(Request[ProjectKept]):
    """Set the bill of a project, as its next version; classes made before keep theirs until they take the new one.

    tools: (tool's number, how many: one for each head, for two, for a table, for the class); None leaves the tools.
    The version's counts of pieces, materials cut and suppliers come from the bill.
    """

    project_id: int
    lines: Annotated[tuple[BillEntry, ...], Field(max_length=200)]
    tools: tuple[tuple[int, Literal["head", "two", "table", "class"]], ...] | None = None

    def run(self, tx: Transaction) -> ProjectKept:
        now = newest_version(tx, self.project_id)
        parts = [line.part.casefold() for line in self.lines]
        for line in self.lines:
            if parts.count(line.part.casefold()) > 1:
                raise InvalidError(
                    f"{line.part} stands twice on the bill.", hint="Give each part its own name.", field="lines"
                )
        unit = str(tx.value("SELECT units FROM studio"))
        rows = [_line_columns(tx, place, line, unit) for place, line in enumerate(self.lines, 1)]
        version_id = tx.insert(
            "project_version",
            {name: value for name, value in now.items() if name != "id"}
            | {"number": number(now, "number") + 1}
            | _counts(tx, rows),
        )
        for columns, line in zip(rows, self.lines, strict=True):
            line_id = tx.insert("bill_line", columns | {"project_version_id": version_id})
            for name, material_id in line.options.items():
                if material_id is not None:
                    in_use(tx, "material", material_id, field="lines")
                tx.insert("bill_option", {"bill_line_id": line_id, "name": name, "material_id": material_id})
        if self.tools is None:
            carry_tools(tx, number(now, "id"), version_id)
        for tool_id, per in self.tools or ():
            found(tx, "tool", tool_id)
            tx.insert("tool_need", {"project_version_id": version_id, "tool_id": tool_id, "per": per})
        title = text(now, "title")
        return ProjectKept(
            summary=f"Set the bill of {ref('project', self.project_id)}, version {number(now, 'number') + 1}",
            said=f"The bill of {title} has {len(rows)} lines; classes made before keep theirs.",
            project_id=self.project_id,
            version_id=version_id,
        )


class TakeNewVersion(Request[Outcome]):
    """Let a class date take the newest version of its project: another bill, other minutes."""

    class_date_id: int

    def run(self, tx: Transaction) -> Outcome:
        row = found(tx, "class_date", self.class_date_id)
        if row["taught_at"] is not None:
            raise ConflictError(f"{row['title']} is taught.", hint="It keeps the version it was made with.")
        version = found(tx, "project_version", number(row, "project_version_id"))
        newest = newest_version(tx, number(version, "project_id"))
        changed = tx.update("class_date", self.class_date_id, {"project_version_id": number(newest, "id")})
        where = ref("class_date", self.class_date_id)
        said = f"{text(row, 'title')} takes version {newest['number']}." if changed else "It has the newest already."
        return Outcome(summary=f"{where} takes version {newest['number']}", said=said)


class ChooseKitOptions(Request[Outcome]):
    """Set which options of the kit a seat has, by their names on the bill."""

    seat_id: int
    names: tuple[Annotated[str, Field(min_length=1, max_length=60)], ...] = ()

    def run(self, tx: Transaction) -> Outcome:
        found(tx, "seat", self.seat_id)
        offered = {
            row["name"]
            for row in tx.rows(
                """SELECT DISTINCT bill_option.name FROM bill_option
                   JOIN bill_line ON bill_line.id = bill_option.bill_line_id
                   JOIN class_date ON class_date.project_version_id = bill_line.project_version_id
                   JOIN booking ON booking.class_date_id = class_date.id
                   JOIN seat ON seat.booking_id = booking.id WHERE seat.id = ?""",
                (self.seat_id,),
            )
        }
        for name in self.names:
            if name not in offered:
                raise InvalidError(
                    f"The kit has no option {name}.",
                    hint=f"Use {', '.join(sorted(offered))}." if offered else "Add it to the bill first.",
                    field="names",
                )
        kept = {
            row["name"]: row["id"] for row in tx.rows("SELECT * FROM seat_option WHERE seat_id = ?", (self.seat_id,))
        }
        for name in sorted(set(self.names) - kept.keys()):
            tx.insert("seat_option", {"seat_id": self.seat_id, "name": name})
        for name in sorted(kept.keys() - set(self.names)):
            tx.delete("seat_option", kept[name])
        return Outcome(summary="Set the kit options of a seat", said="The kit options are kept.")


def _line_columns(tx: Transaction, position: int, line: BillEntry, unit: str) -> Row:
    material = in_use(tx, "material", line.material_id, field="lines")
    along, across = _size(line, material, unit)
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
    }


def _size(line: BillEntry, material: Row, unit: str) -> tuple[Length, Length]:
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
            along = read_length(line.size, unit)
        elif form != "each":
            along, across = read_size(line.size, unit)
        if form != "each" and (not along.counts or (form != "reel" and not across.counts)):
            raise InvalidError("A size is above nought.")
    except InvalidError as error:
        raise InvalidError(
            f"{line.part}: a part of {name} has {wanted}. {error.args[0]}", hint=error.hint, field="lines"
        ) from error
    return along, across


def _counts(tx: Transaction, rows: list[Row]) -> dict[str, Value]:
    """Pieces to cut for a kit, materials that are cut, suppliers of all that is in it."""
    cut = [row for row in rows if row["along_counts"]]
    materials = {number(row, "material_id") for row in rows}
    suppliers = {tx.value("SELECT supplier_id FROM material WHERE id = ?", (each,)) for each in materials} - {None}
    return {
        "pieces": sum(number(row, "quantity") for row in cut if row["per"] == "kit"),
        "materials": len({row["material_id"] for row in cut}),
        "suppliers": len(suppliers),
    }

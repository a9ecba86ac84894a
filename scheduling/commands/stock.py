"""Stock: counted by hand with a reason, allotted to a class, thrown away; every change is a movement in the journal."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, in_use, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.lengths import read_length, read_size
from scheduling.model.refs import ref
from scheduling.store.database import Row
from scheduling.store.rows import Transaction

Place = tuple[int, int, str]
"""Length along, length across, grain: noughts and "" for what is whole."""

WHOLE: Place = (0, 0, "")

_ONE_WAY = "Waste and gifts go out of stock, left-overs come back."


@dataclass(frozen=True, slots=True, kw_only=True)
class StockKept(Outcome):
    material_id: int


class CountStock(Request[StockKept]):
    """Set what is on hand of a material to what was counted; the difference is a movement with a reason.

    reason: "counted" where the count was wrong; "waste" and "given away" where some went, "left over" where a class
    brought some back: then nothing may differ the other way. class_date_id: the class that it went for or came from.
    whole: sheets or things, or unbegun reels and rolls. lengths: of begun reels and rolls, as typed.
    off_cuts: (size as typed with the side along the grain first, how many).
    note: why it differs, such as "counted" or "two torn". What is None stays as it is.
    """

    material_id: int
    whole: Annotated[int, Field(ge=0, le=10**7)] | None = None
    lengths: tuple[Annotated[str, Field(max_length=30)], ...] | None = None
    off_cuts: tuple[tuple[str, Annotated[int, Field(ge=0, le=10000)]], ...] | None = None
    reason: Literal["counted", "waste", "given away", "left over"] = "counted"
    class_date_id: int | None = None
    note: Annotated[str, Field(min_length=1, max_length=200)]

    def run(self, tx: Transaction) -> StockKept:
        material = in_use(tx, "material", self.material_id)
        if self.class_date_id is not None:
            found(tx, "class_date", self.class_date_id)
        before = on_hand(tx, self.material_id)
        wanted = Counter(before)
        unit = str(tx.value("SELECT units FROM studio"))
        if self.whole is not None:
            wanted[WHOLE] = self.whole
        if self.lengths is not None:
            _only(material, ("roll", "reel"), "lengths", "A begun length")
            wanted = Counter({place: count for place, count in wanted.items() if place == WHOLE})
            for typed in self.lengths:
                length = read_length(typed, unit, field="lengths")
                if length.counts:
                    wanted[length.counts, 0, ""] += 1
        if self.off_cuts is not None:
            _only(material, ("sheet",), "off_cuts", "An off-cut")
            wanted = Counter({WHOLE: wanted[WHOLE]})
            for typed, count in self.off_cuts:
                wanted[off_cut_place(material, typed, unit, field="off_cuts")] += count
        changed = False
        for place in sorted(wanted.keys() | before.keys()):
            difference = wanted[place] - before[place]
            if difference:
                if self.reason != "counted" and (difference > 0) != (self.reason == "left over"):
                    raise InvalidError(_ONE_WAY, hint="Choose counted where some went and some came.", field="reason")
                move(tx, self.material_id, place, difference, self.reason, self.class_date_id, note=self.note)
                changed = True
        name = text(material, "name")
        return StockKept(
            summary=f"{self.reason.capitalize()} {ref('material', self.material_id)}: {self.note}",
            said=f"{name}: what was counted is kept." if changed else f"{name}: the count was right.",
            material_id=self.material_id,
        )


class MoveStock(Request[StockKept]):
    """Take some of a material away, or bring some back, with a reason.

    change: how many, below nought for what goes: whole sheets or things, unbegun reels or rolls; with `size` so many
    off-cuts (as typed, the side along the grain first) or begun reels or rolls of that length.
    reason: "waste" and "given away" take away, "left over" brings back what a class did not use.
    """

    material_id: int
    change: Annotated[int, Field(ge=-(10**7), le=10**7)]
    reason: Literal["waste", "given away", "left over"]
    size: Annotated[str, Field(max_length=60)] = ""
    class_date_id: int | None = None
    note: Annotated[str, Field(max_length=200)] = ""

    def run(self, tx: Transaction) -> StockKept:
        material = found(tx, "material", self.material_id)
        if self.change == 0 or (self.change > 0) != (self.reason == "left over"):
            raise InvalidError(
                _ONE_WAY,
                hint="Give a number above nought for left-overs, below nought for the others.",
                field="change",
            )
        if self.class_date_id is not None:
            found(tx, "class_date", self.class_date_id)
        place = self._place(tx, material)
        move(tx, self.material_id, place, self.change, self.reason, self.class_date_id, note=self.note)
        left = on_hand(tx, self.material_id)[place]
        of_size = f" of {self.size.strip()}" if self.size.strip() else ""
        return StockKept(
            summary=f"{self.reason}: {self.change:+d}{of_size} of {ref('material', self.material_id)}",
            said=f"{text(material, 'name')}: {left}{of_size} on hand.",
            material_id=self.material_id,
        )

    def _place(self, tx: Transaction, material: Row) -> Place:
        if not self.size.strip():
            return WHOLE
        unit = str(tx.value("SELECT units FROM studio"))
        if material["form"] == "sheet":
            return off_cut_place(material, self.size, unit, field="size")
        _only(material, ("roll", "reel"), "size", "A begun length")
        return read_length(self.size, unit, field="size").counts, 0, ""


class AllotStock(Request[StockKept]):
    """Keep so much of what is on hand of a material for a class, whatever the order of the need days; 0 frees it.

    amount: sheets or things; for rolls and reels any number above nought lets the class cut first.
    """

    class_date_id: int
    material_id: int
    amount: Annotated[int, Field(ge=0, le=10**7)]

    def run(self, tx: Transaction) -> StockKept:
        class_date, material = found(tx, "class_date", self.class_date_id), found(tx, "material", self.material_id)
        others = tx.value(
            "SELECT coalesce(sum(amount), 0) FROM allotment WHERE material_id = ? AND class_date_id <> ?",
            (self.material_id, self.class_date_id),
        )
        there = on_hand(tx, self.material_id)[WHOLE]
        if material["form"] in ("each", "sheet") and self.amount + others > there:
            raise ConflictError(
                f"There are {there} of {material['name']} on hand, {others} of them allotted to other classes.",
                hint=f"Allot {max(0, there - others)} or fewer.",
                field="amount",
            )
        row_id = tx.value(
            "SELECT id FROM allotment WHERE class_date_id = ? AND material_id = ?",
            (self.class_date_id, self.material_id),
        )
        if row_id is not None and not self.amount:
            tx.delete("allotment", row_id)
        elif row_id is not None:
            tx.update("allotment", row_id, {"amount": self.amount})
        elif self.amount:
            tx.insert(
                "allotment",
                {"class_date_id": self.class_date_id, "material_id": self.material_id, "amount": self.amount},
            )
        where = ref("class_date", self.class_date_id)
        return StockKept(
            summary=f"Allotted {self.amount} of {ref('material', self.material_id)} to {where}",
            said=f"{self.amount} of {text(material, 'name')} are kept for {where} {text(class_date, 'title')}.",
            material_id=self.material_id,
        )


def on_hand(tx: Transaction, material_id: int) -> Counter[Place]:
    """What is on hand of a material, by place."""
    return Counter(
        {
            (row["along_counts"], row["across_counts"], row["grain"]): row["count"]
            for row in tx.rows("SELECT * FROM stock_on_hand WHERE material_id = ?", (material_id,))
        }
    )


def move(
    tx: Transaction,
    material_id: int,
    place: Place,
    change: int,
    reason: str,
    class_date_id: int | None = None,
    *,
    supply_line_id: int | None = None,
    note: str = "",
) -> None:
    """Write one movement of so many equal ones into the journal; below nought takes away."""
    along, across, grain = place
    tx.insert(
        "stock_movement",
        {
            "material_id": material_id,
            "day": tx.today().isoformat(),
            "along_counts": along,
            "across_counts": across,
            "grain": grain,
            "change": change,
            "reason": reason,
            "class_date_id": class_date_id,
            "supply_line_id": supply_line_id,
            "note": note,
            "created_at": tx.now_text,
        },
    )


def off_cut_place(material: Row, typed: str, unit: str, *, field: str) -> Place:
    """The place of off-cuts of a size as typed, the side along the grain first; raises InvalidError."""
    along, across = read_size(typed, unit, field=field)
    return along.counts, across.counts, grain_of(material, along.counts, across.counts)


def grain_of(material: Row, along: int, across: int) -> str:
    """The grain of an off-cut by its sides, the one along the grain first."""
    if material["grain"] == "none":
        return "none"
    return "long" if along >= across else "short"


def _only(material: Row, forms: tuple[str, ...], field: str, what: str) -> None:
    if material["form"] not in forms:
        raise InvalidError(
            f"{what} is of a {' or '.join(forms)}; {material['name']} comes as {material['form']}.",
            hint="Give how many there are.",
            field=field,
        )

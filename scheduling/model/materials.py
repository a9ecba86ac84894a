"""What kits are made of: suppliers, materials and the lines of a bill of materials."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from scheduling.lengths import COUNTS, Length
from scheduling.model.deadlines import Delivery

NO_LENGTH = Length(0)


class Form(StrEnum):
    """How a material comes: in single things, flat sheets, cloth on a roll, or thread and ribbon on a reel."""

    EACH = "each"
    SHEET = "sheet"
    ROLL = "roll"
    REEL = "reel"


class LinePer(StrEnum):
    """What a line of a bill is counted by."""

    KIT = "kit"
    HEAD = "head"
    MAILED_HEAD = "mailed head"
    CLASS = "class"


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who materials come from.

    least_order, carriage, carriage_free: minor units of goods; carriage_free None: carriage is always paid.
    delivery: lead, calendars and the hour to order by. lead_in: what its lead counts, "working days" or "calendar
    days".
    """

    id: int
    name: str
    delivery: Delivery
    least_order: int = 0
    carriage: int = 0
    carriage_free: int | None = None
    note: str = ""
    lead_in: str = "working days"

    @property
    def counts(self) -> str:
        """One of the days that its lead counts."""
        return self.lead_in.removesuffix("s")


@dataclass(frozen=True, slots=True)
class Material:
    """One thing to buy.

    along, across: along and across the grain of a sheet; length and width of a roll; length of a reel, no across.
    grain: of a sheet, "long", "short" or "none"; trim: off every edge of a sheet, off both edges of a roll.
    leader: lost at the start of a new reel or roll. pack: sold so many at a time; price: minor units a pack.
    price_from, price_then: the price a pack from that day on. last_order_day: it is dropped after that day.
    weight_mg: milligrams of one sheet, thing, roll or reel, 0 where it is not known; thickness_counts the same way.
    swap: what the supplier may send instead: "none", "colour" or "any".
    """

    id: int
    name: str
    form: Form
    supplier_id: int | None = None
    along: Length = NO_LENGTH
    across: Length = NO_LENGTH
    grain: str = "none"
    one_way: bool = False
    two_sided: bool = True
    trim: Length = NO_LENGTH
    leader: Length = NO_LENGTH
    pack: int = 1
    price: int = 0
    price_from: dt.date | None = None
    price_then: int | None = None
    last_order_day: dt.date | None = None
    swap: str = "none"
    weight_mg: int = 0
    thickness_counts: int = 0
    packaging: bool = False
    cautions: str = ""

    def price_on(self, day: dt.date) -> int:
        """Minor units for a pack ordered on `day`."""
        if self.price_from is not None and self.price_then is not None and day >= self.price_from:
            return self.price_then
        return self.price

    @property
    def size(self) -> str:
        """Its size as typed: across first as paper is sold ("22 x 30 in"), the length of a reel, or nothing."""
        if self.form is Form.EACH:
            return ""
        if self.form is Form.REEL:
            return self.along.show()
        same = self.across.unit == self.along.unit
        return f"{self.across.show(unit=not same)} x {self.along.show()}"


@dataclass(frozen=True, slots=True)
class BillLine:
    """One part of a project.

    quantity: pieces or things for one of `per`. along, across: of a piece along and across its grain; along alone for
    a length off a reel; neither for things. free_grain: it may be turned by a quarter. one_way: it has an upright.
    fold: "none", or the fold line runs "along" or "across" its grain. hand: "left" or "right" of a pair.
    face: the side that shows where the faces of its material differ: "front", "back", or empty for either.
    options: by name what a seat gets instead: a material's number, or None for leaving it out.
    formula: of its size over the project's measures, where it has one.
    """

    part: str
    material_id: int
    quantity: int = 1
    per: LinePer = LinePer.KIT
    along: Length = NO_LENGTH
    across: Length = NO_LENGTH
    free_grain: bool = False
    one_way: bool = False
    fold: str = "none"
    hand: str = ""
    face: str = ""
    options: tuple[tuple[str, int | None], ...] = ()
    formula: str = ""

    @property
    def is_cut(self) -> bool:
        """True for what is cut to a size or length."""
        return self.along.counts > 0

    @property
    def size(self) -> str:
        """Its size as typed, along the grain first; empty for things."""
        if not self.is_cut:
            return ""
        if not self.across.counts:
            return self.along.show()
        same = self.across.unit == self.along.unit
        return f"{self.along.show(unit=not same)} x {self.across.show()}"


@dataclass(frozen=True, slots=True)
class Heads:
    """How many of each a class builds for; options: of the seats, how many chose each option by name."""

    kits: int
    heads: int
    mailed: int = 0
    options: tuple[tuple[str, int], ...] = ()

    def times(self, per: LinePer) -> int:
        """What a line's quantity is multiplied by."""
        return {
            LinePer.KIT: self.kits,
            LinePer.HEAD: self.heads,
            LinePer.MAILED_HEAD: self.mailed,
            LinePer.CLASS: 1 if self.kits else 0,
        }[per]


def counts_of(line: BillLine, heads: Heads) -> tuple[tuple[int, int], ...]:
    """(material, pieces or things) for one class: the line's own material, then what options put in its place.

    Spares and the demo copy are made without options.
    """
    own = line.quantity * heads.times(line.per)
    others: dict[int, int] = {}
    for name, instead in line.options:
        chosen = dict(heads.options).get(name, 0) * line.quantity
        chosen = min(chosen, own)
        own -= chosen
        if instead is not None and chosen:
            others[instead] = others.get(instead, 0) + chosen
    return tuple(pair for pair in ((line.material_id, own), *sorted(others.items())) if pair[1])


@dataclass(frozen=True, slots=True)
class Holding:
    """What is on hand of one material.

    whole: sheets or things, unbegun reels or rolls. lengths: of begun reels or rolls, in counts.
    off_cuts: (along, across, grain, how many).
    """

    whole: int = 0
    lengths: tuple[int, ...] = ()
    off_cuts: tuple[tuple[int, int, str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Bench:
    """How she cuts, in counts: kerfs, what the trimmer takes and holds, the least off-cut worth keeping.

    unit: "in" or "mm", for words and drawings.
    """

    kerf: int = 0
    knife_kerf: int = 0
    longest_cut: int | None = None
    smallest_strip: int = 0
    keep_long: int = 6 * COUNTS["in"]
    keep_short: int = 3 * COUNTS["in"]
    unit: str = "in"

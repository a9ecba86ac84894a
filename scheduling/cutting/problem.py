"""What the cut planner is asked: pieces, stock, off-cuts and the cutter, in exact whole counts.

Every length is a whole count of 1/1,016,000 inch (decisions.md 11), so 1/64 in and 1 mm are both exact.
x runs across the grain, y along it; a size is always given along the grain first.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from scheduling.errors import InvalidError


class Grain(StrEnum):
    """How the grain of a sheet lies: along its long side, along its short side, or there is none."""

    LONG = "long"
    SHORT = "short"
    NONE = "none"


class Fold(StrEnum):
    """Which way a piece will be folded: the fold line runs along its first side, across it, or there is none."""

    NONE = "none"
    ALONG = "along"
    ACROSS = "across"


@dataclass(frozen=True, slots=True)
class Piece:
    """One line of a cut list: `count` equal rectangles.

    along_units, across_units: along and across the piece's own grain.
    grain_bound: its grain must lie along the sheet's grain; a free piece may be turned by a quarter.
    one_way: a one-way print must stay upright on it; neither a quarter nor a half turn there.
    fold: a fold that would cross the grain is warned about.
    hand: "left" or "right" for one half of a pair; the halves are two lines and count apart.
    face: "front" or "back" where only that side may show; empty where either may. Sheets lie good side up, so a piece
        that shows its back is turned over after cutting; where both faces are alike there is nothing to turn.
    Give equal pieces of several classes as one line.
    """

    id: str
    along_units: int
    across_units: int
    count: int
    grain_bound: bool = True
    one_way: bool = False
    fold: Fold = Fold.NONE
    hand: str = ""
    face: str = ""


@dataclass(frozen=True, slots=True)
class Trim:
    """What is cut off each edge once, before anything else; the kerf of the trimming cut lies inside it."""

    head_units: int = 0
    foot_units: int = 0
    left_units: int = 0
    right_units: int = 0

    @staticmethod
    def all_round(units: int) -> Trim:
        """The same trim on all four edges."""
        return Trim(units, units, units, units)


@dataclass(frozen=True, slots=True)
class Stock:
    """One size of sheet.

    cost_minor: of one sheet, where it is sold singly (pack = 1) or for comparing sizes.
    pack, pack_cost_minor: sold only in whole packs of that many; 0 means pack x cost_minor.
    may_buy: sheets at most, None for as many as wanted, 0 for what is on hand alone.
    two_sided: both faces are alike.
    """

    id: str
    along_units: int
    across_units: int
    grain: Grain = Grain.LONG
    one_way: bool = False
    trim: Trim = Trim()
    cost_minor: int = 0
    on_hand: int = 0
    pack: int = 1
    pack_cost_minor: int = 0
    may_buy: int | None = None
    two_sided: bool = True

    @property
    def price_of_pack(self) -> int:
        """Minor units for one pack."""
        return self.pack_cost_minor or self.pack * self.cost_minor


@dataclass(frozen=True, slots=True)
class OffCut:
    """Equal remainders on hand; their edges are square, so they need no trim."""

    id: str
    along_units: int
    across_units: int
    grain: Grain = Grain.LONG
    one_way: bool = False
    count: int = 1
    two_sided: bool = True


@dataclass(frozen=True, slots=True)
class Cutter:
    """What cuts. A cut longer than the trimmer, or of a part narrower than it holds, is made by knife.

    kerf_units, knife_kerf_units: width lost to a cut of the trimmer and of the knife.
    longest_cut_units: None for a trimmer that takes every sheet.
    smallest_strip_units: the narrowest part that the trimmer can hold.
    """

    kerf_units: int = 0
    knife_kerf_units: int = 0
    longest_cut_units: int | None = None
    smallest_strip_units: int = 0


@dataclass(frozen=True, slots=True)
class Keep:
    """The least remainder worth keeping: its longer and its shorter side."""

    long_units: int = 6 * 1_016_000
    short_units: int = 3 * 1_016_000


@dataclass(frozen=True, slots=True)
class CutProblem:
    """One material to cut.

    unit: "in" or "mm", only for the words of refusals and drawings.
    use_up: off-cuts go first even where that saves no sheet, as begun reels do; otherwise each one touched must
        save a sheet, since it is one more set-up.
    """

    pieces: tuple[Piece, ...]
    stocks: tuple[Stock, ...]
    off_cuts: tuple[OffCut, ...] = ()
    cutter: Cutter = Cutter()
    keep: Keep = field(default_factory=Keep)
    unit: str = "in"
    use_up: bool = False

    def check(self) -> None:
        """Refuse sizes and counts that mean nothing.

        Raises InvalidError: a length that is not positive, a negative count, trims that leave nothing,
            a grain that contradicts the sides, or an id used twice.
        """
        for piece in self.pieces:
            _check_size(piece.id, piece.along_units, piece.across_units)
            _check_count(piece.id, piece.count)
        for stock in self.stocks:
            _check_stock(stock)
        for off_cut in self.off_cuts:
            _check_size(off_cut.id, off_cut.along_units, off_cut.across_units)
            _check_count(off_cut.id, off_cut.count)
            _check_grain(off_cut)
        _check_ids([piece.id for piece in self.pieces], "pieces")
        _check_ids([*(stock.id for stock in self.stocks), *(off_cut.id for off_cut in self.off_cuts)], "stocks")
        cutter = self.cutter
        longest = cutter.longest_cut_units
        if min(cutter.kerf_units, cutter.knife_kerf_units, cutter.smallest_strip_units) < 0 or (longest or 1) < 0:
            raise InvalidError("A kerf or cutter limit is below zero.", hint="Enter it as 0 or more.", field="cutter")


def _check_stock(stock: Stock) -> None:
    _check_size(stock.id, stock.along_units, stock.across_units)
    _check_count(stock.id, stock.on_hand)
    _check_count(stock.id, stock.may_buy or 0)
    _check_grain(stock)
    trim = stock.trim
    if min(trim.head_units, trim.foot_units, trim.left_units, trim.right_units) < 0:
        raise InvalidError(f"A trim of {stock.id} is below zero.", hint="Enter it as 0 or more.", field="trim")
    along = stock.along_units - trim.head_units - trim.foot_units
    across = stock.across_units - trim.left_units - trim.right_units
    if min(along, across) <= 0:
        raise InvalidError(f"The trim of {stock.id} leaves nothing of the sheet.", hint="Trim less.", field="trim")
    if stock.pack < 1:
        raise InvalidError(f"{stock.id} has no pack size.", hint="Enter 1 for single sheets.", field="pack")
    if min(stock.cost_minor, stock.pack_cost_minor) < 0:
        raise InvalidError(f"The price of {stock.id} is below zero.", hint="Enter it as 0 or more.", field="cost")


def _check_size(name: str, along: int, across: int) -> None:
    if along <= 0 or across <= 0:
        raise InvalidError(f"{name} has a side of no length.", hint="Enter both sides, more than zero.", field="size")


def _check_count(name: str, count: int) -> None:
    if count < 0:
        raise InvalidError(f"The count of {name} is below zero.", hint="Enter it as 0 or more.", field="count")


def _check_grain(source: Stock | OffCut) -> None:
    wrong_long = source.grain is Grain.LONG and source.along_units < source.across_units
    wrong_short = source.grain is Grain.SHORT and source.along_units > source.across_units
    if wrong_long or wrong_short:
        raise InvalidError(
            f"{source.id} is called {source.grain} grain, but its sides say otherwise.",
            hint="Give the side along the grain first, or change the grain.",
            field="grain",
        )


def _check_ids(ids: list[str], name: str) -> None:
    twice = sorted({one for one in ids if ids.count(one) > 1})
    if twice:
        raise InvalidError(f"{twice[0]} stands twice in the {name}.", hint="Join the two lines.", field=name)

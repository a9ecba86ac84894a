"""What the cut planner answers: patterns with their cuts in order, stock to take and buy, and the bound."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from scheduling.cutting.problem import Grain


class Runs(StrEnum):
    """Which way a cut line runs on the sheet."""

    ACROSS = "across"  # across the grain: it parts the blank along y
    ALONG = "along"  # along the grain: it parts the blank along x


class Method(StrEnum):
    """With what a cut is made."""

    TRIMMER = "trimmer"
    KNIFE = "knife"


class Use(StrEnum):
    """What becomes of a blank."""

    CUT = "cut"  # it is cut further
    PIECE = "piece"
    OFF_CUT = "off-cut"  # kept, its grain marked
    WASTE = "waste"


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle of the sheet at some moment of the cutting; x, y from the sheet's corner at head and left."""

    x_units: int
    y_units: int
    across_units: int
    along_units: int
    use: Use
    piece_id: str = ""
    turned: bool = False  # lies a quarter turn from its own grain
    over: bool = False  # lies with the side down that shows in the kit: it is turned over after cutting


@dataclass(frozen=True, slots=True)
class Cut:
    """One edge-to-edge cut.

    number: from 1, in cutting order.
    stage: 0 trims the sheet square, 1 makes strips, 2 parts strips, 3 parts stacks, 4 trims a piece to size.
    blank, near, far: places in SheetLayout.blanks; far is -1 where the kerf takes all that is left.
    setting_units: the size held against the fence, which is the kept part's.
    """

    number: int
    stage: int
    runs: Runs
    method: Method
    setting_units: int
    length_units: int
    blank: int
    near: int
    far: int


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """One sheet cut: blanks[0] is the sheet, cuts stand in cutting order."""

    blanks: tuple[Blank, ...]
    cuts: tuple[Cut, ...]

    @property
    def pieces(self) -> tuple[Blank, ...]:
        """The pieces with their places."""
        return tuple(blank for blank in self.blanks if blank.use is Use.PIECE)

    @property
    def off_cuts(self) -> tuple[Blank, ...]:
        """The remainders worth keeping."""
        return tuple(blank for blank in self.blanks if blank.use is Use.OFF_CUT)

    @property
    def counts(self) -> dict[str, int]:
        """Pieces by id."""
        counts: dict[str, int] = {}
        for blank in self.pieces:
            counts[blank.piece_id] = counts.get(blank.piece_id, 0) + 1
        return counts

    @property
    def settings(self) -> int:
        """How often the fence or the tool is set: runs of equal settings in cutting order."""
        setting: tuple[int, Method] | None = None
        changes = 0
        for cut in self.cuts:
            if (cut.setting_units, cut.method) != setting:
                changes += 1
                setting = (cut.setting_units, cut.method)
        return changes


@dataclass(frozen=True, slots=True)
class PatternRun:
    """One set-up: `sheets` sheets of one source cut alike.

    early: how the last `early_sheets` of them are cut, which stop early; None where all are cut in full.
    """

    source_id: str
    from_off_cut: bool
    grain: Grain
    one_way: bool
    sheets: int
    layout: SheetLayout
    early: SheetLayout | None = None
    early_sheets: int = 0

    @property
    def layouts(self) -> tuple[tuple[SheetLayout, int], ...]:
        """Each way its sheets are cut, and how many of them: in full first."""
        if self.early is None:
            return ((self.layout, self.sheets),)
        return ((self.layout, self.sheets - self.early_sheets), (self.early, self.early_sheets))

    @property
    def counts(self) -> dict[str, int]:
        """Pieces of all its sheets by id."""
        counts: dict[str, int] = {}
        for layout, sheets in self.layouts:
            for name, number in layout.counts.items():
                counts[name] = counts.get(name, 0) + number * sheets
        return counts


@dataclass(frozen=True, slots=True)
class StockTaken:
    """Sheets of one size: from stock, to buy, and the packs and money that makes."""

    stock_id: str
    from_stock: int
    to_buy: int
    packs: int
    cost_minor: int
    left_of_packs: int  # sheets bought beyond the need


@dataclass(frozen=True, slots=True)
class SetUps:
    """The work of setting: distinct patterns, fence settings and cuts over all sheets."""

    patterns: int
    settings: int
    cuts: int


@dataclass(frozen=True, slots=True)
class Bound:
    """The least that any plan can do.

    sheets: whole sheets of any size beside the off-cuts; cost_minor: money for packs.
    reason: a plain sentence; any_cutting: it holds for every way of cutting, not only for three stages.
    """

    sheets: int
    cost_minor: int
    reason: str
    any_cutting: bool


@dataclass(frozen=True, slots=True)
class CutPlan:
    """One way to cut everything.

    spare: pieces cut beyond the need, by id. Areas in square units (square counts of 1/1,016,000 in).
    proved: no plan uses fewer sheets (one size) or less money (several sizes).
    """

    runs: tuple[PatternRun, ...]
    taken: tuple[StockTaken, ...]
    off_cuts_used: tuple[tuple[str, int], ...]
    spare: tuple[tuple[str, int], ...]
    set_ups: SetUps
    area_taken: int
    area_pieces: int
    area_kept: int
    proved: bool
    warnings: tuple[str, ...] = ()

    @property
    def sheets(self) -> int:
        """Whole sheets, off-cuts apart."""
        return sum(line.from_stock + line.to_buy for line in self.taken)

    @property
    def cost_minor(self) -> int:
        """Money for what must be bought."""
        return sum(line.cost_minor for line in self.taken)

    @property
    def area_waste(self) -> int:
        """What is neither piece nor kept."""
        return self.area_taken - self.area_pieces - self.area_kept


@dataclass(frozen=True, slots=True)
class CutAnswer:
    """The plans worth choosing between, best first, with the bound. best_possible: the search need not go on."""

    plans: tuple[CutPlan, ...]
    bound: Bound

    @property
    def best(self) -> CutPlan:
        """The first of the plans."""
        return self.plans[0]

    @property
    def best_possible(self) -> bool:
        """Whether the bound is met."""
        return self.plans[0].proved

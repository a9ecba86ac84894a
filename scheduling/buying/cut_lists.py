"""From the parts that classes need to what the cut planner is asked, for sheets, rolls and reels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from scheduling.cutting.lines import Length, Reel, ReelPlan, Roll, RollPlan, plan_reel, plan_roll
from scheduling.cutting.plan import best_plan, fewest_sheets, first_plan
from scheduling.cutting.problem import CutProblem, Cutter, Fold, Grain, Keep, OffCut, Piece, Stock, Trim
from scheduling.cutting.result import CutAnswer
from scheduling.cutting.sizes import size_text
from scheduling.cutting.yields import best_yield
from scheduling.model.materials import Bench, BillLine, Form, Holding, Material

FACES: Final = {"": "", "front": "good side", "back": "back"}
"""What stands behind a piece's name, by the side of it that shows."""


@dataclass(frozen=True, slots=True)
class Part:
    """`count` equal pieces or things of one material for one class; lengths in counts (decisions 11)."""

    name: str
    along: int
    across: int
    count: int
    free_grain: bool = False
    one_way: bool = False
    fold: str = "none"
    hand: str = ""
    face: str = ""

    @staticmethod
    def of(line: BillLine, count: int) -> Part:
        """The part that a line of a bill asks for, so many times."""
        return Part(
            line.part,
            line.along.counts,
            line.across.counts,
            count,
            line.free_grain,
            line.one_way,
            line.fold,
            line.hand,
            line.face,
        )


def named(parts: Iterable[Part], material: Material, unit: str) -> list[tuple[Part, str]]:
    """Each part with the name of its piece in a cut list: equal shapes share one, two shapes of one part are told
    apart by their size. The hand of a pair and the side that shows stand behind the name."""
    given = list(parts)
    shapes = [_shape(part, material) for part in given]
    of_name: dict[str, set[Part]] = {}
    for shape in shapes:
        of_name.setdefault(shape.name, set()).add(shape)
    names = []
    for part, shape in zip(given, shapes, strict=True):
        marks = ", ".join(filter(None, (shape.hand, FACES[shape.face])))
        name = f"{shape.name} ({marks})" if marks else shape.name
        if len(of_name[shape.name]) > 1:
            size = size_text(shape.along, unit)
            name += f" {size} x {size_text(shape.across, unit)}" if shape.across else f" {size}"
        names.append((part, name))
    return names


def _shape(part: Part, material: Material) -> Part:
    """What makes two parts the same piece on this material."""
    free = part.free_grain or material.grain == "none"
    face = "" if material.two_sided else part.face
    return replace(part, count=0, free_grain=free, one_way=part.one_way or material.one_way, face=face)


def pieces_of(parts: Iterable[Part], material: Material, unit: str) -> tuple[Piece, ...]:
    """The cut list of one material, equal pieces joined; lengths off a reel have one count across."""
    counts: dict[str, int] = {}
    shapes: dict[str, Part] = {}
    for part, name in named(parts, material, unit):
        counts[name] = counts.get(name, 0) + part.count
        shapes[name] = _shape(part, material)
    return tuple(
        Piece(
            name,
            shapes[name].along,
            shapes[name].across or 1,
            count,
            grain_bound=not shapes[name].free_grain,
            one_way=shapes[name].one_way,
            fold=Fold(shapes[name].fold),
            hand=shapes[name].hand,
            face=shapes[name].face,
        )
        for name, count in counts.items()
        if count
    )


def cutter_of(bench: Bench) -> Cutter:
    """The cutter as the cut planner takes it."""
    return Cutter(bench.kerf, bench.knife_kerf, bench.longest_cut, bench.smallest_strip)


def stock_of(material: Material, *, on_hand: int = 0, price: int | None = None) -> Stock:
    """The material as a size of sheet. price: minor units a pack, the present one unless given."""
    return Stock(
        material.name,
        material.along.counts,
        material.across.counts,
        Grain(material.grain),
        material.one_way,
        Trim.all_round(material.trim.counts),
        on_hand=on_hand,
        pack=material.pack,
        pack_cost_minor=material.price if price is None else price,
        two_sided=material.two_sided,
    )


def sheet_problem(parts: Iterable[Part], material: Material, holding: Holding, bench: Bench) -> CutProblem:
    """What the cut planner is asked of sheets."""
    return CutProblem(
        pieces_of(parts, material, bench.unit),
        (stock_of(material, on_hand=holding.whole),),
        tuple(
            OffCut(
                f"off-cut {place}",
                along,
                across,
                Grain(grain or "none"),
                material.one_way,
                count,
                two_sided=material.two_sided,
            )
            for place, (along, across, grain, count) in enumerate(holding.off_cuts, 1)
        ),
        cutter=cutter_of(bench),
        keep=Keep(bench.keep_long, bench.keep_short),
        unit=bench.unit,
    )


@lru_cache(maxsize=512)  # the same lists are asked for again at every screen and line; a plan never changes
def first_answer(problem: CutProblem) -> CutAnswer:
    """The quick plan; raises as the cut planner does."""
    return first_plan(problem)


@lru_cache(maxsize=64)
def best_answer(problem: CutProblem) -> CutAnswer:
    """The improved plan, which may take some seconds; raises as the cut planner does."""
    return best_plan(problem)


def sheets_for(parts: Sequence[Part], material: Material, holding: Holding, bench: Bench) -> int:
    """Whole sheets from one plan beside the off-cuts; raises InvalidError when a piece fits on no sheet."""
    wanted = [part for part in parts if part.count]
    if not wanted:
        return 0
    problem = sheet_problem(wanted, material, holding, bench)
    if len(problem.pieces) == 1 and not problem.off_cuts:
        # One kind of piece fills sheet after sheet with the fullest pattern there is.
        (piece,) = problem.pieces
        per_sheet = _fullest(replace(piece, count=1), replace(problem.stocks[0], on_hand=0), cutter_of(bench))
        if per_sheet:
            return -(-piece.count // per_sheet)
    return _fewest(problem)


@lru_cache(maxsize=512)
def _fewest(problem: CutProblem) -> int:
    return fewest_sheets(problem)


@lru_cache(maxsize=512)
def _fullest(piece: Piece, stock: Stock, cutter: Cutter) -> int:
    return best_yield(piece, stock, cutter)


def reel_of(material: Material, lengths: Sequence[int], whole: int = 0) -> Reel:
    """The material as a reel or the length of a roll; unbegun ones on hand are as long as a new one, less leader."""
    usable = material.along.counts - material.leader.counts
    return Reel(
        material.name,
        material.along.counts,
        leader_units=material.leader.counts,
        on_hand=(*lengths, *((usable,) * whole)),
        cost_minor=material.price,
    )


@lru_cache(maxsize=512)
def lengths_answer(
    parts: tuple[Part, ...], material: Material, lengths: tuple[int, ...], whole: int, bench: Bench
) -> ReelPlan | RollPlan:
    """How the pieces come off reels or rolls; raises as the cut planner does."""
    reel = reel_of(material, lengths, whole)
    if material.form is Form.REEL:
        return plan_reel(
            [Length(piece.id, piece.along_units, piece.count) for piece in pieces_of(parts, material, bench.unit)],
            reel,
            unit=bench.unit,
        )
    roll = Roll(
        reel,
        material.across.counts,
        edge_units=material.trim.counts,
        one_way=material.one_way,
        two_sided=material.two_sided,
    )
    cutter = Cutter(bench.kerf, bench.knife_kerf)
    return plan_roll(pieces_of(parts, material, bench.unit), roll, cutter=cutter, unit=bench.unit)

"""Cut plans in words, for the screens and the command line alike."""

from __future__ import annotations

from typing import Final

from scheduling.cutting.drawing import Look
from scheduling.cutting.result import CutPlan, PatternRun
from scheduling.model.materials import Material
from scheduling.words import counted

CAUTION: Final = "Cut away from you with the other hand behind the blade; change dull blades; follow the maker's sheet."


def look_of(plan: CutPlan, unit: str) -> Look:
    """Pieces by letters in the order they first come, so that small ones are told apart."""
    names: dict[str, str] = {}
    for run in plan.runs:
        for piece in run.layout.pieces:
            names.setdefault(piece.piece_id, chr(ord("A") + len(names) % 26))
    return Look(tuple(names.items()), unit)


def pieces_text(run: PatternRun, look: Look) -> str:
    """What a sheet of one pattern gives: "A = 5 Folio, B = 4 Lining"."""
    return ", ".join(f"{look.name(name)} = {count} {name}" for name, count in run.layout.counts.items())


def face_text(material: Material, plan: CutPlan | None = None, look: Look | None = None) -> str:
    """How sheets with one good side lie, so that both hands of a pair come out right, and which pieces are turned over
    once they are cut; empty where faces are alike."""
    if material.two_sided:
        return ""
    blanks = [] if plan is None else [blank for run in plan.runs for blank in run.layout.pieces if blank.over]
    over = sorted({look.name(blank.piece_id) if look else blank.piece_id for blank in blanks})
    if not over:
        return "Good side up: turn no sheet or piece over."
    shows = f"{', '.join(over)} {'shows' if len(over) == 1 else 'show'}"
    return f"Good side up: turn no sheet over. {shows} the back: turn over once cut."


def picture_title(material: Material, number: int, run: PatternRun) -> str:
    """The name of a pattern's picture, with the face that lies up."""
    face = "" if material.two_sided else ", good side up"
    return f"{material.name}, pattern {number}: {counted(run.sheets, 'sheet')}{face}"


def buy_text(plan: CutPlan) -> str:
    """What a plan takes from stock and what is to be bought for it; empty when all is there."""
    return ", ".join(f"{line.from_stock} from stock, {line.to_buy} to buy" for line in plan.taken if line.to_buy)


def early_text(run: PatternRun) -> str:
    """How the last sheets of a pattern differ; empty when all are cut alike."""
    if run.early is None:
        return ""
    fewer = ", ".join(f"{count} {name}" for name, count in run.early.counts.items())
    if run.early_sheets == 1:
        return f"The last one stops early: {fewer}."
    return f"The last {run.early_sheets} stop early: {fewer}."

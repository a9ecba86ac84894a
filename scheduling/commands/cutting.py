"""Sheets and lengths cut by their plan: out of stock, pieces counted, off-cuts back into stock with their grain."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.buying.cut_lists import Part, best_answer, first_answer, lengths_answer, named, pieces_of, sheet_problem
from scheduling.commands.found import in_use
from scheduling.commands.kit_runs import begin_run, class_with_bill
from scheduling.commands.kit_tasks import tick_tasks
from scheduling.commands.request import Outcome, Request
from scheduling.commands.stock import WHOLE, move, on_hand
from scheduling.cutting.lines import RollPlan
from scheduling.cutting.result import CutPlan, PatternRun
from scheduling.errors import ConflictError, InvalidError, SchedulingError
from scheduling.model.materials import Bench, Form, Material
from scheduling.model.refs import ref
from scheduling.store.kit_needs import KitClass, PartLeft
from scheduling.store.kit_rows import bench_of, holding_of, materials, stock_on_hand
from scheduling.store.rows import Transaction
from scheduling.words import counted


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsCut(Outcome):
    """sheets: taken, whole ones and off-cuts; pieces: cut; kept: off-cuts put back."""

    sheets: int
    pieces: int
    kept: int


class CutSheets(Request[SheetsCut]):
    """Keep that sheets were cut as the plan of these classes has it now; the plan for what is left is made anew.

    plan: which of the plans shown, from 1; better: of those that a longer search found. pattern: only that pattern of
        it, from 1; sheets: only so many of its sheets. For rolls and reels all that is still needed is cut at once.
    """

    class_date_ids: Annotated[tuple[int, ...], Field(min_length=1, max_length=60)]
    material_id: int
    plan: Annotated[int, Field(ge=1, le=20)] = 1
    better: bool = False
    pattern: Annotated[int, Field(ge=1, le=1000)] | None = None
    sheets: Annotated[int, Field(ge=1, le=100000)] | None = None

    def run(self, tx: Transaction) -> SheetsCut:
        outcome = self.cut(tx)
        for each in dict.fromkeys(self.class_date_ids):
            tick_tasks(tx, class_with_bill(tx, each), ("cut",))
        return outcome

    def cut(self, tx: Transaction) -> SheetsCut:
        """The cutting alone; the prep tasks of the classes stay as they are."""
        in_use(tx, "material", self.material_id)
        material = materials(tx)[self.material_id]
        parts = [
            part
            for each in dict.fromkeys(self.class_date_ids)
            for part in class_with_bill(tx, each).parts
            if part.material_id == self.material_id and part.step == "cut" and part.left
        ]
        if not parts:
            raise ConflictError(f"Nothing of {material.name} is left to cut for these classes.", hint="Choose others.")
        bench = bench_of(tx)
        if material.form in (Form.REEL, Form.ROLL):
            pieces = self._lengths(tx, material, parts, bench)
            sheets, kept = 0, 0
        else:
            pieces, sheets, kept = self._sheets(tx, material, parts, bench)
        total = _count_pieces(tx, parts, material, pieces, bench.unit)
        where = ", ".join(ref("class_date", each) for each in self.class_date_ids)
        took = f"{sheets} {'sheet' if sheets == 1 else 'sheets'} cut, " if sheets else ""
        back = f"; {kept} {'off-cut' if kept == 1 else 'off-cuts'} back in stock" if kept else ""
        return SheetsCut(
            summary=f"Cut {ref('material', self.material_id)} for {where}",
            said=f"{material.name}: {took}{counted(total, 'piece')} for {where}{back}.",
            sheets=sheets,
            pieces=total,
            kept=kept,
        )

    def _sheets(
        self, tx: Transaction, material: Material, parts: list[PartLeft], bench: Bench
    ) -> tuple[Counter[str], int, int]:
        """Take sheets and off-cuts, put remainders back; pieces by the plan's names."""
        holding = holding_of(stock_on_hand(tx).get(material.id, ()), material)
        problem = sheet_problem([Part.of(part.line, part.left) for part in parts], material, holding, bench)
        plans = (best_answer if self.better else first_answer)(problem).plans
        if self.plan > len(plans):
            raise InvalidError(f"There are {len(plans)} plans.", hint="Choose one of them.", field="plan")
        cut: Counter[str] = Counter()
        taken = kept = 0
        off_cuts = {f"off-cut {place}": each for place, each in enumerate(holding.off_cuts, 1)}
        for run, number in self._chosen(plans[self.plan - 1]):
            left = number
            for layout, sheets in run.layouts:
                done = min(left, sheets)
                left -= done
                for name, count in layout.counts.items():
                    cut[name] += count * done
                for blank in layout.off_cuts if done else ():
                    grain = run.grain.value
                    if grain != "none":
                        grain = "long" if blank.along_units >= blank.across_units else "short"
                    move(tx, material.id, (blank.along_units, blank.across_units, grain), done, "off-cut")
                    kept += done
            along, across, grain, _ = off_cuts.get(run.source_id, (0, 0, "", 0))
            place = (along, across, grain) if run.from_off_cut else WHOLE
            there = on_hand(tx, material.id)[place]
            if there < number:
                raise ConflictError(
                    f"{number} sheets of {material.name} are to be cut, and {there} are on hand.",
                    hint="Receive the order first, count the stock, or cut fewer sheets.",
                    field="sheets",
                )
            move(tx, material.id, place, -number, "cut", self.class_date_ids[0])
            taken += number
        return cut, taken, kept

    def _chosen(self, plan: CutPlan) -> list[tuple[PatternRun, int]]:
        """The patterns to cut, each with so many sheets."""
        if self.pattern is None:
            return [(run, run.sheets) for run in plan.runs]
        if self.pattern > len(plan.runs):
            raise InvalidError(
                f"The plan has {counted(len(plan.runs), 'pattern')}.", hint="Choose one of them.", field="pattern"
            )
        run = plan.runs[self.pattern - 1]
        if self.sheets is not None and self.sheets > run.sheets:
            raise InvalidError(
                f"Pattern {self.pattern} has {counted(run.sheets, 'sheet')}.",
                hint="Give that many or fewer.",
                field="sheets",
            )
        return [(run, self.sheets or run.sheets)]

    def _lengths(self, tx: Transaction, material: Material, parts: list[PartLeft], bench: Bench) -> Counter[str]:
        """Cut all off the begun reels or rolls and off new ones in stock; what is left of each goes back."""
        holding = holding_of(stock_on_hand(tx).get(material.id, ()), material)
        wanted = tuple(Part.of(part.line, part.left) for part in parts)
        answer = lengths_answer(wanted, material, holding.lengths, holding.whole, bench)
        plan = answer.lengths if isinstance(answer, RollPlan) else answer
        if plan.to_buy:
            raise ConflictError(
                f"{plan.to_buy} more of {material.name} must be bought for that.",
                hint="Receive the order first, or count the stock.",
            )
        class_id = self.class_date_ids[0]
        for cut in plan.cuts:
            assert cut.reel is not None  # none is to be bought
            begun = cut.reel < len(holding.lengths)
            place = (holding.lengths[cut.reel], 0, "") if begun else WHOLE
            move(tx, material.id, place, -1, "cut", class_id)
            if cut.left_units:
                move(tx, material.id, (cut.left_units, 0, ""), 1, "off-cut", class_id)
        return Counter({piece.id: piece.count for piece in pieces_of(wanted, material, bench.unit)})


def can_be_cut(tx: Transaction, kit_class: KitClass, material: Material) -> bool:
    """Whether the stock counted holds all that a class still cuts of a material by its first plan."""
    parts = [p for p in kit_class.parts if p.material_id == material.id and p.step == "cut" and p.left]
    wanted = tuple(Part.of(part.line, part.left) for part in parts)
    holding, bench = holding_of(stock_on_hand(tx).get(material.id, ()), material), bench_of(tx)
    try:
        if material.form in (Form.REEL, Form.ROLL):
            answer = lengths_answer(wanted, material, holding.lengths, holding.whole, bench)
            return not (answer.lengths if isinstance(answer, RollPlan) else answer).to_buy
        plan = first_answer(sheet_problem(wanted, material, holding, bench)).plans[0]
    except SchedulingError:  # a piece that no stock fits
        return False
    return sum(run.sheets for run in plan.runs if not run.from_off_cut) <= holding.whole


def _count_pieces(tx: Transaction, parts: list[PartLeft], material: Material, cut: Counter[str], unit: str) -> int:
    """Tick pieces off for the classes in their order; what is cut beyond the need is not counted."""
    total = 0
    names = [name for _, name in named([Part.of(part.line, part.left) for part in parts], material, unit)]
    for part, name in zip(parts, names, strict=True):
        done = min(part.left, cut[name])
        cut[name] -= done
        total += done
        run_id = begin_run(tx, class_with_bill(tx, part.class_date_id))
        row = tx.first(
            "SELECT * FROM kit_step WHERE kit_run_id = ? AND step = 'cut' AND part = ?", (run_id, part.line.part)
        )
        if row is not None and done:
            tx.update("kit_step", row["id"], {"done": row["done"] + done})
    return total

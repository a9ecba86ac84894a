"""Cut plans of one class or several together: sheets with their patterns, rolls and reels with their lengths."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from scheduling.buying.cut_lists import Part, best_answer, first_answer, lengths_answer, named, sheet_problem
from scheduling.buying.cut_why import why_lengths, why_sheets
from scheduling.cutting.lines import ReelPlan, RollPlan
from scheduling.cutting.problem import CutProblem
from scheduling.cutting.result import CutAnswer, CutPlan
from scheduling.errors import ConflictError, NotFoundError, SchedulingError
from scheduling.model.materials import Bench, Form, Holding, Material
from scheduling.model.refs import ref
from scheduling.store.kit_needs import PartLeft, kit_classes
from scheduling.store.kit_rows import bench_of, holding_of, materials, stock_on_hand
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class MaterialCut:
    """One material to cut for some classes.

    pieces: (name, how many are left to cut). problem, answer: of sheets, with the plans worth choosing between, best
    first, and the bound. lengths: of a reel or roll; rows of a roll are sheets of the answer. why: the sum.
    trouble: why it cannot be cut, and the mend; then there is neither.
    """

    material: Material
    pieces: tuple[tuple[str, int], ...]
    problem: CutProblem | None
    answer: CutAnswer | None
    lengths: ReelPlan | None
    why: tuple[str, ...]
    trouble: str = ""

    @property
    def ref(self) -> str:
        return ref("material", self.material.id)

    @property
    def plans(self) -> tuple[CutPlan, ...]:
        return () if self.answer is None else self.answer.plans


@dataclass(frozen=True, slots=True)
class CutPlans:
    """What is left to cut for these classes from one plan, by material.

    material_id: that one alone. better: search on by integer programs, which may take some seconds.
    Raises NotFoundError, or ConflictError where a class has no bill.
    """

    class_date_ids: tuple[int, ...]
    material_id: int | None = None
    better: bool = False

    def fetch(self, reader: Reader) -> tuple[MaterialCut, ...]:
        by_material: dict[int, list[PartLeft]] = defaultdict(list)
        for class_id in dict.fromkeys(self.class_date_ids):
            found = kit_classes(reader, only=class_id).get(class_id)
            if found is None:
                raise refusal_without_bill(reader, class_id)
            for part in found.parts:
                if part.step == "cut" and self.material_id in (None, part.material_id):
                    by_material[part.material_id].append(part)
        known, stock, bench = materials(reader), stock_on_hand(reader), bench_of(reader)
        return tuple(
            _cut(
                known[number], by_material[number], holding_of(stock.get(number, ()), known[number]), bench, self.better
            )
            for number in sorted(by_material)
        )


@dataclass(frozen=True, slots=True)
class CutsOfTask:
    """The class date whose sheets are laid out when a task is ticked off; None for other work than cutting."""

    task_id: int

    def fetch(self, reader: Reader) -> int | None:
        found = reader.value(
            """SELECT task.class_date_id FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
               JOIN class_date ON class_date.id = task.class_date_id
               WHERE task.id = ? AND recipe_line.key = 'cut' AND class_date.taught_at IS NULL
                 AND EXISTS (SELECT 1 FROM bill_line WHERE project_version_id = class_date.project_version_id)""",
            (self.task_id,),
        )
        return None if found is None else int(found)


def _cut(material: Material, parts: list[PartLeft], holding: Holding, bench: Bench, better: bool) -> MaterialCut:
    wanted = tuple(Part.of(part.line, part.left) for part in parts if part.left)
    names: dict[str, int] = {}
    for part, name in named(wanted, material, bench.unit):
        names[name] = names.get(name, 0) + part.count
    pieces = tuple(names.items())
    if not wanted:
        return MaterialCut(material, (), None, None, None, ("All of it is cut.",))
    try:
        if material.form in (Form.REEL, Form.ROLL):
            answer = lengths_answer(wanted, material, holding.lengths, holding.whole, bench)
            plan = answer.lengths if isinstance(answer, RollPlan) else answer
            return MaterialCut(material, pieces, None, None, plan, why_lengths(answer, bench.unit))
        problem = sheet_problem(wanted, material, holding, bench)
        found = best_answer(problem) if better else first_answer(problem)
        return MaterialCut(material, pieces, problem, found, None, why_sheets(problem, found))
    except SchedulingError as error:  # what cannot be cut must not hide the plans of the other materials
        return MaterialCut(material, pieces, None, None, None, (), trouble=str(error))


def refusal_without_bill(reader: Reader, class_id: int) -> SchedulingError:
    """Why a class has no kits to cut or make."""
    name = ref("class_date", class_id)
    if reader.row("class_date", class_id) is None:
        return NotFoundError(f"There is no class date {name}.", hint="Look it up in the classes.", field="class")
    return ConflictError(
        f"{name} has no bill of materials, or is cancelled.",
        hint="Set the bill of its project, and let the class take the new version.",
        field="class",
    )

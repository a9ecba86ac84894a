"""Which classes are worth cutting together: of one project, with the sheets and set-ups that one plan saves."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from scheduling.buying.cut_lists import Part, first_answer, sheet_problem
from scheduling.errors import SchedulingError
from scheduling.model.day_calendar import days_after
from scheduling.model.materials import Bench, Form, Holding, Material
from scheduling.model.refs import ref
from scheduling.store.kit_needs import KitClass, PartLeft, kit_classes
from scheduling.store.kit_rows import bench_of, materials
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class Saving:
    """One material: whole sheets and set-ups cut class by class, and from one plan."""

    material: Material
    sheets_apart: int
    sheets: int
    set_ups_apart: int
    set_ups: int


@dataclass(frozen=True, slots=True)
class TogetherRow:
    """Classes of one project, by their day; kits of all of them; savings by material."""

    project_id: int
    title: str
    classes: tuple[int, ...]
    kits: int
    savings: tuple[Saving, ...]

    @property
    def class_refs(self) -> tuple[str, ...]:
        return tuple(ref("class_date", number) for number in self.classes)

    @property
    def sheets_saved(self) -> int:
        return sum(one.sheets_apart - one.sheets for one in self.savings)


@dataclass(frozen=True, slots=True)
class CutTogether:
    """Projects with several classes that start within so many weeks and still have sheets to cut."""

    weeks: int = 12

    def fetch(self, reader: Reader) -> tuple[TogetherRow, ...]:
        of_project: dict[int, list[KitClass]] = defaultdict(list)
        for each in kit_classes(reader, through=days_after(reader.today(), 7 * self.weeks)).values():
            if any(part.step == "cut" and part.left for part in each.parts):
                of_project[each.project_id].append(each)
        known, bench = materials(reader), bench_of(reader)
        return tuple(
            TogetherRow(
                project_id,
                classes[0].title,
                tuple(each.id for each in classes),
                sum(each.heads.kits for each in classes),
                _savings(classes, known, bench),
            )
            for project_id, classes in sorted(of_project.items())
            if len(classes) > 1
        )


def _savings(classes: list[KitClass], known: dict[int, Material], bench: Bench) -> tuple[Saving, ...]:
    by_material: dict[int, list[list[PartLeft]]] = defaultdict(list)
    for each in classes:
        own: dict[int, list[PartLeft]] = defaultdict(list)
        for part in each.parts:
            if part.step == "cut" and part.left and known[part.material_id].form is Form.SHEET:
                own[part.material_id].append(part)
        for number, parts in own.items():
            by_material[number].append(parts)
    found = []
    for number, lists in sorted(by_material.items()):
        try:
            apart = [_work(parts, known[number], bench) for parts in lists]
            sheets, set_ups = _work([part for parts in lists for part in parts], known[number], bench)
        except SchedulingError:  # the cut plan of that class says what does not fit
            continue
        found.append(
            Saving(known[number], sum(each[0] for each in apart), sheets, sum(each[1] for each in apart), set_ups)
        )
    return tuple(found)


def _work(parts: list[PartLeft], material: Material, bench: Bench) -> tuple[int, int]:
    """Whole sheets and set-ups of fresh stock."""
    plan = first_answer(
        sheet_problem([Part.of(part.line, part.left) for part in parts], material, Holding(), bench)
    ).best
    return plan.sheets, plan.set_ups.patterns

"""What the classes to come still need of each material: their bills times their kits, less what is made already."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from scheduling.model.materials import BillLine, Heads, LinePer, counts_of
from scheduling.store.class_facts import ClassFacts, class_facts
from scheduling.store.kit_rows import bills, heads_of
from scheduling.store.rows import Reader

STEPS = ("pre-work", "sort", "bag", "label", "check", "seal", "post")
"""After cutting, in the order of the work."""


@dataclass(frozen=True, slots=True)
class PartLeft:
    """A line of the bill for one class: pieces or things of one material, wanted in all and left to make.

    step: the kit step that uses it, "cut", "bag" or "post".
    """

    class_date_id: int
    material_id: int
    line: BillLine
    step: str
    wanted: int
    left: int


@dataclass(frozen=True, slots=True)
class KitClass:
    """A class date with a bill, its heads, and what is left to make for it."""

    id: int
    title: str
    project_id: int
    version_id: int
    facts: ClassFacts
    heads: Heads
    parts: tuple[PartLeft, ...]

    @property
    def day(self) -> dt.date:
        return self.facts.dates.starts.local.date()

    def steps_wanted(self) -> dict[tuple[str, str], int]:
        """By (step, part) in the order of the work, pieces to cut of each part, and kits, or parcels, of each step."""
        wanted: dict[tuple[str, str], int] = {}
        for part in self.parts:
            if part.step == "cut":
                wanted["cut", part.line.part] = wanted.get(("cut", part.line.part), 0) + part.wanted
        wanted |= {(step, ""): self.heads.kits for step in STEPS if step != "post"}
        return wanted | ({("post", ""): self.heads.mailed} if self.heads.mailed else {})


def kit_classes(reader: Reader, *, through: dt.date | None = None, only: int | None = None) -> dict[int, KitClass]:
    """Class dates to come that have a bill, by number in the order of their starts.

    through: none that start after that day. only: that class date alone, though it be past.
    """
    rows = reader.rows(
        """SELECT class_date.id, class_date.title, class_date.project_version_id, project_version.project_id,
             (SELECT min(starts) FROM session WHERE class_date_id = class_date.id AND dropped = 0) AS starts
           FROM class_date JOIN project_version ON project_version.id = class_date.project_version_id
           WHERE class_date.state <> 'cancelled'
             AND EXISTS (SELECT 1 FROM bill_line WHERE bill_line.project_version_id = project_version.id)
             AND CASE WHEN ?1 IS NULL
                 THEN class_date.taught_at IS NULL AND starts >= ?2 AND (?3 IS NULL OR starts < ?3 || 'U')
                 ELSE class_date.id = ?1 END
           ORDER BY starts, class_date.id""",
        (only, reader.today().isoformat(), None if through is None else through.isoformat()),
    )
    if not rows:
        return {}
    facts = class_facts(reader, [row["id"] for row in rows])
    lines = bills(reader)
    made = _made(reader)
    found: dict[int, KitClass] = {}
    for row in rows:
        heads = heads_of(reader, facts[row["id"]])
        found[row["id"]] = KitClass(
            id=row["id"],
            title=row["title"],
            project_id=row["project_id"],
            version_id=row["project_version_id"],
            facts=facts[row["id"]],
            heads=heads,
            parts=_parts(row["id"], lines[row["project_version_id"]], heads, made[row["id"]]),
        )
    return found


def step_of(line: BillLine) -> str:
    """The kit step that uses up what a line asks for."""
    if line.is_cut:
        return "cut"
    return "post" if line.per is LinePer.MAILED_HEAD else "bag"


def _parts(class_date_id: int, lines: tuple[BillLine, ...], heads: Heads, made: dict[str, int]) -> tuple[PartLeft, ...]:
    found = []
    for line in lines:
        step = step_of(line)
        done = made.get(f"cut {line.part}", 0) if step == "cut" else line.quantity * made.get(step, 0)
        for material_id, wanted in counts_of(line, heads):
            taken = min(done, wanted)
            done -= taken
            found.append(PartLeft(class_date_id, material_id, line, step, wanted, wanted - taken))
    return tuple(found)


def _made(reader: Reader) -> dict[int, dict[str, int]]:
    """By class: pieces cut by part ("cut Folio"), kits bagged ("bag"), kits posted ("post")."""
    made: dict[int, dict[str, int]] = defaultdict(dict)
    for row in reader.rows(
        """SELECT kit_run.class_date_id, kit_step.step, kit_step.part, kit_step.done
           FROM kit_step JOIN kit_run ON kit_run.id = kit_step.kit_run_id
           WHERE kit_step.step IN ('cut', 'bag', 'post')"""
    ):
        made[row["class_date_id"]][f"{row['step']} {row['part']}".strip()] = row["done"]
    return made

"""Prep tasks and kit steps are one truth: a task of kit work ticked off ticks its steps, and steps tick their task."""

from __future__ import annotations

from collections.abc import Collection

from scheduling.commands.cutting import CutSheets, can_be_cut
from scheduling.commands.found import number
from scheduling.commands.kit_runs import begin_run, not_done_before, use_things
from scheduling.commands.kit_tasks import steps_of_task
from scheduling.errors import ConflictError
from scheduling.model.refs import ref
from scheduling.store.database import Row
from scheduling.store.kit_needs import STEPS, KitClass, kit_classes
from scheduling.store.kit_rows import materials
from scheduling.store.rows import Transaction


def tick_kits(tx: Transaction, task: Row, *, done: bool) -> tuple[str, ...]:
    """Bring the kit steps of a task to its tick, with what they use out of stock or back in it; gives warnings.

    A task of other work, of a class that is taught or that has no bill, stands for itself. Parcels are kept one by one
    with their proof, never by this tick. Raises ConflictError where a tick is taken away from work that is not undone
    by it: cut pieces, posted parcels.
    """
    steps = steps_of_task(tx, task)
    class_id = number(task, "class_date_id")
    if not steps or tx.value("SELECT taught_at FROM class_date WHERE id = ?", (class_id,)) is not None:
        return ()
    kit_class = kit_classes(tx, only=class_id).get(class_id)
    if kit_class is None:
        return ()
    return _all_done(tx, kit_class, steps) if done else _all_open(tx, kit_class, steps)


def _all_done(tx: Transaction, kit_class: KitClass, steps: Collection[str]) -> tuple[str, ...]:
    warnings: list[str] = []
    run_id = begin_run(tx, kit_class)
    if "cut" in steps:
        warnings += _cut_all(tx, kit_class)
    elif "post" not in steps:
        first = next(step for step in STEPS if step in steps)
        warnings += not_done_before(tx, kit_class, run_id, first, kit_class.heads.kits)
    for row in _rows(tx, run_id, steps):
        left = number(row, "wanted") - number(row, "done")
        if row["step"] == "post" and left > 0:
            warnings.append(f"{left} parcels are not kept as posted: their proofs are kept on the page of the kits.")
        elif row["step"] != "post" and (row["step"], row["part"]) in kit_class.steps_wanted() and left > 0:
            if row["step"] == "bag":
                warnings += use_things(tx, kit_class, "bag", left)
            tx.update("kit_step", number(row, "id"), {"done": row["wanted"]})
    return tuple(warnings)


def _all_open(tx: Transaction, kit_class: KitClass, steps: Collection[str]) -> tuple[str, ...]:
    warnings: tuple[str, ...] = ()
    run_id = tx.value("SELECT id FROM kit_run WHERE class_date_id = ?", (kit_class.id,))
    for row in _rows(tx, run_id or 0, steps):
        if not row["done"]:
            continue
        if row["step"] in ("cut", "post"):
            what = "pieces are counted as cut" if row["step"] == "cut" else "parcels are kept as posted"
            raise ConflictError(
                f"The {what} for {ref('class_date', kit_class.id)}.",
                hint="Undo takes the last action back; the page of the kits has the counts.",
            )
        if row["step"] == "bag":
            warnings = use_things(tx, kit_class, "bag", -number(row, "done"))
        tx.update("kit_step", number(row, "id"), {"done": 0})
    return warnings


def _cut_all(tx: Transaction, kit_class: KitClass) -> list[str]:
    """Cut by the plan what is left of each material; where the stock counted is too low, it is left as counted."""
    known = materials(tx)
    short: list[str] = []
    left = {part.material_id for part in kit_class.parts if part.step == "cut" and part.left}
    for material_id in sorted(left):
        if can_be_cut(tx, kit_class, known[material_id]):
            CutSheets(class_date_ids=(kit_class.id,), material_id=material_id).cut(tx)
        else:
            short.append(known[material_id].name)
    if not short:
        return []
    says = "Less is counted as on hand than the pieces take; they count as cut, and the stock stays as it was."
    return [f"{says} Count on page 8: {', '.join(short)}."]


def _rows(tx: Transaction, run_id: int, steps: Collection[str]) -> list[Row]:
    rows = tx.rows("SELECT * FROM kit_step WHERE kit_run_id = ? ORDER BY position, id", (run_id,))
    return [dict(row) for row in rows if row["step"] in steps]

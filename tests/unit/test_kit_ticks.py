"""Prep tasks and kit steps are one truth, whichever is ticked (demo studio)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.cutting import CutSheets
from scheduling.commands.kit_runs import PostKit, TickKits
from scheduling.commands.prep import TickTask
from scheduling.commands.stock import CountStock
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError
from scheduling.queries.cut_plans import CutPlans
from scheduling.queries.kit_runs import KitRun
from scheduling.queries.stock import Stock
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio

SKETCHBOOK, ALBUM = 5, 7


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


class Task:
    """(number, state) of the task of a recipe line."""

    def __init__(self, class_id: int, key: str) -> None:
        self.class_id, self.key = class_id, key

    def fetch(self, reader: Reader) -> tuple[int, str]:
        row = reader.first(
            """SELECT task.id, task.state FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
               WHERE class_date_id = ? AND key = ?""",
            (self.class_id, self.key),
        )
        assert row is not None
        return int(row["id"]), str(row["state"])


def state(studio: Studio, class_id: int, key: str) -> str:
    return studio.ask(Task(class_id, key))[1]


def tick(studio: Studio, class_id: int, key: str, *, done: bool = True) -> tuple[str, ...]:
    return studio.do(TickTask(task_id=studio.ask(Task(class_id, key))[0], done=done)).warnings


def left(studio: Studio, class_id: int, *steps: str) -> int:
    return sum(row.left for row in studio.ask(KitRun(class_id)).steps if row.step in steps)


def on_hand(studio: Studio, *numbers: int) -> list[int]:
    return [row.holding.whole for row in studio.ask(Stock()) if row.material.id in numbers]


def stocked(studio: Studio, class_id: int) -> list[int]:
    """Enough of all that the class cuts; the materials."""
    numbers = [one.material.id for one in studio.ask(CutPlans((class_id,)))]
    for number in numbers:
        studio.do(CountStock(material_id=number, whole=500, note="for the test"))
    return numbers


def test_checking_the_last_kit_ticks_the_task_and_a_lower_count_opens_it(studio: Studio) -> None:
    kits = studio.ask(KitRun(ALBUM)).kits
    studio.do(TickKits(class_date_id=ALBUM, step="check", done=kits))
    assert state(studio, ALBUM, "check") == "in-process", "they are not sealed"
    studio.do(TickKits(class_date_id=ALBUM, step="seal", done=kits))
    assert state(studio, ALBUM, "check") == "completed"
    studio.do(TickKits(class_date_id=ALBUM, step="seal", done=kits - 1))
    assert state(studio, ALBUM, "check") == "in-process"
    studio.do(TickKits(class_date_id=ALBUM, step="seal", done=0))
    studio.do(TickKits(class_date_id=ALBUM, step="check", done=0))
    assert state(studio, ALBUM, "check") != "completed"


def test_ticking_the_task_bags_all_kits_and_takes_their_things_and_unticking_brings_them_back(studio: Studio) -> None:
    studio.do(CountStock(material_id=20, whole=100, note="for the test"))
    kits = studio.ask(KitRun(ALBUM)).kits
    tick(studio, ALBUM, "bag")
    assert left(studio, ALBUM, "bag", "label") == 0
    assert on_hand(studio, 20) == [100 - kits]
    tick(studio, ALBUM, "bag", done=False)
    assert left(studio, ALBUM, "bag", "label") == 2 * kits
    assert on_hand(studio, 20) == [100]
    assert state(studio, ALBUM, "bag") == "needs-action"


def test_ticking_cut_cuts_by_the_plan_out_of_stock_and_one_undo_takes_it_all_back(studio: Studio) -> None:
    numbers = stocked(studio, SKETCHBOOK)
    before = on_hand(studio, *numbers)
    done = studio.do(TickTask(task_id=studio.ask(Task(SKETCHBOOK, "cut"))[0]))
    assert done.warnings == ()
    assert (left(studio, SKETCHBOOK, "cut"), state(studio, SKETCHBOOK, "cut")) == (0, "completed")
    assert all(now < then for now, then in zip(on_hand(studio, *numbers), before, strict=True))
    studio.do(Undo(history_id=done.history_id))
    assert (on_hand(studio, *numbers), state(studio, SKETCHBOOK, "cut")) == (before, "needs-action")


def test_the_last_sheet_cut_ticks_the_task(studio: Studio) -> None:
    first, *others = stocked(studio, SKETCHBOOK)
    studio.do(CutSheets(class_date_ids=(SKETCHBOOK,), material_id=first))
    assert state(studio, SKETCHBOOK, "cut") == "in-process"
    for number in others:
        studio.do(CutSheets(class_date_ids=(SKETCHBOOK,), material_id=number))
    assert state(studio, SKETCHBOOK, "cut") == "completed"


def test_cutting_beyond_the_stock_counted_is_believed_and_said(studio: Studio) -> None:
    numbers = stocked(studio, SKETCHBOOK)
    studio.do(CountStock(material_id=numbers[0], whole=0, off_cuts=(), note="for the test"))
    (warning,) = tick(studio, SKETCHBOOK, "cut")
    assert warning.startswith("Less is counted as on hand than the pieces take")
    assert (left(studio, SKETCHBOOK, "cut"), on_hand(studio, numbers[0])) == (0, [0])


def test_a_tick_is_not_taken_from_pieces_that_are_cut(studio: Studio) -> None:
    stocked(studio, SKETCHBOOK)
    tick(studio, SKETCHBOOK, "cut")
    with pytest.raises(ConflictError, match="counted as cut"):
        tick(studio, SKETCHBOOK, "cut", done=False)


def test_the_last_parcel_ticks_the_task_and_a_tick_never_makes_up_proofs(studio: Studio) -> None:
    assert "not kept as posted" in tick(studio, ALBUM, "post")[0]
    parcels = studio.ask(KitRun(ALBUM)).parcels
    assert not any(parcel.posted_on for parcel in parcels)
    for parcel in parcels:
        studio.do(PostKit(seat_id=parcel.seat_id))
        last = parcel is parcels[-1]
        assert state(studio, ALBUM, "post") == ("completed" if last else "in-process")


def test_a_later_step_ticked_before_cutting_is_noted_and_kept(studio: Studio) -> None:
    stocked(studio, SKETCHBOOK)
    kits = studio.ask(KitRun(SKETCHBOOK)).kits
    kept = studio.do(TickKits(class_date_id=SKETCHBOOK, step="label", done=kits))
    assert any(warning.startswith(f"cut is not done for {kits} kits yet nor ") for warning in kept.warnings)
    assert left(studio, SKETCHBOOK, "label") == 0
    fewer = studio.do(TickKits(class_date_id=SKETCHBOOK, step="label", done=kits - 1))
    assert fewer.warnings == (), "a lower count takes back, there is nothing to note"


def test_a_step_is_noted_only_as_long_as_one_before_it_is_open(studio: Studio) -> None:
    stocked(studio, SKETCHBOOK)
    assert any("cut is not done" in warning for warning in tick(studio, SKETCHBOOK, "bag"))
    tick(studio, SKETCHBOOK, "cut")
    tick(studio, SKETCHBOOK, "pre_work")
    assert tick(studio, SKETCHBOOK, "check") == ()

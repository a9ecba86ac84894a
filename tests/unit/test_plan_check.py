"""The judge of plans finds what is wrong with a plan that was tampered with."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from scheduling.planner import plan
from scheduling.planner.plan import Plan, Stretch, TaskState
from scheduling.planner.problem import After, Busy, Gate, Tool, ToolUse
from tests.support.plan_check import faults
from tests.support.planning import ME, at, day, problem, task
from tests.support.studios import NOW

ASKED = problem(
    task("cut", 60, day(2, 16), gates=(Gate(at(2, 10, 0), label="paper"),), uses=(ToolUse("press"),)),
    task("bag", 60, day(2, 18), after=(After("cut"),), one_sitting=True),
    hands=(replace(ME, busy=(Busy(at(2, 17, 9), at(2, 17, 12), "dentist"),), blocked=frozenset({day(2, 15)})),),
    tools=(Tool("press", "Press", hours=(((dt.time(9), dt.time(12)),),) * 7),),
)


def _moved(found: Plan, id_: str, *starts: dt.datetime, minutes: int = 60) -> Plan:
    """The plan with a task elsewhere, consistent in itself."""
    length = dt.timedelta(minutes=minutes // len(starts))
    own = tuple(Stretch(start.astimezone(dt.UTC), start.astimezone(dt.UTC) + length, "me", (id_,)) for start in starts)
    others = [stretch for stretch in found.stretches if stretch.tasks != (id_,)]
    moved = found.tasks[id_]._replace(stretches=own, start=own[0].start, finish=own[-1].until)
    listed = sorted([*others, *own], key=lambda stretch: (stretch.start, stretch.hand, stretch.tasks))
    return replace(found, tasks={**found.tasks, id_: moved}, stretches=tuple(listed))


@pytest.mark.parametrize(
    ("id_", "starts", "fault"),
    [
        ("cut", (at(2, 9, 9),), "starts before its gate paper"),
        ("cut", (at(2, 16, 19),), "Press is used outside its hours"),
        ("cut", (at(2, 18, 11),), "starts before cut and the wait after it are over"),
        ("bag", (at(2, 17, 11),), "lies in dentist"),
        ("bag", (at(2, 20, 15),), "outside the hours"),
        ("bag", (at(2, 15, 9),), "on a blocked day"),
        ("bag", (at(2, 18, 9), at(2, 18, 11)), "one sitting"),
        ("bag", (at(2, 16, 9),), "overlap"),
        ("bag", (at(1, 30, 9),), "in the past"),
        ("bag", (at(2, 27, 19),), "is planned: finish"),
    ],
)
def test_a_task_that_lies_wrong_is_found(id_: str, starts: tuple[dt.datetime, ...], fault: str) -> None:
    good = plan(ASKED, NOW)
    assert faults(ASKED, NOW, good) == []
    assert any(fault in found for found in faults(ASKED, NOW, _moved(good, id_, *starts)))


def test_missing_minutes_and_wrong_states_are_found() -> None:
    good = plan(ASKED, NOW)
    short = _moved(good, "bag", at(2, 18, 9), minutes=30)
    assert any("30 minutes laid of 60" in found for found in faults(ASKED, NOW, short))
    late = replace(good, tasks={**good.tasks, "bag": good.tasks["bag"]._replace(state=TaskState.LATE)})
    assert any("bag is late" in found for found in faults(ASKED, NOW, late))
    gone = replace(good, tasks={"cut": good.tasks["cut"]})
    assert "bag is missing." in faults(ASKED, NOW, gone)


def test_more_than_the_limit_is_found() -> None:
    asked = problem(task("cut", 180, day(2, 18)), task("bag", 60, day(2, 18)))
    good = plan(asked, NOW)
    full = next(id_ for id_ in ("cut", "bag") if good.tasks[id_].stretches[0].start < at(2, 18, 0))
    moved = _moved(good, "bag", at(2, 18, 19)) if full == "bag" else _moved(good, "cut", at(2, 18, 9), minutes=180)
    assert any("of at most 180" in found for found in faults(asked, NOW, moved))

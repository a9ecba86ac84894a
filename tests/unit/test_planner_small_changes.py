"""A small change moves few tasks: on the full demo, and over seeded studios from easy to overloaded."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from scheduling import commands
from scheduling.commands.decisions import Decide
from scheduling.planner import plan
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.queries.supposing import Supposed, supposed
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio
from tests.support.plan_check import faults
from tests.support.studios import NOW, Shape, studio


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def effect(demo: Studio, *parts: object) -> Supposed:
    before = demo.ask(ReadPlanInputs())
    _, after = demo.suppose(parts, ReadPlanInputs())  # type: ignore[arg-type]  # requests of several kinds
    return supposed(before, after)


@pytest.mark.parametrize(
    ("class_id", "heads", "most"),
    [(9, 3, 26), (9, 1, 22), (10, 1, 14), (12, 1, 22), (8, 1, 40), (6, 1, 20), (9, -1, 0)],
)
def test_heads_more_or_less_in_the_full_demo_move_few_tasks_and_make_nothing_late(
    demo: Studio, class_id: int, heads: int, most: int
) -> None:
    """Every day up to 26 March is full to the minute, so that of the 206 tasks some have to make way for what takes
    longer; what a head more uses up is lacked by other classes, whose work then waits for an order; a head less takes
    time off where the work lies."""
    found = effect(demo, commands.SupposeHeads(class_date_id=class_id, heads=heads))
    assert len(found.moved) <= most
    assert found.now_late == ()


@pytest.mark.parametrize(("class_id", "others"), [(5, set()), (6, set()), (10, set()), (8, {9, 12})])
def test_a_class_called_off_moves_nothing_else(demo: Studio, class_id: int, others: set[int]) -> None:
    """What it leaves free is free; to lie nearer their aims, the others would all have to move. C08 leaves mulberry
    paper and lights to C09 and C12, so that these wait for other orders."""
    found = effect(demo, Decide(class_date_id=class_id, choice="call off"))
    assert {move.class_date_id for move in found.moved} <= {class_id, *others}
    assert len(found.moved) <= 4 or not others
    assert found.now_late == ()


def test_a_blocked_day_moves_the_three_tasks_that_lay_on_it_and_what_makes_way_for_them(demo: Studio) -> None:
    """Tue 9 March holds 180 minutes of prep, a hundred of which a class of 27 March waits for step by step."""
    found = effect(demo, commands.CloseDays(first=dt.date(2027, 3, 9)))
    assert len(found.moved) <= 25
    assert found.now_late == ()


def test_two_hours_more_on_one_day_mend_c05_and_leave_the_rest_where_it_lay(demo: Studio) -> None:
    demo.do(commands.SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
    found = effect(demo, commands.SetDay(day=dt.date(2027, 2, 10), limit_minutes=180))
    assert found.no_longer_late == ("C05 Coptic sketchbook",)
    assert found.late == ()
    assert len(found.moved) <= 35


@pytest.mark.parametrize(("load", "share"), [(0.6, 0.1), (0.9, 0.1), (1.0, 0.4)])
def test_half_an_hour_more_in_one_task_moves_few_others_but_where_all_is_full(load: float, share: float) -> None:
    """Eight studios of eight classes with twelve tasks each; counted over all of them. Where every minute is taken, a
    plan laid afresh may be less late, and being in time goes before staying."""
    moved = tasks = 0
    for seed in range(8):
        problem = studio(seed, Shape(classes=8, tasks=12, load=load))
        first = plan(problem, NOW)
        chosen = random.Random(seed).choice(problem.tasks).id
        other = replace(
            problem,
            tasks=tuple(
                replace(task, minutes=task.minutes + 30) if task.id == chosen else task for task in problem.tasks
            ),
        )
        second = plan(other, NOW, first.to_keep())
        assert faults(other, NOW, second) == []
        moved += len(second.moves)
        tasks += len(problem.tasks)
    assert moved <= tasks * share, (moved, tasks)

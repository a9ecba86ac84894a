"""Large problems: planned, judged, and not searched without end."""

from __future__ import annotations

import pytest

from scheduling.planner import plan
from scheduling.planner.plan import TaskState
from tests.support.plan_check import faults
from tests.support.studios import NOW, Shape, studio


@pytest.mark.all
@pytest.mark.parametrize("load", [0.8, 1.1])
def test_ten_thousand_tasks_get_a_good_plan(load: float) -> None:
    problem = studio(3, Shape(400, 25, load, helper=True, days_a_class=3.0))
    found = plan(problem, NOW)
    assert len(problem.tasks) == 10_000
    assert faults(problem, NOW, found) == []
    assert TaskState.NO_PLAN not in {task.state for task in found.tasks.values()}

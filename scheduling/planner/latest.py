"""Latest starts by the backward pass alone: what stock, orders and other work allow is left out (decisions 21)."""

from __future__ import annotations

import datetime as dt

from scheduling.planner.build import prepared
from scheduling.planner.moments import minutes_of, moment_of
from scheduling.planner.problem import NOW_STEP, Problem
from scheduling.planner.reading import NEVER, read

_BEFORE, _AFTER = dt.timedelta(days=60), dt.timedelta(days=400)


def latest_starts(problem: Problem, now: dt.datetime) -> dict[str, dt.datetime]:
    """For each task that is laid out, the latest start that makes nothing late; those without an end have none.

    now: aware. Raises InvalidError: the problem makes no sense.
    """
    work = read(problem)
    bench = prepared(work, minutes_of(now) // NOW_STEP * NOW_STEP, _BEFORE, _AFTER)
    found: dict[str, dt.datetime] = {}
    for item, start in zip(work.items, bench.windows.last_start, strict=True):
        if -NEVER < start < NEVER:
            found.update(dict.fromkeys((task.id for task in item.tasks), moment_of(start)))
    return found

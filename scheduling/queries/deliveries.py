"""Orders on their way as moments before which the work that waits for their goods cannot start (decisions 21)."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import replace

from scheduling.model.day_calendar import start_of_day
from scheduling.model.refs import ref
from scheduling.planner.problem import Gate, GateKind, Task
from scheduling.queries.prep_problem import PrepFacts
from scheduling.store.rows import Reader

RECEIVE = "receive"
_USED_BY = {"cut": ("cut", "post_abroad"), "bag": ("sort", "bag"), "post": ("post",)}
"""The recipe's lines that use what a kit step uses. Cutting waits for taking in, and so that waits only for the first
order with something to cut: a later one, or one with things for bagging, does not hold up cutting."""


def with_deliveries(reader: Reader, facts: PrepFacts) -> PrepFacts:
    """The problem with a gate on every task that waits for goods of an order on its way: the day they come."""
    if not reader.value("SELECT 1 FROM supply_order WHERE state IN ('ordered', 'part received') LIMIT 1"):
        return facts
    from scheduling.queries.needs import serving_orders  # cut plans are not needed where nothing is on its way

    zone = facts.problem.zone
    gates: dict[tuple[int, str], list[Gate]] = defaultdict(list)
    for one in serving_orders(reader):
        gate = Gate(
            start_of_day(one.ready_on, zone),
            GateKind.DELIVERY,
            ", ".join(ref("supply_order", order_id) for order_id in one.orders),
            ref=ref("supply_order", one.orders[-1]),
        )
        for line in _USED_BY[one.step]:
            gates[one.class_id, line].append(gate)
        if one.step == "cut":
            gates[one.class_id, RECEIVE].append(gate)
    tasks = []
    for task in facts.problem.tasks:
        known = facts.tasks[task.id]
        key = (known.row["class_date_id"], "" if known.line is None else known.line.key)
        tasks.append(_gated(task, gates[key], first=key[1] == RECEIVE) if key in gates else task)
    return replace(facts, problem=replace(facts.problem, tasks=tuple(tasks)))


def _gated(task: Task, gates: list[Gate], *, first: bool) -> Task:
    """The task behind its latest delivery, or for taking in, behind the first."""
    chosen = (min if first else max)(gates, key=_when)
    return replace(task, gates=(*task.gates, chosen))


def _when(gate: Gate) -> tuple[dt.datetime, str]:
    return gate.at, gate.ref

"""What the studio feeds the planner, on several days of the demo: every plan passes the judge, and orders agree."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.clock import day_in
from scheduling.commands.orders import PlaceOrder
from scheduling.commands.settings import MoveClock
from scheduling.planner.build import plan
from scheduling.planner.explain import Explainer
from scheduling.planner.problem import GateKind
from scheduling.queries.needs import Needs
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio
from tests.support.plan_check import faults
from tests.support.proof_check import faults_of


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


@pytest.mark.parametrize(
    "day", [dt.date(2027, 2, 1), dt.date(2027, 2, 5), dt.date(2027, 2, 28), dt.date(2027, 3, 14), dt.date(2027, 4, 5)]
)
def test_plans_and_proofs_of_any_day_pass_the_judge(studio: Studio, day: dt.date) -> None:
    """With all that was due left undone; on 14 March clocks change, on 5 April every class is over."""
    if day > dt.date(2027, 2, 1):
        studio.do(MoveClock(moment=dt.datetime.combine(day, dt.time(12), dt.UTC)))
    inputs = studio.ask(ReadPlanInputs()).served()
    problem = inputs.facts.problem
    found = plan(problem, inputs.now)
    assert faults(problem, inputs.now, found) == []
    assert faults(problem, inputs.now, plan(problem, inputs.now, found.to_keep())) == []
    for proof in Explainer(problem, inputs.now).proofs():
        assert faults_of(problem, inputs.now, proof) == []


def test_what_is_short_waits_for_one_ordering_a_supplier_done_by_its_order_by(studio: Studio) -> None:
    """On 1 Feb: S1 and S3 with C05's, S4 with C09's, S5 with C07's ordering: the class with the soonest order-by."""
    inputs = studio.ask(ReadPlanInputs()).served()
    tasks = {task.id: task for task in inputs.facts.problem.tasks}
    orders: dict[str, set[int]] = {}
    for task in tasks.values():
        for link in task.after:
            if link.lead is not None:
                class_id = inputs.facts.tasks[link.task].row["class_date_id"]
                orders.setdefault(link.lead.source, set()).add(class_id)
    assert orders == {
        "an order of today from Ammerlin Paper Stores": {5},
        "an order of today from Kestrowe Thread & Tools": {5},
        "an order of today from Ilverdane Lights": {9},
        "an order of today from Cobbrith Cartons": {7},
    }
    ends: dict[int, dt.datetime] = {}
    for row in studio.ask(Needs()):
        if row.supplier is not None and row.order_by is not None:
            ends[row.supplier.id] = min(row.order_by.before, ends.get(row.supplier.id, row.order_by.before))
    hard = {
        known.row["class_date_id"]: tasks[id_].hard_before
        for id_, known in inputs.facts.tasks.items()
        if known.line is not None and known.line.key == "order" and tasks[id_].hard_before is not None
    }
    assert (hard[5], hard[9], hard[7]) == (ends[1], ends[4], ends[5])


def test_an_order_that_is_placed_is_waited_for_by_its_promised_day_alone(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=4, lines=((17, 2),)))
    inputs = studio.ask(ReadPlanInputs()).served()
    links = [link for task in inputs.facts.problem.tasks for link in task.after if link.lead is not None]
    assert not any("Ilverdane" in link.lead.source for link in links if link.lead is not None)
    days = {
        day_in(gate.at, inputs.facts.problem.zone)
        for task in inputs.facts.problem.tasks
        for gate in task.gates
        if gate.kind is GateKind.DELIVERY and gate.ref == "G01"
    }
    assert days == {dt.date(2027, 2, 27)}

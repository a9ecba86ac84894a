"""Why a task lies where it lies, in depth: reasons, chain, proof, and mends with the commands that make them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from scheduling.clock import day_in
from scheduling.errors import NotFoundError
from scheduling.model.refs import ref, ref_id
from scheduling.model.working import hours_text
from scheduling.planner import changes
from scheduling.planner.explain import Explainer
from scheduling.planner.mend import Mend, mends
from scheduling.planner.plan import TaskState
from scheduling.planner.problem import GateKind, Problem
from scheduling.planner.wanted import always
from scheduling.queries.plan_inputs import PlanInputs, ReadPlanInputs
from scheduling.queries.plan_words import chain_words, change_words, proof_words, why_words
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class Step:
    """A command by its name, with its entries."""

    command: str
    entries: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class MendRow:
    """A mend in words.

    moved: tasks that would lie on other days. still_late: classes that stay late, by name.
    steps: the commands that make it; empty where nothing here can (of whose seats are given up among several bookings
        she decides, and its words say so).
    asks: it reaches other people: the booked are asked again, a supplier has to agree.
    """

    said: str
    moved: int
    still_late: tuple[str, ...]
    steps: tuple[Step, ...]
    asks: str = ""

    @property
    def whole(self) -> str:
        """The mend with what it does, in one sentence."""
        moved = f"{self.moved} {'task moves' if self.moved == 1 else 'tasks move'}"
        late = f"; {', '.join(self.still_late)} {'stays' if len(self.still_late) == 1 else 'stay'} late"
        return f"{self.said}: {moved}{late if self.still_late else ''}{f'; {self.asks}' if self.asks else ''}"


@dataclass(frozen=True, slots=True)
class Explained:
    """why, chain: sentences. proof: one sentence for what is late, else ''. mends: the cheapest first.

    is_proved: whether that sentence is a proof; it says so where there is none.
    """

    why: tuple[str, ...]
    chain: tuple[str, ...]
    proof: str
    mends: tuple[MendRow, ...]
    is_proved: bool = False


@dataclass(frozen=True, slots=True)
class Explain:
    """A task explained at once; for a page, ask ReadPlanInputs and let a worker do `explained`."""

    task_id: int
    with_mends: bool = True

    def fetch(self, reader: Reader) -> Explained:
        return explained(ReadPlanInputs().fetch(reader), self.task_id, with_mends=self.with_mends)


def explained(
    inputs: PlanInputs, task_id: int, *, with_mends: bool = True, is_wanted: Callable[[], bool] = always
) -> Explained:
    """Explain a task; touches no file. Raises NotFoundError for a task that is no part of the plan.

    is_wanted: asked between the many plans that mends take; once it says False no more are looked for.
    """
    inputs = inputs.served()
    facts = inputs.facts
    task = next((id_ for id_, known in facts.tasks.items() if known.row["id"] == task_id), None)
    if task is None:
        raise NotFoundError(f"{ref('task', task_id)} is no part of the plan.", hint="See: kitwright prep")
    explainer = Explainer(facts.problem, inputs.now, inputs.previous)
    place = explainer.plan.tasks.get(task)
    is_late = place is not None and place.state in (TaskState.LATE, TaskState.NO_PLAN)
    found: tuple[Mend, ...] = ()
    if is_late and with_mends and place is not None:
        found = mends(
            facts.problem, inputs.now, place.subject, inputs.previous, is_wanted=is_wanted, before=explainer.plan
        )
    proof = explainer.proof(task) if is_late else None
    return Explained(
        why=tuple(why_words(facts, explainer.why(task))),
        chain=tuple(chain_words(facts, explainer.chain(task))),
        proof=proof_words(facts, proof) if is_late else "",
        mends=tuple(_row(mend, inputs) for mend in found),
        is_proved=proof is not None,
    )


def class_mends(inputs: PlanInputs, class_date_id: int) -> tuple[MendRow, ...]:
    """What would make a class fit; empty when it fits, or when nothing on the list helps."""
    subject = next((id_ for id_, held in inputs.classes.items() if held.id == class_date_id), "")
    if all(each.id != subject for each in inputs.facts.problem.subjects):
        return ()
    inputs = inputs.served()
    found = mends(inputs.facts.problem, inputs.now, subject, inputs.previous)
    return tuple(_row(mend, inputs) for mend in found)


def _row(mend: Mend, inputs: PlanInputs) -> MendRow:
    names = {id_: held.name for id_, held in inputs.classes.items()}
    steps: list[Step] = []
    asks: list[str] = []
    problem = inputs.facts.problem
    for change in mend.changes:
        parts, asked = steps_of(change, problem, inputs)
        if not parts:
            steps = []
            asks = [asked]
            break
        steps += parts
        asks += [asked] if asked else []
        problem = changes.changed(problem, (change,))
    said = " and ".join(change_words(inputs.facts, change, names) for change in mend.changes)
    late = tuple(names.get(id_, id_) for id_ in mend.still_late)
    return MendRow(said[0].upper() + said[1:], mend.moved, late, tuple(steps), "; ".join(asks))


def steps_of(change: changes.Change, problem: Problem, inputs: PlanInputs) -> tuple[list[Step], str]:
    """The commands that make a change of this problem, and what it asks of others; no command: how to do it."""
    match change:
        case changes.MoreMinutes():
            return [_longer_day(change, problem)], ""
        case changes.GiveBack():
            number = inputs.blocked.get(change.day)
            if number is None:
                return [], "the day is taken by a calendar that you read in"
            return [Step("OpenDay", {"closed_day_id": number})], ""
        case changes.HelperFor():
            known = next((h.limit_on.get(change.day, 0) for h in problem.hands if h.id == changes.EXTRA_HELPER), 0)
            return [
                Step("BringHelper", {"day": change.day, "minutes": known + change.minutes})
            ], "a helper has to agree"
        case changes.FasterDelivery():
            gates = (gate for task in problem.tasks for gate in task.gates)
            gate = next(gate for gate in gates if gate.delivery == change.ref and gate.kind is GateKind.DELIVERY)
            if gate.delivery != gate.ref:
                return [], "ask for it when you order today"
            day = day_in(gate.at, problem.zone) - dt.timedelta(days=change.days)
            order = ref_id(change.ref, "supply_order")
            entries = {"supply_order_id": order, "promised_day": max(day, day_in(inputs.now, problem.zone))}
            return [Step("PromiseOrder", entries)], "the supplier has to agree"
        case changes.MoveSubject():
            held = inputs.classes[change.subject]
            days = dt.timedelta(days=change.days)
            spans = tuple((start + days, end + days) for start, end in held.sessions)
            return [Step("MoveClassDate", {"class_date_id": held.id, "sessions": spans})], "all booked are asked again"
        case changes.FewerHeads():
            booking, heads = inputs.parties.get(change.subject, (0, 0))
            if heads <= change.heads:
                return [], "whose seats are given up or transferred is for you to choose, on its page"
            return [Step("SetHeads", {"booking_id": booking, "heads": heads - change.heads})], "the host has to agree"
        case changes.UseOffer():
            return [
                Step("AllotStock", {"class_date_id": class_id, "material_id": material_id, "amount": amount})
                for class_id, material_id, amount in inputs.facts.allotments[change.offer]
            ], ""


def _longer_day(change: changes.MoreMinutes, problem: Problem) -> Step:
    """The day's new limit, and its new hours where they had to grow for it."""
    before = next(hand for hand in problem.hands if hand.id == change.hand)
    after = next(hand for hand in changes.changed(problem, (change,)).hands if hand.id == change.hand)
    entries: dict[str, Any] = {"day": change.day, "limit_minutes": after.limit_on[change.day]}
    hours = tuple(after.hours_on[change.day])
    if hours != tuple(before.hours_on.get(change.day, before.hours[change.day.weekday()])):
        entries["hours"] = hours_text(hours)
    return Step("SetDay", entries)

"""The planner's facts in plain sentences: reasons, chains, proofs, broken pins, mends."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from scheduling.clock import zone_named
from scheduling.model.refs import ref
from scheduling.planner.plan import BrokenPin
from scheduling.words import show_day, show_minutes, show_moment

if TYPE_CHECKING:
    from scheduling.model.waits import Wait
    from scheduling.planner.changes import Change
    from scheduling.planner.explain import Because, Link
    from scheduling.planner.proof import Proof
    from scheduling.queries.prep_problem import PrepFacts

_TROUBLE = {
    "past": "that time is over",
    "busy": "something else takes that time",
    "blocked day": "the day is blocked",
    "another pin": "other work is pinned there",
    "what it waits for": "what it waits for is not ready by then",
    "the tool": "the tool is taken then",
    "more than is left to do": "less is left to do",
    "no such hand": "nobody is there for it",
}

_GATES = {
    "delivery": ", when what it needs comes",
    "head count": ", when the heads are known",
    "window": ", so long before the class at the most",
    "class end": ", when the class is over",
    "date": "",
}


def named(facts: PrepFacts, task: str) -> str:
    """A task by its reference, title and class: T70 Cut all pieces, C05."""
    known = facts.tasks.get(task)
    if known is None:
        return "other work"
    row = known.row
    return f"{ref('task', row['id'])} {row['title']}, {ref('class_date', row['class_date_id'])}"


def broken_pin(facts: PrepFacts, task: str, broken: BrokenPin) -> str:
    """A pin that could not stay, and why."""
    when = _when(broken.pin.start, facts)
    return f"{named(facts, task)} cannot stay pinned to {when}: {_TROUBLE[broken.trouble.value]}."


def why_words(facts: PrepFacts, reasons: tuple[Because, ...]) -> list[str]:
    """The planner's reasons for a date that the recipe's rule does not say already; neighbouring days in one."""
    said: list[str] = []
    days: list[tuple[str, dt.date]] = []
    for each in reasons:
        fact = each.fact.value
        if each.day is not None:
            word = {"day full": "full", "day blocked": "blocked", "day without hours": "without working hours"}
            amount = f" ({show_minutes(each.minutes)} of {show_minutes(each.limit)})" if fact == "day full" else ""
            days.append((word.get(fact, "taken by a class or something else") + amount, each.day))
        elif fact == "needed by" and each.moment is not None:
            wait = f" and {_wait(each.wait)} lie between" if each.wait is not None else ""
            said.append(f"{named(facts, each.task)} needs it by {_when(each.moment, facts)}{wait}.")
        elif fact == "pinned" and each.moment is not None:
            said.append(f"You pinned it to {_when(each.moment, facts)}.")
        elif fact == "batch":
            said.append(f"It is done in one go with others, {show_minutes(each.minutes)} in all.")
        elif fact == "not before" and each.moment is not None and each.label == "":
            why = _GATES[each.gate.value] if each.gate is not None else ""
            said.append(f"It cannot begin before {_when(each.moment, facts)}{why}.")
        elif fact == "no room":
            said.append("No working time is left for it.")
    if days:
        parts = "; ".join(f"{show_day(day)} is {word}" for word, day in days[:6])
        more = f"; and {len(days) - 6} days more" if len(days) > 6 else ""
        said.append(f"It does not lie later, since {parts}{more}.")
    return said


def chain_words(facts: PrepFacts, links: tuple[Link, ...]) -> list[str]:
    """What binds a task from before, the first link first."""
    said = []
    for link in links:
        span = f"{_when(link.start, facts)} to {_when(link.finish, facts)}"
        bind = {
            "now": "it begins now",
            "gate": f"it waits for {link.label or (link.gate.value if link.gate is not None else 'its day')}",
            "task before": f"it waits for {named(facts, link.by)}" if link.by else "it waits for work before it",
            "hands taken": f"before it your hands are on {named(facts, link.by)}"
            if link.by
            else "your hours end there",
            "tool taken": f"its tool is taken by {named(facts, link.by)}",
            "pinned": "you pinned it there",
        }[link.binds.value]
        wait = f", and then {_wait(link.wait)}" if link.wait is not None else ""
        said.append(f"{named(facts, link.task)}: {span}; {bind}{wait}.")
    return said


def proof_words(facts: PrepFacts, proof: Proof | None) -> str:
    """Why nothing could bring it in time; without a proof that is not said (decisions 23)."""
    from scheduling.planner.proof import IntervalProof

    if proof is None:
        return "No plan found that is in time; that there is none is not proved."
    if isinstance(proof, IntervalProof):
        return (
            f"Between {_when(proof.start, facts)} and {_when(proof.until, facts)} {show_minutes(proof.needed)} must be"
            f" done and {show_minutes(proof.there)} are there, whatever the order:"
            f" {show_minutes(proof.missing)} too many in {len(proof.tasks)}"
            f" {'task' if len(proof.tasks) == 1 else 'tasks'}."
        )
    steps = "; then ".join(
        f"{named(facts, step.task)} to {_when(step.finish, facts)}"
        + (f" and {_wait(step.wait)}" if step.wait is not None else "")
        for step in proof.steps
    )
    return (
        f"Even with nothing else to do it ends after {_when(proof.before, facts)}:"
        f" from {_when(proof.begins, facts)} {steps}."
    )


def change_words(facts: PrepFacts, change: Change, classes: dict[str, str]) -> str:
    """One change of a mend in words; classes: what each class is called, by public id."""
    from scheduling.planner import changes

    match change:
        case changes.MoreMinutes():
            return f"{show_minutes(change.minutes)} more on {show_day(change.day)}"
        case changes.GiveBack():
            return f"work on {show_day(change.day)}, a blocked day, after all"
        case changes.HelperFor():
            return f"a helper for {show_minutes(change.minutes)} on {show_day(change.day)}"
        case changes.FasterDelivery():
            return f"{change.ref} delivered {change.days} {'day' if change.days == 1 else 'days'} sooner"
        case changes.FewerHeads():
            return (
                f"{change.heads} {'head' if change.heads == 1 else 'heads'} fewer in {classes.get(change.subject, '')}"
            )
        case changes.UseOffer():
            return next((o.label for o in facts.problem.offers if o.id == change.offer), "stock from elsewhere")
        case changes.MoveSubject():
            return f"{classes.get(change.subject, '')} held {change.days} {'day' if change.days == 1 else 'days'} later"


def _wait(wait: Wait) -> str:
    unit = wait.unit.value
    return f"{wait.amount} {unit.removesuffix('s') if wait.amount == 1 else unit}"


def _when(moment: dt.datetime, facts: PrepFacts) -> str:
    return show_moment(moment.astimezone(zone_named(facts.problem.zone)))

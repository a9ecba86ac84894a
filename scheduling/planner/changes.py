"""Changes to a problem as data: what a mend or a "what if" does. Each gives a new problem and leaves the old one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from scheduling.clock import zone_named
from scheduling.errors import NotFoundError
from scheduling.model.working import Span
from scheduling.planner.problem import After, Gate, GateKind, Hand, Lead, Problem, Task

#: The id of a hand that a mend brings in.
EXTRA_HELPER: Final = "extra helper"
_LAST_MINUTE: Final = 24 * 60


@dataclass(frozen=True, slots=True)
class MoreMinutes:
    """A hand works so many minutes more on a day than its limit; where its hours are full, after the last of them."""

    hand: str
    day: dt.date
    minutes: int


@dataclass(frozen=True, slots=True)
class GiveBack:
    """A blocked day is worked after all, with its usual hours and limit."""

    hand: str
    day: dt.date


@dataclass(frozen=True, slots=True)
class HelperFor:
    """A helper comes on a day for so many minutes, within the hours that the instructor's week has on it."""

    day: dt.date
    minutes: int


@dataclass(frozen=True, slots=True)
class FasterDelivery:
    """A delivery comes so many days sooner; ref: `delivery` of its gates."""

    ref: str
    days: int


@dataclass(frozen=True, slots=True)
class FewerHeads:
    """A class is made for so many heads less."""

    subject: str
    heads: int


@dataclass(frozen=True, slots=True)
class UseOffer:
    """An offer of the problem is taken: stock from another class, or another delivery."""

    offer: str


@dataclass(frozen=True, slots=True)
class MoveSubject:
    """A class is held so many days later, with all dates that hang on it."""

    subject: str
    days: int


Change = MoreMinutes | GiveBack | HelperFor | FasterDelivery | FewerHeads | UseOffer | MoveSubject


def changed(problem: Problem, changes: Iterable[Change]) -> Problem:
    """The problem after all changes, in order.

    Raises NotFoundError: a change names a hand, class, delivery or offer that is not there.
    """
    for change in changes:
        problem = _after(problem, change)
    return problem


def _after(problem: Problem, change: Change) -> Problem:
    match change:
        case MoreMinutes():
            return _more_minutes(problem, change)
        case GiveBack():
            return _give_back(problem, change)
        case HelperFor():
            return _helper_for(problem, change)
        case FasterDelivery():
            return _faster_delivery(problem, change)
        case FewerHeads():
            return _fewer_heads(problem, change)
        case UseOffer():
            return _use_offer(problem, change)
        case MoveSubject():
            return _move_subject(problem, change)


def _more_minutes(problem: Problem, change: MoreMinutes) -> Problem:
    def longer(hand: Hand) -> Hand:
        limit = hand.limit_on.get(change.day, hand.limits[change.day.weekday()])
        hours = tuple(hand.hours_on.get(change.day, hand.hours[change.day.weekday()]))
        return replace(
            hand,
            limit_on={**hand.limit_on, change.day: limit + change.minutes},
            hours_on={**hand.hours_on, change.day: _room_for(hours, limit + change.minutes)},
        )

    return _with_hand(problem, change.hand, longer)


def _room_for(hours: tuple[Span, ...], minutes: int) -> tuple[Span, ...]:
    """The hours, made longer at their end where they do not hold so many minutes."""
    spans = [(_minute(start), _minute(end) or _LAST_MINUTE) for start, end in sorted(hours)]
    missing = minutes - sum(end - start for start, end in spans)
    if missing <= 0:
        return hours
    last = spans[-1][1] if spans else 9 * 60
    return (*hours, (_time(min(last, _LAST_MINUTE - 1)), _time(min(last + missing, _LAST_MINUTE))))


def _minute(time: dt.time) -> int:
    return time.hour * 60 + time.minute


def _time(minute: int) -> dt.time:
    return dt.time(minute // 60 % 24, minute % 60)


def _give_back(problem: Problem, change: GiveBack) -> Problem:
    return _with_hand(problem, change.hand, lambda hand: replace(hand, blocked=hand.blocked - {change.day}))


def _helper_for(problem: Problem, change: HelperFor) -> Problem:
    """One more hand, after the others in what each task may be done by."""
    me = problem.hands[0]
    hours = tuple(me.hours_on.get(change.day, me.hours[change.day.weekday()])) or ((dt.time(9), dt.time(17)),)
    known = next((hand for hand in problem.hands if hand.id == EXTRA_HELPER), None)
    if known is None:
        known = Hand(EXTRA_HELPER, "Helper", me.zone, ((),) * 7)
        problem = replace(
            problem,
            hands=(*problem.hands, known),
            tasks=tuple(
                replace(task, hands=(*task.hands, EXTRA_HELPER)) if task.may_help and not task.pins else task
                for task in problem.tasks
            ),
        )
    minutes = known.limit_on.get(change.day, 0) + change.minutes
    helper = replace(
        known,
        hours_on={**known.hours_on, change.day: _room_for(hours, minutes)},
        limit_on={**known.limit_on, change.day: minutes},
    )
    return _with_hand(problem, EXTRA_HELPER, lambda _: helper)


def _with_hand(problem: Problem, id_: str, change: Callable[[Hand], Hand]) -> Problem:
    if all(hand.id != id_ for hand in problem.hands):
        raise NotFoundError(f"There is no hand called {id_!r}.", field="hand")
    return replace(problem, hands=tuple(change(hand) if hand.id == id_ else hand for hand in problem.hands))


def _faster_delivery(problem: Problem, change: FasterDelivery) -> Problem:
    found = {
        gate.ref: gate.at for task in problem.tasks for gate in task.gates if gate.ref and gate.delivery == change.ref
    }
    if not found:
        raise NotFoundError(f"There is no delivery called {change.ref!r}.", field="ref")
    other = _with_gates(problem, {ref: _shifted(at, -change.days, problem.zone) for ref, at in found.items()})
    return _with_leads(
        other,
        lambda lead: replace(lead, sooner=lead.sooner + change.days) if lead.source == change.ref else lead,
    )


def _use_offer(problem: Problem, change: UseOffer) -> Problem:
    offer = next((offer for offer in problem.offers if offer.id == change.offer), None)
    if offer is None:
        raise NotFoundError(f"There is no offer called {change.offer!r}.", field="offer")
    return _with_leads(_with_gates(problem, offer.gates), lambda lead: None if lead.ref in offer.gates else lead)


def _with_gates(problem: Problem, moments: Mapping[str, dt.datetime]) -> Problem:
    def moved(task: Task) -> Task:
        if not any(gate.ref in moments for gate in task.gates):
            return task
        return replace(
            task,
            gates=tuple(replace(gate, at=moments[gate.ref]) if gate.ref in moments else gate for gate in task.gates),
        )

    return replace(problem, tasks=tuple(moved(task) for task in problem.tasks))


def _with_leads(problem: Problem, change: Callable[[Lead], Lead | None]) -> Problem:
    """Goods that come at another time, or that need no order: then nothing waits for it."""

    def moved(link: After) -> After | None:
        lead = None if link.lead is None else change(link.lead)
        if lead is link.lead:
            return link
        return None if lead is None else replace(link, lead=lead)

    tasks = []
    for task in problem.tasks:
        after = tuple(link for each in task.after if (link := moved(each)) is not None)
        tasks.append(task if after == task.after else replace(task, after=after))
    return replace(problem, tasks=tuple(tasks))


def _fewer_heads(problem: Problem, change: FewerHeads) -> Problem:
    return replace(
        problem,
        tasks=tuple(
            replace(task, minutes=max(task.minutes - int(task.per_head * change.heads), 0))
            if task.subject == change.subject and task.minutes
            else task
            for task in problem.tasks
        ),
        subjects=tuple(
            replace(subject, heads=max(subject.heads - change.heads, 0)) if subject.id == change.subject else subject
            for subject in problem.subjects
        ),
    )


def _move_subject(problem: Problem, change: MoveSubject) -> Problem:
    """Aims, hard dates and the gates that hang on the class move with it, and the time that it takes."""
    if all(subject.id != change.subject for subject in problem.subjects):
        raise NotFoundError(f"There is nothing called {change.subject!r}.", field="subject")

    def later(moment: dt.datetime) -> dt.datetime:
        return _shifted(moment, change.days, problem.zone)

    def gate(old: Gate) -> Gate:
        return replace(old, at=later(old.at)) if old.kind in _WITH_CLASS else old

    def task(old: Task) -> Task:
        if old.subject != change.subject:
            return old
        return replace(
            old,
            aim_before=None if old.aim_before is None else later(old.aim_before),
            hard_before=None if old.hard_before is None else later(old.hard_before),
            gates=tuple(gate(each) for each in old.gates),
        )

    return replace(
        problem,
        tasks=tuple(task(each) for each in problem.tasks),
        subjects=tuple(
            replace(each, starts_at=later(each.starts_at)) if each.id == change.subject else each
            for each in problem.subjects
        ),
        hands=tuple(_with_class_moved(hand, change, later) for hand in problem.hands),
    )


def _with_class_moved(hand: Hand, change: MoveSubject, later: Callable[[dt.datetime], dt.datetime]) -> Hand:
    """The class's busy time moves, and with it the limit that the day of a class has."""
    own = [busy for busy in hand.busy if busy.subject == change.subject]
    others = [busy for busy in hand.busy if busy.subject != change.subject]
    limits = dict(hand.limit_on)
    zone = zone_named(hand.zone)
    taken = {busy.start.astimezone(zone).date() for busy in others if busy.subject}
    for busy in own:
        day, then = busy.start.astimezone(zone).date(), later(busy.start).astimezone(zone).date()
        if day in hand.limit_on:
            limits[then] = min(hand.limit_on[day], limits.get(then, _LAST_MINUTE))
            if day not in taken:
                limits.pop(day, None)
    moved = (replace(busy, start=later(busy.start), until=later(busy.until)) for busy in own)
    return replace(hand, busy=(*others, *moved), limit_on=limits)


_WITH_CLASS: Final = frozenset({GateKind.WINDOW, GateKind.CLASS_END, GateKind.HEAD_COUNT})


def _shifted(moment: dt.datetime, days: int, zone: str) -> dt.datetime:
    """The same wall time so many days later in the zone."""
    local = moment.astimezone(zone_named(zone))
    return local + dt.timedelta(days=days)

"""What would mend lateness: the smallest single changes of a closed list, then pairs, each proved by a full replan.

A mend makes a class fit and makes no other class late that was not; it is data (changes.py), so that applying it is
the same as trying it (decisions 23).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice
from typing import Final

from scheduling.clock import zone_named
from scheduling.planner.build import Trial, plan
from scheduling.planner.changes import (
    Change,
    FasterDelivery,
    FewerHeads,
    GiveBack,
    HelperFor,
    MoreMinutes,
    MoveSubject,
    UseOffer,
    changed,
)
from scheduling.planner.foreseen import Worst
from scheduling.planner.moments import minutes_of
from scheduling.planner.plan import Kept, Move, Plan, SubjectState, TaskState
from scheduling.planner.problem import GateKind, Problem
from scheduling.planner.wanted import always

#: The step of a mend in minutes, and the most that one asks for.
STEP: Final = 15
MOST: Final = 240
_DAYS_TRIED: Final = 6
_DATES_TRIED: Final = 28
_PAIRS_TRIED: Final = 10
#: Orders tried for each replan of a mend: what fits at all is nearly always found at once. Taking an offer is tried
#: once and in one size, so that it may take longer.
_SCHEDULES: Final = 12
_OFFER_SCHEDULES: Final = 200

#: What a mend costs her, in minutes of her own: only the order of mends rests on it. Stock that lies there costs a
#: look; a helper's minute is paid; a faster day is carriage; a head less is a fee; a date moved is asking everybody.
_OFFER, _HELPER, _FASTER_DAY, _HEAD, _GIVEN_BACK, _DATE, _DATE_DAY = 30, 1.5, 60, 120, 240, 600, 15


@dataclass(frozen=True, slots=True)
class Mend:
    """A change, or a pair of them, that makes a class fit.

    cost: of her time, roughly, in minutes; mends are sorted by it.
    moved: tasks that would lie on other days. still_late: classes that stay late, by id.
    """

    changes: tuple[Change, ...]
    cost: float
    moved: int
    still_late: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """What a change does before it is kept.

    now_late, no_longer_late: classes, by id. over: days on which a hand does more than its usual limit.
    """

    before: Plan
    after: Plan
    moves: tuple[Move, ...]
    now_late: tuple[str, ...]
    no_longer_late: tuple[str, ...]
    over: tuple[tuple[dt.date, str, int], ...]


def what_if(problem: Problem, now: dt.datetime, other: Problem, previous: Kept | None = None) -> Effect:
    """Compare the plan with that of another problem, for example `changed(problem, changes)`.

    over: (day, hand, minutes above the limit that the day has in `problem`).
    """
    before = plan(problem, now, previous)
    after = plan(other, now, before.to_keep())
    limits = {(load.day, load.hand): load.limit for load in before.days}
    usual = {hand.id: hand for hand in problem.hands}
    over = []
    for load in after.days:
        hand = usual.get(load.hand)
        if hand is not None:
            most = limits.get((load.day, load.hand), hand.limit_on.get(load.day, hand.limits[load.day.weekday()]))
            if load.minutes + load.spent > most:
                over.append((load.day, load.hand, load.minutes + load.spent - most))
    late, then = _late(before), _late(after)
    return Effect(before, after, after.moves, tuple(sorted(then - late)), tuple(sorted(late - then)), tuple(over))


def _late(found: Plan) -> frozenset[str]:
    return frozenset(subject.id for subject in found.subjects.values() if subject.state is SubjectState.LATE)


def mends(
    problem: Problem,
    now: dt.datetime,
    subject: str,
    previous: Kept | None = None,
    *,
    is_wanted: Callable[[], bool] = always,
    before: Plan | None = None,
) -> tuple[Mend, ...]:
    """What would make a class fit, the cheapest first; empty when it fits or nothing on the list helps.

    before: the plan of these very arguments, where it is known already.
    Pairs are tried only where no single change helps. is_wanted: asked before each replan; once it says False no more
    of them are made, and what is given is not whole.
    """
    return _Mender(problem, now, subject, before or plan(problem, now, previous), is_wanted).found()


class _Mender:
    def __init__(
        self,
        problem: Problem,
        now: dt.datetime,
        subject: str,
        before: Plan,
        is_wanted: Callable[[], bool],
    ) -> None:
        self._problem = problem
        self._is_wanted = is_wanted
        self._now = now
        self._subject = subject
        self._plan = before
        self._kept = before.to_keep()
        self._late = _late(before)
        self._known: dict[tuple[Change, ...], Plan | None] = {}

    def found(self) -> tuple[Mend, ...]:
        if self._subject not in self._late:
            return ()
        singles = [change for change in self._singles() if change is not None]
        mended = [self._mend((change,)) for change in singles]
        if not mended:
            mended = list(self._pairs())
        return tuple(sorted(mended, key=lambda mend: (mend.cost, mend.moved, repr(mend.changes))))

    def _mend(self, changes: tuple[Change, ...]) -> Mend:
        after = self._after(changes)
        assert after is not None  # it fits
        return Mend(
            changes, sum(self._cost(change) for change in changes), len(after.moves), tuple(sorted(_late(after)))
        )

    def _after(self, changes: tuple[Change, ...]) -> Plan | None:
        """The plan with these changes; None where it is proved that the class, or another, is late in any."""
        if changes not in self._known:
            tried = _OFFER_SCHEDULES if isinstance(changes[0], UseOffer) and len(changes) == 1 else _SCHEDULES
            trial = Trial(changed(self._problem, changes), self._now, tried)
            self._known[changes] = None if trial.cannot_keep(self._worst()) else trial.plan(self._kept)
        return self._known[changes]

    def _worst(self) -> Worst:
        """What a mend has to keep: the class in time, and all others that are."""
        late = self._late - {self._subject}
        return {task.id: TaskState.BEHIND for task in self._problem.tasks if task.subject not in late}

    def _fits(self, *changes: Change) -> bool:
        if not self._is_wanted():
            return False
        after = self._after(changes)
        if after is None:
            return False
        late = _late(after)
        return self._subject not in late and late <= self._late

    def _singles(self) -> Iterator[Change | None]:
        yield from self._sized()
        yield from self._whole()
        for offer in self._offers():
            if self._fits(offer):
                yield offer
        yield self._moved()

    def _sized(self) -> Iterator[Change | None]:
        """Changes that have a size: the smallest of each that fits."""
        me = self._problem.hands[0]
        for day in self._days():
            if day not in me.blocked:
                yield self._smallest(lambda size, day=day: MoreMinutes(me.id, day, size * STEP), MOST // STEP)  # type: ignore[misc]  # the day is bound as it is now
        for day in self._days():
            yield self._smallest(lambda size, day=day: HelperFor(day, size * STEP), MOST // STEP)  # type: ignore[misc]  # the day is bound as it is now
        for ref, most in self._deliveries():
            yield self._smallest(lambda size, ref=ref: FasterDelivery(ref, size), most)  # type: ignore[misc]  # the ref is bound as it is now
        heads = next((each.heads for each in self._problem.subjects if each.id == self._subject), 0)
        if any(task.subject == self._subject and task.per_head for task in self._problem.tasks):
            yield self._smallest(lambda size: FewerHeads(self._subject, size), heads - 1)

    def _whole(self) -> Iterator[Change]:
        for hand in self._problem.hands:
            for day in sorted(hand.blocked):
                if day in self._window() and self._fits(GiveBack(hand.id, day)):
                    yield GiveBack(hand.id, day)

    def _smallest(self, change: Callable[[int], Change], most: int) -> Change | None:
        """The smallest size that fits, by halving between one that does not and one that does; None when none does."""
        if most < 1 or not self._fits(change(most)):
            return None
        low, high = 0, most
        while high - low > 1:
            middle = (low + high) // 2
            if self._fits(change(middle)):
                high = middle
            else:
                low = middle
        return change(high)

    def _troubled(self) -> Sequence[str]:
        """The late tasks of the class and all that they wait for."""
        tasks = {task.id: task for task in self._problem.tasks}
        stack = [
            task.id
            for task in self._problem.tasks
            if task.subject == self._subject and self._plan.tasks[task.id].state in (TaskState.LATE, TaskState.NO_PLAN)
        ]
        seen = dict.fromkeys(stack)
        while stack:
            for link in tasks[stack.pop()].after:
                if link.task not in seen and self._plan.tasks[link.task].state is not TaskState.DONE:
                    seen[link.task] = None
                    stack.append(link.task)
        return sorted(seen)

    def _window(self) -> set[dt.date]:
        """Days from today to the latest finish of what is late."""
        zone = zone_named(self._problem.zone)
        ends = [
            self._plan.tasks[id_].latest_finish
            for id_ in self._troubled()
            if self._plan.tasks[id_].latest_finish is not None
        ]
        today = self._now.astimezone(zone).date()
        last = max((end.astimezone(zone).date() for end in ends if end is not None), default=today)
        return {today + dt.timedelta(days=number) for number in range(max((last - today).days + 1, 0))}

    def _days(self) -> list[dt.date]:
        """A few days for more work: the last ones before the date, and today's next ones."""
        days = sorted(self._window())
        if len(days) <= _DAYS_TRIED:
            return days
        return sorted({*days[: _DAYS_TRIED // 3], *days[-(_DAYS_TRIED - _DAYS_TRIED // 3) :]})

    def _deliveries(self) -> Iterator[tuple[str, int]]:
        """Deliveries that what is late waits for, with the days by which each could come sooner."""
        troubled = set(self._troubled())
        moments = {
            gate.delivery: gate.at
            for task in self._problem.tasks
            if task.id in troubled
            for gate in task.gates
            if gate.kind is GateKind.DELIVERY and gate.ref and gate.at > self._now
        }
        for ref in sorted(moments):
            days = (minutes_of(moments[ref]) - minutes_of(self._now)) // (24 * 60)
            yield ref, int(days)

    def _offers(self) -> list[UseOffer]:
        """The offers that open a gate which what is late waits for, sooner than it opens now."""
        troubled = set(self._troubled())
        moments = {
            gate.ref: gate.at
            for task in self._problem.tasks
            if task.id in troubled
            for gate in task.gates
            if gate.ref and gate.at > self._now
        }
        return [
            UseOffer(offer.id)
            for offer in self._problem.offers
            if any(ref in moments and at < moments[ref] for ref, at in offer.gates.items())
        ]

    def _moved(self) -> Change | None:
        """The class on its earliest good date: a day on which nothing else takes her time and nothing is blocked."""
        subject = next((each for each in self._problem.subjects if each.id == self._subject), None)
        if subject is None or not subject.movable:
            return None
        me = self._problem.hands[0]
        zone = zone_named(me.zone)
        taken = {busy.start.astimezone(zone).date() for busy in me.busy if busy.subject != subject.id}
        for days in range(1, _DATES_TRIED + 1):
            day = (subject.starts_at.astimezone(zone) + dt.timedelta(days=days)).date()
            if day not in me.blocked and day not in taken and self._fits(MoveSubject(subject.id, days)):
                return MoveSubject(subject.id, days)
        return None

    def _pairs(self) -> Iterator[Mend]:
        """Pairs of changes at their full size that fit together, the second then made as small as it goes."""
        me = self._problem.hands[0]
        days = self._days()
        full: list[Change] = [*self._offers()[:3]]
        full += [MoreMinutes(me.id, day, MOST) for day in days[-3:] if day not in me.blocked]
        full += [HelperFor(day, MOST) for day in days[-2:]]
        full += [GiveBack(me.id, day) for day in sorted(me.blocked & self._window())][:2]
        full += [FasterDelivery(ref, most) for ref, most in self._deliveries() if most > 0][:2]
        for one, other in islice(combinations(full, 2), _PAIRS_TRIED):
            if self._fits(one, other):
                yield self._mend(self._shrunk(one, other))

    def _shrunk(self, one: Change, other: Change) -> tuple[Change, ...]:
        """The pair with each part as small as it can be while the other stays."""
        for first in (False, True):
            part, rest = (one, other) if first else (other, one)
            low, high = 0, _size(part)
            while high - low > 1:
                middle = (low + high) // 2
                smaller = _sized(part, middle)
                pair = (smaller, rest) if first else (rest, smaller)
                if self._fits(*pair):
                    high = middle
                else:
                    low = middle
            part = _sized(part, high)
            one, other = (part, rest) if first else (rest, part)
        return one, other

    def _cost(self, change: Change) -> float:
        match change:
            case MoreMinutes():
                return change.minutes
            case HelperFor():
                return change.minutes * _HELPER
            case GiveBack():
                return _GIVEN_BACK
            case FasterDelivery():
                return change.days * _FASTER_DAY
            case FewerHeads():
                return change.heads * _HEAD
            case UseOffer():
                return _OFFER
            case MoveSubject():
                return _DATE + change.days * _DATE_DAY


def _size(change: Change) -> int:
    """How often a change could be cut down by its step; 1: not at all."""
    if isinstance(change, MoreMinutes | HelperFor):
        return change.minutes // STEP
    return change.days if isinstance(change, FasterDelivery) else 1


def _sized(change: Change, size: int) -> Change:
    match change:
        case MoreMinutes():
            return MoreMinutes(change.hand, change.day, size * STEP)
        case HelperFor():
            return HelperFor(change.day, size * STEP)
        case FasterDelivery():
            return FasterDelivery(change.ref, size)
        case _:
            return change

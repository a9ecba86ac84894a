"""What can be told of every plan of a problem before one is laid: that it cannot keep what it is wanted for.

Proposals and mends are tried by the dozen, and most of them fail. Where the windows alone, or an interval that has to
hold more work than it has working time, prove that, no plan has to be laid.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from scheduling.planner.plan import TaskState
from scheduling.planner.reading import NEVER, Item, Work
from scheduling.planner.windows import Times, Windows, latest_finishes
from scheduling.planner.worktime import WorkTime

#: The worst state that is still good enough, by task; a task that is not named may be anything.
Worst = Mapping[str, TaskState]

_IN_TIME: Final = frozenset({TaskState.DONE, TaskState.OFFERED, TaskState.PLANNED})


@dataclass(frozen=True, slots=True)
class _Due:
    """Work that has to be done between two moments, both in minutes."""

    ready: int
    before: int
    minutes: int


def cannot_keep(work: Work, times: Times, windows: Windows, pinned: Mapping[int, object], worst: Worst) -> bool:
    """True where it is proved that in every plan some task is worse than allowed; False proves nothing.

    pinned: the items with pieces that stay where they are; of those only their own dates are looked at.
    """
    own = [_date(item, windows.last[number], worst) for number, item in enumerate(work.items)]
    dates = latest_finishes(work, times, own, pinned)
    if any(dates[number] < first < NEVER for number, first in enumerate(windows.first)):
        return True
    return any(_is_overfull(dues, hands) for dues, hands in _shares(work, times, windows, pinned, dates))


def _date(item: Item, last: int, worst: Worst) -> int:
    """By when the item has to be finished, so that none of its tasks is worse than allowed; NEVER: any time does."""
    allowed = [worst[task.id] for task in item.tasks if task.id in worst]
    if any(state in _IN_TIME for state in allowed):
        return min(item.aim, last)
    return last if TaskState.BEHIND in allowed else NEVER


def _shares(
    work: Work, times: Times, windows: Windows, pinned: Mapping[int, object], dates: list[int]
) -> Iterator[tuple[list[_Due], list[WorkTime]]]:
    """The work that only one hand can do, hand by hand, with that hand; then all work with all hands."""

    def of(hands: frozenset[int]) -> tuple[list[_Due], list[WorkTime]]:
        dues = [
            _Due(windows.ready[number], dates[number], item.minutes)
            for number, item in enumerate(work.items)
            if item.minutes and dates[number] < NEVER and number not in pinned and hands.issuperset(item.hands)
        ]
        return dues, [times.hands[hand] for hand in sorted(hands)]

    count = len(times.hands)
    for hand in range(count):
        yield of(frozenset({hand}))
    if count > 1:
        yield of(frozenset(range(count)))


def _is_overfull(dues: list[_Due], hands: list[WorkTime]) -> bool:
    """True where an interval has to hold more minutes than the hands have in it (as in proof.interval_bound)."""
    dues.sort(key=lambda due: due.ready, reverse=True)
    # What lies between two moments is never less than the difference of their positions: most intervals are seen to
    # be wide enough by those, each of which is worked out once.
    begins = [sum(hand.position(due.ready) for hand in hands) for due in dues]
    for until in sorted({due.before for due in dues}):
        end = sum(hand.position(until) for hand in hands)
        needed = 0
        for due, begin in zip(dues, begins, strict=True):
            if due.before > until or due.ready >= until:
                continue
            needed += due.minutes
            if needed > end - begin and needed > sum(hand.between(due.ready, until) for hand in hands):
                return True
    return False

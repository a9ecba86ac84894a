"""Proposes better recipe minutes from what was logged: the median of the last runs, never taken over silently."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

#: Runs that count, the last ones, and how few are too few to say anything.
LAST_RUNS: Final = 5
LEAST_RUNS: Final = 2
#: A proposal is made from this difference on: a fifth of what was planned, and five minutes.
_SHARE, _MINUTES = 5, 5


@dataclass(frozen=True, slots=True)
class Run:
    """One finished task of a recipe's line: minutes planned and logged, both above 0."""

    planned: int
    logged: int


@dataclass(frozen=True, slots=True)
class MinutesProposal:
    """Of every 100 planned minutes it took `percent`, by the median of the last `runs`.

    minutes: what the task planned now would be with it, a whole number.
    """

    percent: int
    runs: int
    minutes: int


def better_minutes(runs: Sequence[Run], planned: int) -> MinutesProposal | None:
    """A proposal for a line that plans so many minutes now; None: too few runs, or near enough.

    runs: the oldest first; only the last ones count. Runs of different size are compared by their share of the plan.
    """
    ratio = median_of(runs)
    if ratio is None or planned <= 0:
        return None
    minutes = max(round(planned * ratio), 1)
    if abs(minutes - planned) * _SHARE < planned or abs(minutes - planned) < _MINUTES:
        return None
    return MinutesProposal(round(ratio * 100), len(_that_count(runs)), minutes)


def median_of(runs: Sequence[Run]) -> float | None:
    """Minutes logged for one that was planned, the median of the runs that count; None: too few to say."""
    last = _that_count(runs)
    return median(run.logged / run.planned for run in last) if len(last) >= LEAST_RUNS else None


def _that_count(runs: Sequence[Run]) -> list[Run]:
    """The last ones with minutes planned and logged."""
    return [run for run in runs if run.planned > 0 and run.logged > 0][-LAST_RUNS:]

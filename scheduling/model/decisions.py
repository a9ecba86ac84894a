"""Go or no-go: what is at stake if a class runs, runs reduced or is called off (decisions 20; job.md 2 and 5)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from statistics import median
from typing import Literal

from scheduling.model.day_calendar import days_after
from scheduling.model.deadlines import CancelTerms
from scheduling.model.ledger import ClassCosts, half_up
from scheduling.model.prices import Figure

Choice = Literal["run", "run reduced", "wait", "call off"]


@dataclass(frozen=True, slots=True)
class Penalty:
    """From this day on the venue is owed so much for a date that is given back."""

    day: dt.date
    owed: int


def penalties(costs: ClassCosts, terms: CancelTerms | None, class_day: dt.date) -> tuple[Penalty, ...]:
    """What the venue is owed from which day on; empty for a room of her own or terms that cost nothing."""
    hire = costs.hire.figure(costs.currency).amount
    if terms is None or not hire:
        return ()
    return tuple(
        Penalty(days_after(class_day, -step.days_before), half_up(Fraction(hire * step.owed_percent, 100)))
        for step in terms.steps
    )


def owed_to_venue(found: Sequence[Penalty], day: dt.date) -> int:
    """What is owed when the date is given back on `day`."""
    return next((one.owed for one in reversed(found) if day >= one.day), 0)


def if_run(costs: ClassCosts, heads: int, income: int, card: int) -> Figure:
    """What is left if it runs with the heads it has."""
    return costs.profit(heads, income, card)


def if_reduced(costs: ClassCosts, heads: int, income: int, card: int) -> Figure:
    """The same without what can be saved: the class's own further fixed costs, such as a helper.

    The hire and the way there stay; she works for less pay.
    """
    return replace(costs, fixed=tuple(line for line in costs.fixed if line[0] == "travel")).profit(heads, income, card)


def if_called_off(owed_venue: int, given_back: int) -> Figure:
    """What calling off costs now: the venue. What was paid goes back in full, so that it is neither won nor lost."""
    lines = (("fees given back", -given_back), ("fees held for it", given_back), ("owed to the venue", -owed_venue))
    return Figure.of(tuple(line for line in lines if line[1]))


@dataclass(frozen=True, slots=True)
class Pace:
    """An earlier class of the same project: heads it had so many days before, and in the end."""

    class_date_id: int
    heads_then: int
    heads_in_the_end: int


def likely_heads(heads: int, earlier: Sequence[Pace], seats: int) -> int | None:
    """Heads to expect: those there are and as many as came later at earlier classes (median); None if unknown."""
    if not earlier:
        return None
    more = median([one.heads_in_the_end - one.heads_then for one in earlier])
    return min(seats, heads + max(0, int(more)))

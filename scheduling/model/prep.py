"""Prep recipes: the ordered lines of work behind a class, their minutes, their order and their dates."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from typing import Final

from scheduling.errors import InvalidError
from scheduling.model.deadlines import ClassDates
from scheduling.model.kinds import WAYS, Kind, in_order, kinds_of
from scheduling.model.prep_dates import Dated, Timing, dated
from scheduling.model.waits import NO_WAIT, Calendars, Wait, WaitUnit


class Phase(StrEnum):
    """The stretch of the season that a line belongs to, in the order of the work."""

    PROJECT = "project"
    SIGN_UPS = "sign-ups"
    STOCK = "stock"
    FILM = "film"
    KITS = "kits"
    CLASS = "class"
    AFTERWARDS = "afterwards"


class Per(StrEnum):
    """What minutes may be counted by (decisions 19)."""

    KIT = "kit"
    HEAD = "head"
    PIECE = "piece"
    MATERIAL = "material"
    SUPPLIER = "supplier"
    CLASS_MINUTE = "class-minute"
    FILM_MINUTE = "film-minute"


class Batch(StrEnum):
    """Whether the line may be done for several classes in one go."""

    NO = "no"
    CLASSES = "classes"
    PROJECT = "classes of one project"


PRE_WORK: Final = "pre_work"
"""The key of the recipe's line after which glue dries."""

#: How many there are of each for one class; what is not named is 0.
Quantities = Mapping[Per, int]


@dataclass(frozen=True, slots=True)
class Rate:
    """Minutes for each of a quantity."""

    minutes: Decimal
    per: Per


@dataclass(frozen=True, slots=True)
class Effort:
    """Minutes of work: fixed, and so many for each of some quantities (decisions 19)."""

    fixed: Decimal
    rates: tuple[Rate, ...] = ()

    def __post_init__(self) -> None:
        for minutes in (self.fixed, *(rate.minutes for rate in self.rates)):
            if not minutes.is_finite() or minutes < 0:
                raise InvalidError("Minutes are a number, 0 or more.", hint="Give 0 or more minutes.", field="minutes")

    def minutes(self, quantities: Quantities) -> Decimal:
        """The exact sum; raises InvalidError when a quantity is below nought."""
        total = self.fixed
        for rate in self.rates:
            amount = quantities.get(rate.per, 0)
            if amount < 0:
                raise InvalidError(
                    f"There is no such number of {rate.per.value}s as {amount}.", hint="Give 0 or more.", field="amount"
                )
            total += rate.minutes * amount
        return total


@dataclass(frozen=True, slots=True)
class Factor:
    """Classes of this kind take so many times the minutes."""

    kind: Kind
    times: Decimal

    def __post_init__(self) -> None:
        if not self.times.is_finite() or self.times <= 0:
            raise InvalidError("A factor is above nought.", hint="Give a number such as 1.5.", field="factor")


@dataclass(frozen=True, slots=True)
class After:
    """The line waits for another line of the recipe, and then so long."""

    key: str
    wait: Wait = NO_WAIT


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a recipe: a task that each class of these kinds gets.

    key: names the line for good within its recipe, whatever its title becomes.
    title: an instruction, short enough for a column of 40 cells.
    kinds: the line is for classes with at least one of them; not_for: and with none of these. Both in the list's
        order without repeats.
    first, again: minutes when the project is new and when it has run before (None: the same).
    factors: the kinds for which it takes longer; where several fit they multiply.
    advice: offered, not owed, once its aim has passed (decisions 18).
    hired_only: only where the room is someone else's.
    announces: asks for sign-ups, so that it stops while the class is full (job.md 4).
    """

    key: str
    title: str
    phase: Phase
    timing: Timing
    first: Effort
    again: Effort | None = None
    after: tuple[After, ...] = ()
    kinds: tuple[Kind, ...] = in_order(WAYS)
    not_for: tuple[Kind, ...] = ()
    factors: tuple[Factor, ...] = ()
    batch: Batch = Batch.NO
    advice: bool = False
    one_sitting: bool = False
    hired_only: bool = False
    announces: bool = False

    def __post_init__(self) -> None:
        if not self.key.strip() or not self.title.strip():
            raise InvalidError("A line of a recipe has a key and a title.", hint="Give it a title.", field="title")
        object.__setattr__(self, "kinds", in_order(self.kinds))
        object.__setattr__(self, "not_for", in_order(self.not_for))

    def fits(self, kinds: Collection[Kind], *, hired_venue: bool) -> bool:
        """True when a class of these kinds needs the line."""
        wanted = any(kind in kinds for kind in self.kinds) and not any(kind in kinds for kind in self.not_for)
        return wanted and (hired_venue or not self.hired_only)


@dataclass(frozen=True, slots=True)
class Recipe:
    """The ordered lines of work behind a kind of class; a line waits only for lines that stand before it.

    Raises InvalidError: two lines share a key, or a line waits for one that does not stand before it.
    """

    name: str
    lines: tuple[Line, ...]

    def __post_init__(self) -> None:
        seen: set[str] = set()
        for line in self.lines:
            if line.key in seen:
                raise InvalidError(f"{line.title} stands twice in {self.name}.", hint="Remove one.", field="lines")
            for after in line.after:
                if after.key not in seen:
                    raise InvalidError(
                        f"{line.title} waits for {after.key}, which does not stand before it.",
                        hint="Move it below, or take the wait away.",
                        field="after",
                    )
            seen.add(line.key)


@dataclass(frozen=True, slots=True)
class PrepDraft:
    """A task as a command will store it: the line with its minutes, and where its dates lie now.

    line: `after` names only lines that are drafted with it.
    offered: advice whose aim had passed when the task was made: offered, not owed.
    """

    line: Line
    minutes: int
    dated: Dated
    offered: bool


def lines_for(recipe: Recipe, kinds: Collection[Kind], *, hired_venue: bool = True) -> tuple[Line, ...]:
    """The lines that a class of these kinds needs, in the recipe's order.

    hired_venue: False for a room of her own: nobody is asked for it and nothing is carried there.
    Where a line is left out, those that waited for it wait for what it waited for (see `bridged`).
    Raises InvalidError: the kinds name no way of taking part.
    """
    chosen = kinds_of(kinds)
    return bridged(recipe.lines, {line.key for line in recipe.lines if line.fits(chosen, hired_venue=hired_venue)})


def bridged(lines: Sequence[Line], kept: Collection[str]) -> tuple[Line, ...]:
    """The lines whose keys are kept, each waiting for kept lines only.

    lines: in an order where each waits for earlier ones only.
    A line that waited for one left out inherits what that one waited for, with its waits; the wait that followed the
    line left out falls away with it. Of two equal links one stays; of two waits for the same line both stay.
    """
    links: dict[str, tuple[After, ...]] = {}
    for line in lines:
        through = [link for after in line.after for link in ((after,) if after.key in kept else links[after.key])]
        links[line.key] = tuple(dict.fromkeys(through))
    return tuple(replace(line, after=links[line.key]) for line in lines if line.key in kept)


def minutes_of(line: Line, quantities: Quantities, *, first: bool, kinds: Collection[Kind]) -> int:
    """The minutes of the line for one class, as they are stored.

    first: the project has not run before.
    Returns the exact sum times the factors of the class's kinds, rounded up once to a whole minute.
    Source: decisions 19.
    """
    effort = line.first if first or line.again is None else line.again
    total = effort.minutes(quantities)
    for factor in line.factors:
        if factor.kind in kinds:
            total *= factor.times
    return math.ceil(total)


def drafts_for(
    recipe: Recipe,
    kinds: Collection[Kind],
    dates: ClassDates,
    calendars: Calendars,
    quantities: Quantities,
    *,
    first: bool,
    hired_venue: bool,
    now: dt.datetime,
) -> tuple[PrepDraft, ...]:
    """The tasks of one class, in the recipe's order.

    now: aware; advice whose aim lies before it is offered, not owed (decisions 18).
    A line whose anchor the class does not have (no promotion, nothing mailed abroad) makes no task.
    """
    lines = lines_for(recipe, kinds, hired_venue=hired_venue)
    places = {line.key: place for line in lines if (place := dated(line.timing, dates, calendars)) is not None}
    return tuple(
        PrepDraft(
            line=line,
            minutes=minutes_of(line, quantities, first=first, kinds=kinds),
            dated=places[line.key],
            offered=line.advice and places[line.key].aim_before <= now,
        )
        for line in bridged(lines, places.keys())
    )


def lead_links(line: Line) -> tuple[After, ...]:
    """The links of the line whose wait is a supplier's lead: the orders' days of arrival take its place."""
    return tuple(after for after in line.after if after.wait.unit is WaitUnit.SUPPLIER_LEAD)


def kits_to_build(heads: int, *, spare_percent: int = 10, spare_least: int = 1, demo_copies: int = 1) -> int:
    """Kits for a class: one a head, spares, and the demo copies.

    spare_percent: of the heads, rounded up to a whole kit; spare_least: but never fewer spares than this.
    Raises InvalidError: a number is below nought.
    Source: job.md 3.
    """
    if min(heads, spare_percent, spare_least, demo_copies) < 0:
        raise InvalidError("Heads, spares and demo copies are 0 or more.", hint="Give 0 or more.", field="heads")
    return heads + max(spare_least, -(-heads * spare_percent // 100)) + demo_copies

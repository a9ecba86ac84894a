"""The day itself: a run sheet with a drying clock, and how late a child is collected (job.md 6)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from scheduling.errors import InvalidError

GRACE_MINUTES: Final = 10
COLLECT_KIT_DAYS: Final = 14
LAST_GLUE_MINUTES: Final = 25


@dataclass(frozen=True, slots=True)
class Step:
    """One segment of the run sheet, in the order in which it is taught; drying_minutes: what it leaves drying."""

    what: str
    minutes: int
    drying_minutes: int = 0


@dataclass(frozen=True, slots=True)
class Segment:
    """A step with its times (aware); dries_at: when what it glued is dry, None where nothing dries."""

    step: Step
    starts: dt.datetime
    ends: dt.datetime
    dries_at: dt.datetime | None
    dry_in_time: bool


#: Before the start, as minutes before it: what and how long (job.md 6).
BEFORE: Final[tuple[tuple[int, Step], ...]] = (
    (75, Step("Arrive: occupancy sign, exits, step-free way, lights, air, photo of the room", 15)),
    (60, Step("Tables so that all see; leads taped; knives counted to a tray; first aid in sight", 30)),
    (30, Step("Places: kit, mat, handout, scrap; shared tools; sample; sign-in by the door", 20)),
    (10, Step("Sign in, consent marks, name tags", 10)),
)
AFTER: Final[tuple[Step, ...]] = (
    Step("Count tools in; blades to the sharps tin; oily rags to the lidded metal", 15),
    Step("Clear up, photo of the room, keys", 30),
)


def default_steps(minutes: int, *, children: bool) -> tuple[Step, ...]:
    """A run sheet for a class of so many minutes: welcome, making in two parts, a break, and the end of job.md 6.

    Children have shorter demonstrations, so shorter cycles, and wash hands before they are collected.
    """
    welcome, end = min(10, minutes // 6), min(15, minutes // 6)
    pause = 0 if minutes < 75 else 10 if minutes < 180 else 15
    wash = 5 if children and minutes >= 60 else 0
    making = minutes - welcome - end - pause - wash
    cycle = 15 if children else 25
    count = max(1, round(making / cycle))
    lengths = [making // count + (1 if n < making % count else 0) for n in range(count)]
    steps = [Step("Welcome, plan, exits, breaks, photos; safety: blades, heat, glue, batteries", welcome)]
    for n, length in enumerate(lengths):
        if pause and n == (count + 1) // 2:
            steps.append(Step("Break; what is glued dries; who is behind?", pause))
        steps.append(Step(f"Show and make, part {n + 1}", length))
    if wash:
        steps.append(Step("Wash hands", wash))
    steps.append(Step("Photos with consent, next dates, what dries at home and for how long", end))
    return tuple(step for step in steps if step.minutes)


def run_sheet(steps: Sequence[Step], starts: dt.datetime, ends: dt.datetime) -> tuple[Segment, ...]:
    """The steps from the start on, one after the other, in real minutes (clocks may change between).

    starts, ends: aware. A step past the end is shown as it falls, so that the overrun is seen.
    """
    found: list[Segment] = []
    at = starts.astimezone(dt.UTC)
    zone = starts.tzinfo
    for step in steps:
        end = at + dt.timedelta(minutes=step.minutes)
        dries = end + dt.timedelta(minutes=step.drying_minutes) if step.drying_minutes else None
        found.append(
            Segment(
                step,
                at.astimezone(zone),
                end.astimezone(zone),
                None if dries is None else dries.astimezone(zone),
                dries is None or dries <= ends,
            )
        )
        at = end
    return tuple(found)


def sheet_warnings(segments: Sequence[Segment], ends: dt.datetime) -> list[str]:
    """An overrun, and what is not dry at going-home time: each with its mend."""
    said: list[str] = []
    if segments and segments[-1].ends > ends:
        over = int((segments[-1].ends - ends).total_seconds()) // 60
        said.append(f"The run sheet is {over} minutes longer than the class: shorten a step or the project.")
    said += [
        f"{segment.step.what} is dry at {segment.dries_at:%a %H:%M}, after the end: send it home under boards"
        " and weight, or glue earlier."
        for segment in segments
        if not segment.dry_in_time
    ]
    return said


def late_minutes(signed_out: dt.datetime, ends: dt.datetime) -> int:
    """Whole minutes past the end at which a child was collected, none within the first ten."""
    late = int((signed_out - ends).total_seconds()) // 60
    return late if late > GRACE_MINUTES else 0


def check_steps(steps: Sequence[Step]) -> None:
    """Raise InvalidError for a run sheet longer than a day, or a step without words."""
    if sum(step.minutes for step in steps) > 1440:
        raise InvalidError("A run sheet is a day long at most.", hint="Check the minutes.", field="steps")
    if any(not step.what.strip() for step in steps):
        raise InvalidError("Every step says what is done.", hint="Give it a few words.", field="steps")

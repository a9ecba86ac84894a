"""How many days before or after a date a line of prep aims, as she types it and as it is shown."""

from __future__ import annotations

import re

from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.model.prep import Effort, Line
from scheduling.model.prep_dates import Aim
from scheduling.typed_days import shortened
from scheduling.words import LONGEST, Understood

MOST_DAYS = 730
_OFFSET = re.compile(r"(?:t ?)?([+-])? ?(\d{1,3})(?: ?(?:d|day|days))?(?: (before|after))?", re.ASCII)


def read_offset(text: str, *, field: str = "days") -> Understood[int]:
    """Days from a date, negative before it: 7 before, T-7, -7, 2 after, +2, 0, same day; a bare 7 is refused.

    Raises InvalidError for what is not understood, says both, or is past 730 days.
    """
    plain = typed_text(text) if len(text) <= LONGEST else ""
    match = _OFFSET.fullmatch("0" if plain in ("same day", "the day", "the day itself") else plain)
    if match is None or (match[1] and match[3]):
        raise InvalidError(
            f"{shortened(text)} is not understood as days before or after.",
            hint="Write such as 7 before, 2 after or same day.",
            field=field,
        )
    days = int(match[2])
    if days and not (match[1] or match[3]):
        raise InvalidError(f"{days} may be before or after.", hint=f"Write {days} before or {days} after.", field=field)
    if days > MOST_DAYS:
        raise InvalidError(f"{days} days is too far.", hint=f"Use {MOST_DAYS} or less.", field=field)
    is_before = match[3] == "before" or match[1] == "-"
    return Understood(-days if is_before else days, offset_text(-days if is_before else days))


def offset_text(days: int) -> str:
    """Such as "7 days before", "1 day after" or "same day"."""
    if days == 0:
        return "same day"
    count = "1 day" if abs(days) == 1 else f"{abs(days)} days"
    return f"{count} {'before' if days < 0 else 'after'}"


def aim_text(aim: Aim) -> str:
    """Such as "7 days before class start" or "same day as go/no-go"; the counting where it is not by calendar."""
    offset = "same day as" if aim.days == 0 else offset_text(aim.days)
    counting = "" if aim.counting.value == "calendar days" else f", {aim.counting.value}"
    return f"{offset} {aim.anchor.value}{counting}"


def effort_text(effort: Effort) -> str:
    """Such as "15 + 3 a kit": the fixed minutes, and those for each of a quantity."""
    rates = [f"{rate.minutes.normalize():f} a {rate.per.value}" for rate in effort.rates]
    fixed = [f"{effort.fixed.normalize():f}"] if effort.fixed or not rates else []
    return " + ".join([*fixed, *rates])


def line_about(line: Line) -> str:
    """What a line says beyond its title: for which classes, how long in later runs, on what it waits."""
    kinds = ", ".join(kind.value for kind in line.kinds)
    parts = [f"For: {kinds}" + (f"; not: {', '.join(kind.value for kind in line.not_for)}" if line.not_for else "")]
    if line.timing.mailed_aim is not None:
        parts.append(f"where kits are posted, {aim_text(line.timing.mailed_aim)}")
    if line.again is not None and line.again != line.first:
        parts.append(f"{effort_text(line.again)} min when the project has run before")
    if line.after:
        parts.append(f"after {', '.join(after.key for after in line.after)}")
    if line.advice:
        parts.append("advice: offered, not owed, once its day has passed")
    return "; ".join(parts) + "."

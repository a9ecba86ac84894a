"""Reading a run sheet as she types it: one step a line, what is done, how long, what it leaves drying."""

from __future__ import annotations

import re
from collections.abc import Iterable

from scheduling.errors import InvalidError
from scheduling.model.day import Step
from scheduling.words import read_minutes, show_minutes

_STEP = re.compile(r"(.+)=([^=+]+)(?:\+([^=+]+))?")


def read_step(text: str) -> tuple[str, int, int]:
    """One step written as WHAT = TIME, or WHAT = TIME + DRYING; gives (what, minutes, drying minutes).

    Raises InvalidError with field "steps".
    """
    match = _STEP.fullmatch(text.strip())
    if match is None:
        raise InvalidError(
            f"The step {text.strip()!r} has no time.", hint="Write it as 'Glue the spine = 20m + 1h'.", field="steps"
        )
    drying = read_minutes(match[3].strip(), field="steps").value if match[3] else 0
    return match[1].strip(), read_minutes(match[2].strip(), field="steps").value, drying


def read_steps(text: str) -> tuple[tuple[str, int, int], ...]:
    """Every line that is not empty as a step, in order; none means the usual run sheet."""
    return tuple(read_step(line) for line in text.splitlines() if line.strip())


def show_steps(steps: Iterable[Step]) -> str:
    """Steps as they are typed; `read_steps` reads them back."""
    return "\n".join(
        f"{step.what.replace('=', '-')} = {show_minutes(step.minutes)}"
        + (f" + {show_minutes(step.drying_minutes)}" if step.drying_minutes else "")
        for step in steps
    )


def read_drying(typed: str) -> int | None:
    """Whole hours of drying or pressing, such as 12h or 0; None for an empty entry or "recipe": as the recipe says.

    Raises InvalidError.
    """
    if typed.strip().casefold() in ("", "recipe"):
        return None
    text = typed.strip()
    minutes = 60 * int(text) if text.isdigit() else read_minutes(text, field="drying_hours").value
    if minutes % 60:
        raise InvalidError("Drying is counted in whole hours.", hint="Give such as 12h.", field="drying_hours")
    return minutes // 60

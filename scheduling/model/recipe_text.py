"""A recipe line as the store keeps it: JSON, the same text for the same line.

Written out by hand: the first screen reads every line, and a validating library would cost it a third of its start.
"""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from functools import lru_cache
from typing import Any

from scheduling.errors import InvalidError
from scheduling.model.kinds import Kind
from scheduling.model.prep import After, Batch, Effort, Factor, Line, Per, Phase, Rate
from scheduling.model.prep_dates import Aim, Anchor, Counting, Timing
from scheduling.model.waits import Wait, WaitUnit

_ANNOUNCING = frozenset({"announce", "post_28", "post_14", "post_7", "early_bird"})
"""Lines of older studios that announce, though their kept form does not say so yet."""


def line_text(line: Line) -> str:
    """The line as JSON."""
    timing = line.timing
    kept = {
        "key": line.key,
        "title": line.title,
        "phase": line.phase.value,
        "timing": {
            "aim": _aim(timing.aim),
            "mailed_aim": None if timing.mailed_aim is None else _aim(timing.mailed_aim),
            "hard": None if timing.hard is None else _aim(timing.hard),
            "window_days": timing.window_days,
            "after_class": timing.after_class,
        },
        "first": _effort(line.first),
        "again": None if line.again is None else _effort(line.again),
        "after": [{"key": a.key, "amount": a.wait.amount, "unit": a.wait.unit.value} for a in line.after],
        "kinds": [kind.value for kind in line.kinds],
        "not_for": [kind.value for kind in line.not_for],
        "factors": [{"kind": factor.kind.value, "times": str(factor.times)} for factor in line.factors],
        "batch": line.batch.value,
        "advice": line.advice,
        "one_sitting": line.one_sitting,
        "hired_only": line.hired_only,
        "announces": line.announces,
    }
    return json.dumps(kept, ensure_ascii=False, separators=(",", ":"))


@lru_cache(maxsize=4096)
def line_of(text: str) -> Line:
    """The line that `line_text` wrote; raises InvalidError when the text is none."""
    try:
        return _line(json.loads(text))
    except (ValueError, KeyError, TypeError, ArithmeticError) as error:
        raise InvalidError("A recipe line in the file is damaged.", hint="Open a copy of the file.") from error


def _line(kept: dict[str, Any]) -> Line:
    timing = kept["timing"]
    return Line(
        key=kept["key"],
        title=kept["title"],
        phase=Phase(kept["phase"]),
        timing=Timing(
            aim=_aim_of(timing["aim"]),
            mailed_aim=None if timing["mailed_aim"] is None else _aim_of(timing["mailed_aim"]),
            hard=None if timing["hard"] is None else _aim_of(timing["hard"]),
            window_days=timing["window_days"],
            after_class=bool(timing["after_class"]),
        ),
        first=_effort_of(kept["first"]),
        again=None if kept["again"] is None else _effort_of(kept["again"]),
        after=tuple(After(one["key"], Wait(int(one["amount"]), WaitUnit(one["unit"]))) for one in kept["after"]),
        kinds=tuple(Kind(kind) for kind in kept["kinds"]),
        not_for=tuple(Kind(kind) for kind in kept["not_for"]),
        factors=tuple(Factor(Kind(one["kind"]), Decimal(one["times"])) for one in kept["factors"]),
        batch=Batch(kept["batch"]),
        advice=bool(kept["advice"]),
        one_sitting=bool(kept["one_sitting"]),
        hired_only=bool(kept["hired_only"]),
        announces=bool(kept.get("announces", kept["key"] in _ANNOUNCING)),
    )


def _aim(aim: Aim) -> dict[str, Any]:
    at = None if aim.at is None else aim.at.isoformat("minutes")
    return {"anchor": aim.anchor.value, "days": aim.days, "at": at, "counting": aim.counting.value}


def _aim_of(kept: dict[str, Any]) -> Aim:
    at = None if kept["at"] is None else dt.time.fromisoformat(kept["at"])
    return Aim(Anchor(kept["anchor"]), int(kept["days"]), at, Counting(kept["counting"]))


def _effort(effort: Effort) -> dict[str, Any]:
    rates = [{"minutes": str(rate.minutes), "per": rate.per.value} for rate in effort.rates]
    return {"fixed": str(effort.fixed), "rates": rates}


def _effort_of(kept: dict[str, Any]) -> Effort:
    rates = tuple(Rate(Decimal(one["minutes"]), Per(one["per"])) for one in kept["rates"])
    return Effort(Decimal(kept["fixed"]), rates)

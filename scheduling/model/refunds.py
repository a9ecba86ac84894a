"""What is given back when heads are given up: the tiers kept with the booking, on the day of notice.

The tiers are the studio's own terms, an example and never advice: what the law of the place gives goes before them.
Source: decisions 9 ("full >= T-14" includes all of T-14); job.md 2; demo.md, "How the figures come" 9.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from scheduling.clock import WallTime
from scheduling.errors import InvalidError
from scheduling.model.deadlines import days_to_go
from scheduling.model.prices import Line

Part = Literal["full", "half", "credit", "none"]
GivenUp = Literal["full", "half", "credit", "none", "called off"]
Tiers = tuple[tuple[int, Part], ...]

CAUTION: Final = (
    "These are the terms kept with the booking; what the law of the place gives goes before them: ask the consumer"
    " authority or an adviser."
)


@lru_cache(maxsize=256)
def tiers_of(text: str) -> Tiers:
    """Tiers from their kept form, a JSON list of [days before, part]."""
    return tuple((int(days), part) for days, part in json.loads(text))


def check_tiers(tiers: Sequence[tuple[int, str]]) -> None:
    """Raise InvalidError unless the days fall, each once, down to 0."""
    days = [days for days, _ in tiers]
    if not days or days != sorted(set(days), reverse=True) or days[-1] != 0:
        raise InvalidError(
            "Refund tiers go from the most days before the class down to 0.",
            hint="Give each number of days once and end with 0.",
            field="refund_tiers",
        )


def part_on(tiers: Tiers, days_before: int) -> Part:
    """The part given back on notice so many days before the class; nothing once the class day is past."""
    return next((part for days, part in tiers if days_before >= days), "none")


def notice_days(notice_at: dt.datetime, starts: WallTime) -> int:
    """Calendar days from the notice (aware) to the class day, as the class's zone counts them."""
    return days_to_go(notice_at, starts)


@dataclass(frozen=True, slots=True)
class GivingBack:
    """What becomes of what was paid for the heads given up, in minor units; the three add up to it.

    deposit_kept: the part of `kept` that is the host's deposit. note: what else came of it, a sentence or nothing.
    """

    part: GivenUp
    back: int
    credit: int
    kept: int
    deposit_kept: int
    lines: tuple[Line, ...]
    note: str = ""


def giving_back(part: GivenUp, *, held: int, price_before: int, price_after: int, deposit_kept: int = 0) -> GivingBack:
    """Share out what was paid when heads leave.

    held: received less given back, so far. price_before, price_after: of the booking with and without those heads.
    deposit_kept: a deposit that stays with the studio whatever the tier, where all heads leave; 0 for none.
    What is paid covers the heads that stay first; what is paid past `price_before` is no matter of tiers and stays
    the payer's. Half of an odd sum is rounded up in the payer's favour (half up, once).
    """
    base = max(0, min(held, price_before) - price_after)
    if part == "called off":
        return GivingBack(part, base, 0, 0, 0, (("all that was paid", base),) if base else ())
    deposit = min(base, deposit_kept)
    rest = base - deposit
    back = {"full": rest, "half": (rest + 1) // 2, "credit": 0, "none": 0}[part]
    credit = rest if part == "credit" else 0
    kept = base - back - credit
    words = {"full": "all of it goes back", "half": "half of it goes back", "credit": "kept for them as credit"}
    lines: list[Line] = [("paid for the heads that leave", base)] if base else []
    if deposit:
        lines.append(("the deposit is kept", -deposit))
    if rest and part in words:
        lines.append((words[part], back or credit))
    elif rest:
        lines.append(("nothing goes back so late", 0))
    return GivingBack(part, back, credit, kept, deposit, tuple(lines))

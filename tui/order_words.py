"""What must be ordered by when, in a sentence; light enough for the first screen."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from scheduling.words import show_day, show_time

if TYPE_CHECKING:
    from scheduling.queries.stock_room import OrderDeadline


def deadline_about(one: OrderDeadline, *, today: dt.date) -> str:
    """What must be ordered by when, from whom, for whom; where that is past, when it comes and whom that endangers."""
    hour = f" before {show_time(one.hour)}" if one.hour is not None else ""
    when = "It should have gone out before now" if one.is_past else f"By {show_day(one.day, today=today)}{hour}"
    said = f"{when}: order {', '.join(one.materials)} from {one.supplier} for {', '.join(one.class_refs)}"
    if one.arrives is None or not (one.is_past or one.endangered):
        return f"{said}."
    late = f"too late for {', '.join(one.endangered_refs)}" if one.endangered else "in time yet"
    return f"{said}; an order of now comes {show_day(one.arrives, today=today)}, {late}."

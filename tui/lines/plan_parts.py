"""What the plan and the week say alike: what moved, and what must be ordered by when. Loads no command."""

from __future__ import annotations

import datetime as dt
from typing import Any

from scheduling.model.refs import ref
from scheduling.queries.plan_page import MovedTask
from scheduling.queries.stock_room import OrderDeadline
from scheduling.words import show_day
from tui.lines.out import say
from tui.order_words import deadline_about


def moved_entry(move: MovedTask) -> dict[str, Any]:
    """A task that lies on other days, in an answer."""
    return {
        "task": move.ref,
        "class": ref("class_date", move.class_date_id),
        "title": move.title,
        "before": move.before,
        "now": move.now,
        "because": move.because,
    }


def order_entry(one: OrderDeadline) -> dict[str, Any]:
    """What must be ordered by when, in an answer."""
    return {
        "day": one.day,
        "hour": one.hour,
        "past": one.is_past,
        "supplier": one.ref,
        "name": one.supplier,
        "materials": one.materials,
        "classes": one.class_refs,
        "arrives": one.arrives,
        "endangered": one.endangered_refs,
    }


def show_orders(orders: tuple[OrderDeadline, ...], today: dt.date) -> None:
    """What must be ordered by when."""
    if not orders:
        return
    print("\nTo order")
    for one in orders:
        say(f"  {deadline_about(one, today=today)}")


def show_moved(moved: tuple[MovedTask, ...], kept_on: dt.date | None) -> None:
    """What lies on other days than in the kept plan, with why."""
    if not moved:
        return
    since = f" since the plan of {show_day(kept_on)}" if kept_on is not None else ""
    print(f"\n{len(moved)} {'task' if len(moved) == 1 else 'tasks'} moved{since}")
    for move in moved:
        say(f"  {move.said}")

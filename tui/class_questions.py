"""What is asked before a class is called off: the consequences are named."""

from __future__ import annotations

import datetime as dt

from scheduling.model.bookings import heads_text
from scheduling.queries.classes import ClassRow
from tui import class_lines
from tui.widgets.ask import Answer, Ask


def ask_cancel(row: ClassRow, *, today: dt.date) -> Ask:
    """The question before `row` is cancelled; its answer is "cancel" when it is to be done."""
    details = ["It stays in the class calendar as cancelled, and its open prep is dropped."]
    if row.heads:
        details.append(f"{heads_text(row.heads)} booked: all they paid is owed back, and a message to each is drafted.")
    if row.waiting:
        details.append(f"{heads_text(row.waiting)} waiting: a message to each is drafted too.")
    return Ask(
        f"Call off {class_lines.named(row)}, {class_lines.when(row, today=today)}?",
        (Answer("stay", "Leave the class as it is"), Answer("cancel", "Call the class off", is_grave=True)),
        details="\n".join(details),
    )

"""Seats taken, as a piece of SQL that counts one class date by its indexes."""

from __future__ import annotations

from typing import Final

from scheduling.store.schema import SEAT_HOLDING_STATES

_HOLDING = ", ".join(f"'{state}'" for state in SEAT_HOLDING_STATES)

#: Heads with a seat on the row's `class_date` (decisions 7). The view of the same name counts every class date there
#: ever was before it gives one, which a list of a few cannot afford.
HEADS_TAKEN: Final = f"""(SELECT count(*) FROM booking JOIN seat ON seat.booking_id = booking.id
  WHERE booking.class_date_id = class_date.id AND booking.state IN ({_HOLDING}) AND seat.given_up_at IS NULL)"""  # noqa: S608  our own states

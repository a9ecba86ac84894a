"""Schema step 10: which bookings are still open, kept by triggers so that what is owed is found without adding up all.

`open_booking` names every booking on a class to come, and every other one whose money may not be even; some that are
even stay in it (hosts, minimum charges, bundles), none that owes or is owed is left out. What each owes is weighed by
the rules in model/. It follows from the other tables, so that it is in no history and no copy.
"""

from __future__ import annotations

_HELD = """
    coalesce((SELECT sum(amount_minor) FROM payment WHERE booking_id = booking.id AND bounced_at IS NULL), 0)
    + coalesce((SELECT sum(amount_minor) FROM credit_use WHERE booking_id = booking.id), 0)
    + coalesce((SELECT sum(amount_minor) FROM carried WHERE to_booking_id = booking.id), 0)
    - coalesce((SELECT sum(amount_minor) FROM carried WHERE from_booking_id = booking.id), 0)
    - coalesce((SELECT sum(amount_minor) FROM refund WHERE booking_id = booking.id), 0)
    - coalesce((SELECT sum(amount_minor) FROM credit WHERE booking_id = booking.id), 0)
"""

_DUE = """
    coalesce((SELECT sum(amount_minor) FROM charge WHERE booking_id = booking.id), 0)
    + coalesce((SELECT sum(kept_minor) FROM giving_up WHERE booking_id = booking.id), 0)
    - coalesce((SELECT sum(waived_minor) FROM refund WHERE booking_id = booking.id), 0)
    - coalesce((SELECT sum(waived_minor) FROM credit WHERE booking_id = booking.id), 0)
    + CASE WHEN EXISTS (SELECT 1 FROM giving_up WHERE booking_id = booking.id AND part = 'called off') THEN 0
      ELSE (SELECT count(*) FROM seat WHERE booking_id = booking.id AND given_up_at IS NULL)
        * (booking.fee_minor - booking.off_each_minor) END
"""

_OPEN = f"""
CREATE VIEW booking_is_open AS
SELECT booking.id, booking.class_date_id FROM booking JOIN class_date ON class_date.id = booking.class_date_id
WHERE CASE WHEN booking.state IN ('held', 'deposit', 'confirmed')
  THEN (class_date.taught_at IS NULL AND class_date.state <> 'cancelled')
    OR booking.host_free_from IS NOT NULL OR booking.least_heads_charged > 0 OR booking.off_once_minor > 0
    OR ({_HELD}) <> ({_DUE})
  ELSE ({_HELD}) <> 0 OR EXISTS (SELECT 1 FROM charge WHERE booking_id = booking.id) END;
CREATE TABLE open_booking (id INTEGER PRIMARY KEY) STRICT;
"""

FILL = "INSERT OR IGNORE INTO open_booking (id) SELECT id FROM booking_is_open"
"""Brings `open_booking` up to date where rows came in past the triggers: into a new file out of a plain copy."""


def _weigh(name: str, event: str, *bookings: str) -> str:
    """A trigger that weighs these bookings anew; no row is left behind of one that is gone."""
    body = "".join(
        f"DELETE FROM open_booking WHERE id = {booking};\n"
        f"INSERT OR IGNORE INTO open_booking (id) SELECT id FROM booking_is_open WHERE id = {booking};\n"
        for booking in bookings
    )
    return f"CREATE TRIGGER {name} AFTER {event}\nBEGIN\n{body}END;\n"


def _of_table(table: str, *columns: str) -> str:
    new, old = (tuple(f"{row}.{column}" for column in columns) for row in ("NEW", "OLD"))
    return (
        _weigh(f"{table}_made_is_weighed", f"INSERT ON {table}", *new)
        + _weigh(f"{table}_changed_is_weighed", f"UPDATE ON {table}", *dict.fromkeys((*old, *new)))
        + _weigh(f"{table}_gone_is_weighed", f"DELETE ON {table}", *old)
    )


_TRIGGERS = (
    _of_table("booking", "id")
    + "".join(
        _of_table(table, "booking_id")
        for table in ("seat", "payment", "refund", "credit", "credit_use", "giving_up", "charge")
    )
    + _of_table("carried", "from_booking_id", "to_booking_id")
    + """
CREATE TRIGGER class_date_over_is_weighed AFTER UPDATE OF taught_at, state ON class_date
BEGIN
DELETE FROM open_booking WHERE id IN (SELECT id FROM booking WHERE class_date_id = NEW.id);
INSERT OR IGNORE INTO open_booking (id) SELECT id FROM booking_is_open WHERE class_date_id = NEW.id;
END;
"""
)

_INDEXES = """
DROP INDEX seat_by_booking;
CREATE INDEX seat_by_booking ON seat (booking_id, given_up_at);
CREATE INDEX payment_by_day ON payment (day);
CREATE INDEX refund_by_day ON refund (day);
"""

STEP = f"{_OPEN}{_TRIGGERS}{_INDEXES}{FILL};\n"

"""Schema step 16: the rule of seats is asked only where heads come to a class, not for those who wait.

A long import puts in thousands of rows for the waitlist: for none of them are the seats of the class counted. A booking
whose seats were made before it, as undo may make them, is still weighed.
"""

from __future__ import annotations

_HOLDING = "'held', 'deposit', 'confirmed', 'offered'"
_CLASS_OF_SEAT = "(SELECT class_date_id FROM booking WHERE id = NEW.booking_id)"


def _fits(class_date_id: str) -> str:
    return f"""BEGIN
    SELECT RAISE(ABORT, 'rule: seats')
    WHERE (SELECT count(*) FROM booking JOIN seat ON seat.booking_id = booking.id
           WHERE booking.class_date_id = {class_date_id}
             AND booking.state IN ({_HOLDING}) AND seat.given_up_at IS NULL)
        > (SELECT seats FROM class_date WHERE id = {class_date_id});
END;
"""


STEP = f"""
DROP TRIGGER seat_made_fits;
CREATE TRIGGER seat_made_fits AFTER INSERT ON seat
WHEN NEW.given_up_at IS NULL AND (SELECT state FROM booking WHERE id = NEW.booking_id) IN ({_HOLDING})
{_fits(_CLASS_OF_SEAT)}
DROP TRIGGER booking_made_fits;
CREATE TRIGGER booking_made_fits AFTER INSERT ON booking
WHEN NEW.state IN ({_HOLDING}) AND EXISTS (SELECT 1 FROM seat WHERE booking_id = NEW.id)
{_fits("NEW.class_date_id")}
"""

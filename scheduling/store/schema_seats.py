"""Schema step 9: who stays in the room without a seat, a host's final count, charges besides the fee, answers per head.

`booking_sums` is made anew with the charges. `booking_open` goes: what is open is asked in store/booking_money.py.
"""

from __future__ import annotations

STEP = """
ALTER TABLE class_date ADD COLUMN guardians_stay INTEGER NOT NULL DEFAULT 0 CHECK (guardians_stay IN (0, 1));
ALTER TABLE class_date ADD COLUMN overtime_minor INTEGER NOT NULL DEFAULT 0 CHECK (overtime_minor >= 0);
ALTER TABLE booking ADD COLUMN staying_adults INTEGER NOT NULL DEFAULT 0 CHECK (staying_adults BETWEEN 0 AND 1000);
ALTER TABLE booking ADD COLUMN counted_at TEXT;
ALTER TABLE seat ADD COLUMN ask_again TEXT NOT NULL DEFAULT '' CHECK (ask_again IN ('', 'new date', 'new person'));
UPDATE seat SET ask_again = (SELECT ask_again FROM booking WHERE booking.id = seat.booking_id)
    WHERE given_up_at IS NULL
      AND booking_id IN (SELECT id FROM booking WHERE ask_again <> '' AND state NOT IN ('cancelled', 'transferred'));
CREATE TABLE charge (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    booking_id INTEGER NOT NULL REFERENCES booking (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    what TEXT NOT NULL CHECK (trim(what) <> ''),
    amount_minor INTEGER NOT NULL CHECK (amount_minor > 0),
    created_at TEXT NOT NULL
) STRICT;
CREATE INDEX charge_by_booking ON charge (booking_id);
DROP VIEW booking_open;
DROP VIEW booking_sums;
CREATE VIEW booking_sums AS
SELECT booking.id AS booking_id,
    (SELECT count(*) FROM seat WHERE seat.booking_id = booking.id AND seat.given_up_at IS NULL) AS heads,
    coalesce((SELECT sum(amount_minor) FROM payment
        WHERE payment.booking_id = booking.id AND payment.bounced_at IS NULL), 0) AS paid_minor,
    coalesce((SELECT sum(amount_minor) FROM credit_use WHERE credit_use.booking_id = booking.id), 0) AS used_minor,
    coalesce((SELECT sum(amount_minor) FROM carried WHERE carried.to_booking_id = booking.id), 0) AS carried_in_minor,
    coalesce((SELECT sum(amount_minor) FROM carried WHERE carried.from_booking_id = booking.id), 0)
        AS carried_out_minor,
    coalesce((SELECT sum(amount_minor) FROM refund WHERE refund.booking_id = booking.id), 0) AS refunded_minor,
    coalesce((SELECT sum(amount_minor) FROM credit WHERE credit.booking_id = booking.id), 0) AS credited_minor,
    coalesce((SELECT sum(waived_minor) FROM refund WHERE refund.booking_id = booking.id), 0)
        + coalesce((SELECT sum(waived_minor) FROM credit WHERE credit.booking_id = booking.id), 0) AS waived_minor,
    coalesce((SELECT sum(kept_minor) FROM giving_up WHERE giving_up.booking_id = booking.id), 0) AS kept_minor,
    coalesce((SELECT sum(credit_minor) FROM giving_up WHERE giving_up.booking_id = booking.id), 0) AS as_credit_minor,
    coalesce((SELECT sum(amount_minor) FROM charge WHERE charge.booking_id = booking.id), 0) AS charged_minor,
    EXISTS (SELECT 1 FROM giving_up WHERE giving_up.booking_id = booking.id AND giving_up.part = 'called off')
        AS called_off
FROM booking;
"""

"""Schema step 2: what a class costs, what bookings were priced at, and money in, back and kept as credit.

Sums are whole minor units. A booking's balance is worked out, never stored (domain.md, rule 3): the view
`booking_sums` adds up what came in and went out, so that no figure can drift from its entries.
"""

from __future__ import annotations

_COSTS = """
ALTER TABLE studio ADD COLUMN hourly_rate_minor INTEGER NOT NULL DEFAULT 0 CHECK (hourly_rate_minor >= 0);
ALTER TABLE studio ADD COLUMN card_percent_thousandths INTEGER NOT NULL DEFAULT 0
    CHECK (card_percent_thousandths BETWEEN 0 AND 100000);
ALTER TABLE studio ADD COLUMN card_flat_minor INTEGER NOT NULL DEFAULT 0 CHECK (card_flat_minor >= 0);
ALTER TABLE studio ADD COLUMN mailer_minor INTEGER NOT NULL DEFAULT 0 CHECK (mailer_minor >= 0);
ALTER TABLE studio ADD COLUMN credit_days INTEGER NOT NULL DEFAULT 365 CHECK (credit_days BETWEEN 1 AND 3650);
ALTER TABLE venue ADD COLUMN hire_by TEXT NOT NULL DEFAULT 'none' CHECK (hire_by IN ('none', 'hour', 'evening'));
ALTER TABLE venue ADD COLUMN hire_minor INTEGER NOT NULL DEFAULT 0 CHECK (hire_minor >= 0);
ALTER TABLE venue ADD COLUMN hire_least_minutes INTEGER NOT NULL DEFAULT 0
    CHECK (hire_least_minutes BETWEEN 0 AND 1440);
ALTER TABLE venue ADD COLUMN hire_deposit_minor INTEGER NOT NULL DEFAULT 0 CHECK (hire_deposit_minor >= 0);
ALTER TABLE venue ADD COLUMN travel_minor INTEGER NOT NULL DEFAULT 0 CHECK (travel_minor >= 0);
ALTER TABLE venue ADD COLUMN drinks_minor INTEGER NOT NULL DEFAULT 0 CHECK (drinks_minor >= 0);
ALTER TABLE project ADD COLUMN kit_cost_minor INTEGER CHECK (kit_cost_minor >= 0);
ALTER TABLE class_date ADD COLUMN kit_cost_minor INTEGER CHECK (kit_cost_minor >= 0);
ALTER TABLE class_date ADD COLUMN postage_minor INTEGER NOT NULL DEFAULT 0 CHECK (postage_minor >= 0);
ALTER TABLE class_date ADD COLUMN deposit_minor INTEGER NOT NULL DEFAULT 0 CHECK (deposit_minor >= 0);
ALTER TABLE class_date ADD COLUMN host_free_from INTEGER CHECK (host_free_from >= 1);
ALTER TABLE class_date ADD COLUMN least_heads_charged INTEGER NOT NULL DEFAULT 0 CHECK (least_heads_charged >= 0);
ALTER TABLE class_date ADD COLUMN refund_tiers TEXT CHECK (refund_tiers IS NULL OR json_valid(refund_tiers));
CREATE TABLE class_cost (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    what TEXT NOT NULL CHECK (trim(what) <> ''),
    per TEXT NOT NULL CHECK (per IN ('class', 'head')),
    amount_minor INTEGER NOT NULL CHECK (amount_minor >= 0),
    modified_at TEXT NOT NULL
) STRICT;
CREATE INDEX class_cost_by_class ON class_cost (class_date_id);
"""

_BOOKED = """
ALTER TABLE booking ADD COLUMN off_each_minor INTEGER NOT NULL DEFAULT 0
    CHECK (off_each_minor BETWEEN 0 AND fee_minor);
ALTER TABLE booking ADD COLUMN off_once_minor INTEGER NOT NULL DEFAULT 0 CHECK (off_once_minor >= 0);
ALTER TABLE booking ADD COLUMN host_free_from INTEGER CHECK (host_free_from >= 1);
ALTER TABLE booking ADD COLUMN least_heads_charged INTEGER NOT NULL DEFAULT 0 CHECK (least_heads_charged >= 0);
ALTER TABLE booking ADD COLUMN deposit_minor INTEGER NOT NULL DEFAULT 0 CHECK (deposit_minor >= 0);
ALTER TABLE booking ADD COLUMN deposit_is_kept INTEGER NOT NULL DEFAULT 0 CHECK (deposit_is_kept IN (0, 1));
CREATE TABLE payment (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    booking_id INTEGER NOT NULL REFERENCES booking (id),
    payer_id INTEGER NOT NULL REFERENCES person (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    amount_minor INTEGER NOT NULL CHECK (amount_minor > 0),
    method TEXT NOT NULL CHECK (method IN ('card', 'cash', 'transfer', 'cheque', 'other')),
    reference TEXT NOT NULL DEFAULT '',
    bounced_at TEXT,
    created_at TEXT NOT NULL,
    modified_at TEXT NOT NULL
) STRICT;
CREATE INDEX payment_by_booking ON payment (booking_id);
CREATE INDEX payment_by_payer ON payment (payer_id);
CREATE TABLE giving_up (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    booking_id INTEGER NOT NULL REFERENCES booking (id),
    notice_at TEXT NOT NULL,
    days_before INTEGER NOT NULL,
    part TEXT NOT NULL CHECK (part IN ('full', 'half', 'credit', 'none', 'called off')),
    heads INTEGER NOT NULL CHECK (heads >= 0),
    kept_minor INTEGER NOT NULL CHECK (kept_minor >= 0),
    back_minor INTEGER NOT NULL CHECK (back_minor >= 0),
    credit_minor INTEGER NOT NULL CHECK (credit_minor >= 0),
    deposit_kept_minor INTEGER NOT NULL DEFAULT 0 CHECK (deposit_kept_minor BETWEEN 0 AND kept_minor)
) STRICT;
CREATE INDEX giving_up_by_booking ON giving_up (booking_id);
CREATE TABLE refund (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    booking_id INTEGER NOT NULL REFERENCES booking (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    amount_minor INTEGER NOT NULL CHECK (amount_minor > 0),
    waived_minor INTEGER NOT NULL DEFAULT 0 CHECK (waived_minor BETWEEN 0 AND amount_minor),
    method TEXT NOT NULL CHECK (method IN ('card', 'cash', 'transfer', 'cheque', 'other')),
    reference TEXT NOT NULL DEFAULT '',
    created_at TEXT NOT NULL,
    modified_at TEXT NOT NULL
) STRICT;
CREATE INDEX refund_by_booking ON refund (booking_id);
CREATE TABLE credit (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    person_id INTEGER NOT NULL REFERENCES person (id),
    booking_id INTEGER NOT NULL REFERENCES booking (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    ends_on TEXT NOT NULL CHECK (date(ends_on, '+0 days') IS ends_on AND ends_on >= day),
    amount_minor INTEGER NOT NULL CHECK (amount_minor > 0),
    waived_minor INTEGER NOT NULL DEFAULT 0 CHECK (waived_minor BETWEEN 0 AND amount_minor),
    created_at TEXT NOT NULL,
    modified_at TEXT NOT NULL
) STRICT;
CREATE INDEX credit_by_booking ON credit (booking_id);
CREATE INDEX credit_by_person ON credit (person_id);
CREATE TABLE credit_use (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    credit_id INTEGER NOT NULL REFERENCES credit (id),
    booking_id INTEGER NOT NULL REFERENCES booking (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    amount_minor INTEGER NOT NULL CHECK (amount_minor > 0),
    created_at TEXT NOT NULL
) STRICT;
CREATE INDEX credit_use_by_credit ON credit_use (credit_id);
CREATE INDEX credit_use_by_booking ON credit_use (booking_id);
CREATE TABLE carried (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    from_booking_id INTEGER NOT NULL REFERENCES booking (id),
    to_booking_id INTEGER NOT NULL REFERENCES booking (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    amount_minor INTEGER NOT NULL CHECK (amount_minor > 0),
    created_at TEXT NOT NULL,
    CHECK (from_booking_id <> to_booking_id)
) STRICT;
CREATE INDEX carried_by_from ON carried (from_booking_id);
CREATE INDEX carried_by_to ON carried (to_booking_id);
"""

# A head counts while its booking holds or waits to hold a seat; waiting and asking cost nothing yet (job.md 2).
_SUMS = """
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
    EXISTS (SELECT 1 FROM giving_up WHERE giving_up.booking_id = booking.id AND giving_up.part = 'called off')
        AS called_off
FROM booking;
"""

# The bookings that may still ask for money or hold some: on classes to come, or with a price or sum that differs.
_OPEN = """
CREATE VIEW booking_open AS
SELECT booking.id FROM booking JOIN class_date ON class_date.id = booking.class_date_id
    JOIN booking_sums AS s ON s.booking_id = booking.id
WHERE (class_date.taught_at IS NULL AND class_date.state <> 'cancelled'
        AND booking.state IN ('held', 'deposit', 'confirmed'))
    OR s.paid_minor + s.used_minor + s.carried_in_minor - s.carried_out_minor - s.refunded_minor - s.credited_minor
        <> max(0, s.kept_minor - s.waived_minor + CASE
            WHEN booking.state NOT IN ('held', 'deposit', 'confirmed') OR s.called_off OR s.heads = 0 THEN 0
            ELSE max(0, (max(s.heads, booking.least_heads_charged)
                - (booking.host_free_from IS NOT NULL
                    AND max(s.heads, booking.least_heads_charged) - 1 >= booking.host_free_from))
                * (booking.fee_minor - booking.off_each_minor) - booking.off_once_minor) END);
"""

# Hold against any writer what the commands check too: a credit is not spent twice, no more is given than came in.
_HELD = """
    coalesce((SELECT sum(amount_minor) FROM payment WHERE booking_id = {id} AND bounced_at IS NULL), 0)
    + coalesce((SELECT sum(amount_minor) FROM credit_use WHERE booking_id = {id}), 0)
    + coalesce((SELECT sum(amount_minor) FROM carried WHERE to_booking_id = {id}), 0)
    - coalesce((SELECT sum(amount_minor) FROM carried WHERE from_booking_id = {id}), 0)
    - coalesce((SELECT sum(amount_minor) FROM refund WHERE booking_id = {id}), 0)
    - coalesce((SELECT sum(amount_minor) FROM credit WHERE booking_id = {id}), 0)
"""


def _held_trigger(name: str, event: str, booking_id: str) -> str:
    return f"""
CREATE TRIGGER {name} AFTER {event}
BEGIN SELECT RAISE(ABORT, 'rule: held') WHERE ({_HELD.format(id=booking_id)}) < 0; END;
"""


def _credit_trigger(name: str, event: str, credit_id: str) -> str:
    return f"""
CREATE TRIGGER {name} AFTER {event}
BEGIN SELECT RAISE(ABORT, 'rule: credit')
    WHERE (SELECT coalesce(sum(amount_minor), 0) FROM credit_use WHERE credit_id = {credit_id})
        > coalesce((SELECT amount_minor FROM credit WHERE id = {credit_id}), 0); END;
"""


_RULES = (
    _held_trigger("refund_is_held", "INSERT ON refund", "NEW.booking_id")
    + _held_trigger("refund_changed_is_held", "UPDATE OF amount_minor, booking_id ON refund", "NEW.booking_id")
    + _held_trigger("credit_is_held", "INSERT ON credit", "NEW.booking_id")
    + _held_trigger("credit_changed_is_held", "UPDATE OF amount_minor, booking_id ON credit", "NEW.booking_id")
    + _held_trigger("carried_is_held", "INSERT ON carried", "NEW.from_booking_id")
    + _held_trigger("carried_back_is_held", "DELETE ON carried", "OLD.to_booking_id")
    + _held_trigger("use_back_is_held", "DELETE ON credit_use", "OLD.booking_id")
    + _held_trigger("payment_back_is_held", "DELETE ON payment", "OLD.booking_id")
    + _credit_trigger("credit_is_there", "INSERT ON credit_use", "NEW.credit_id")
    + _credit_trigger("credit_stays_there", "UPDATE OF amount_minor ON credit", "NEW.id")
)

STEP = _COSTS + _BOOKED + _SUMS + _OPEN + _RULES

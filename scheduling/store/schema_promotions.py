"""Schema step 4: promotions on bookings, what was decided of a class, and messages with their log."""

from __future__ import annotations

STEP = """
CREATE TABLE promotion (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('early bird', 'bundle')),
    percent_thousandths INTEGER CHECK (percent_thousandths BETWEEN 0 AND 100000),
    off_minor INTEGER CHECK (off_minor >= 0),
    opens TEXT NOT NULL CHECK (date(opens) IS opens),
    ends TEXT CHECK (date(ends) IS ends),
    ends_days_before INTEGER CHECK (ends_days_before BETWEEN 0 AND 400),
    first_heads INTEGER CHECK (first_heads >= 1),
    with_others INTEGER NOT NULL DEFAULT 0 CHECK (with_others IN (0, 1)),
    retired_at TEXT,
    modified_at TEXT NOT NULL,
    CHECK ((percent_thousandths IS NULL) <> (off_minor IS NULL))
) STRICT;
CREATE TABLE promotion_class (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    promotion_id INTEGER NOT NULL REFERENCES promotion (id),
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    role TEXT NOT NULL DEFAULT 'each' CHECK (role IN ('each', 'one', 'other')),
    UNIQUE (promotion_id, class_date_id)
) STRICT;
CREATE INDEX promotion_class_by_class ON promotion_class (class_date_id);
ALTER TABLE booking ADD COLUMN promotion_id INTEGER REFERENCES promotion (id);
ALTER TABLE booking ADD COLUMN bundled_with INTEGER REFERENCES booking (id);
CREATE INDEX booking_by_promotion ON booking (promotion_id) WHERE promotion_id IS NOT NULL;
CREATE INDEX booking_by_bundle ON booking (bundled_with) WHERE bundled_with IS NOT NULL;
CREATE TABLE decision (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    decided_at TEXT NOT NULL,
    choice TEXT NOT NULL CHECK (choice IN ('run', 'run reduced', 'wait', 'call off')),
    heads INTEGER NOT NULL,
    until_day TEXT CHECK (date(until_day) IS until_day),
    note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX decision_by_class ON decision (class_date_id);
CREATE TABLE message_template (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL UNIQUE CHECK (trim(name) <> ''),
    subject TEXT NOT NULL,
    body TEXT NOT NULL,
    is_news INTEGER NOT NULL DEFAULT 0 CHECK (is_news IN (0, 1)),
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE message (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    template TEXT NOT NULL,
    class_date_id INTEGER REFERENCES class_date (id),
    address TEXT NOT NULL,
    people TEXT NOT NULL CHECK (json_valid(people)),
    subject TEXT NOT NULL,
    body TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('draft', 'sending', 'sent', 'failed', 'dropped')),
    state_at TEXT NOT NULL,
    trouble TEXT NOT NULL DEFAULT '',
    created_at TEXT NOT NULL
) STRICT;
CREATE INDEX message_by_state ON message (state);
CREATE INDEX message_by_class ON message (class_date_id);
ALTER TABLE studio ADD COLUMN mail_from TEXT NOT NULL DEFAULT '';
ALTER TABLE studio ADD COLUMN mail_host TEXT NOT NULL DEFAULT '';
ALTER TABLE studio ADD COLUMN mail_port INTEGER NOT NULL DEFAULT 587 CHECK (mail_port BETWEEN 1 AND 65535);
ALTER TABLE studio ADD COLUMN mail_user TEXT NOT NULL DEFAULT '';
ALTER TABLE studio ADD COLUMN mail_security TEXT NOT NULL DEFAULT 'starttls'
    CHECK (mail_security IN ('starttls', 'tls'));
"""

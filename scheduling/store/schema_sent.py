"""Schema step 12: what has gone out in calendars, so that what is taken back later is called off in all of them.

One row an entry and circle of readers: anyone, herself, or one attendee (`person_id`, which is no foreign key, so that
no undo stands before it; erasing a person deletes the rows). `lines` are the lines of the entry that a cancelled one
needs (scheduling/calendar/withdrawn.py); `class_date_id` outlives its class. The rows are a record of what others
hold, no state of the studio: no history has them, and undo never touches them.
"""

from __future__ import annotations

STEP = """
CREATE TABLE calendar_sent (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    circle TEXT NOT NULL CHECK (circle IN ('anyone', 'herself', 'attendee')),
    person_id INTEGER,
    class_date_id INTEGER,
    uid TEXT NOT NULL,
    lines TEXT NOT NULL,
    CHECK ((circle = 'attendee') = (person_id IS NOT NULL))
) STRICT;
CREATE UNIQUE INDEX calendar_sent_once ON calendar_sent (circle, coalesce(person_id, 0), uid);
"""

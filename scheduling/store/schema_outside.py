"""Schema step 6: outside calendars with what a later file is compared by, and where her own calendar is published.

An entry that takes no time (cancelled, or marked free) stays, so that an older copy of it does not come back as busy;
readers ask the view `busy_time`, which leaves those out. `origin` is the start that a rule gave the entry, in UTC or
as a day; revision and stamp are SEQUENCE and DTSTAMP (RFC 5546 2.1.5).
"""

from __future__ import annotations

STEP = """
ALTER TABLE busy_time RENAME TO outside_time;
DROP INDEX busy_time_by_start;
CREATE INDEX outside_time_by_start ON outside_time (starts);
CREATE INDEX outside_time_by_source ON outside_time (source_id, uid);
ALTER TABLE outside_time ADD COLUMN origin TEXT NOT NULL DEFAULT '';
ALTER TABLE outside_time ADD COLUMN revision INTEGER NOT NULL DEFAULT 0;
ALTER TABLE outside_time ADD COLUMN stamp TEXT NOT NULL DEFAULT '';
ALTER TABLE outside_time ADD COLUMN takes_time INTEGER NOT NULL DEFAULT 1 CHECK (takes_time IN (0, 1));
ALTER TABLE outside_time ADD COLUMN status TEXT NOT NULL DEFAULT 'CONFIRMED'
    CHECK (status IN ('TENTATIVE', 'CONFIRMED', 'CANCELLED'));
CREATE VIEW busy_time AS SELECT * FROM outside_time WHERE takes_time = 1;
UPDATE history SET changes = replace(changes, '["busy_time",', '["outside_time",')
    WHERE instr(changes, '["busy_time",') > 0;
ALTER TABLE studio ADD COLUMN caldav_url TEXT NOT NULL DEFAULT '';
ALTER TABLE studio ADD COLUMN caldav_user TEXT NOT NULL DEFAULT '';
"""

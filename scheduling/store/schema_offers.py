"""Schema step 3: offers and holds that lapse, transfers, asking again after a move, and the day itself."""

from __future__ import annotations

STEP = """
ALTER TABLE booking ADD COLUMN lapses_at TEXT;
ALTER TABLE booking ADD COLUMN ask_again TEXT NOT NULL DEFAULT '' CHECK (ask_again IN ('', 'new date', 'new person'));
ALTER TABLE booking ADD COLUMN transferred_from INTEGER REFERENCES booking (id);
CREATE INDEX booking_by_lapse ON booking (lapses_at) WHERE lapses_at IS NOT NULL;
CREATE INDEX booking_by_transfer ON booking (transferred_from) WHERE transferred_from IS NOT NULL;
ALTER TABLE seat ADD COLUMN signed_in_at TEXT;
ALTER TABLE seat ADD COLUMN signed_out_at TEXT;
ALTER TABLE seat ADD COLUMN signed_out_to TEXT NOT NULL DEFAULT '';
ALTER TABLE seat ADD COLUMN kit TEXT NOT NULL DEFAULT ''
    CHECK (kit IN ('', 'posted', 'handed over', 'to collect', 'back in stock'));
ALTER TABLE seat ADD COLUMN kit_collect_by TEXT CHECK (date(kit_collect_by) IS kit_collect_by);
ALTER TABLE person ADD COLUMN collectors TEXT NOT NULL DEFAULT '';
CREATE TABLE tool_count (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    tool TEXT NOT NULL CHECK (trim(tool) <> ''),
    counted_out INTEGER NOT NULL CHECK (counted_out >= 0),
    counted_in INTEGER CHECK (counted_in >= 0),
    modified_at TEXT NOT NULL,
    UNIQUE (class_date_id, tool)
) STRICT;
CREATE TABLE run_step (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    position INTEGER NOT NULL,
    what TEXT NOT NULL CHECK (trim(what) <> ''),
    minutes INTEGER NOT NULL CHECK (minutes BETWEEN 0 AND 1440),
    drying_minutes INTEGER NOT NULL DEFAULT 0 CHECK (drying_minutes BETWEEN 0 AND 20160)
) STRICT;
CREATE INDEX run_step_by_class ON run_step (class_date_id, position);
"""

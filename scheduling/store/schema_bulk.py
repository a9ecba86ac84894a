"""Schema step 14: rows that one action makes in great number stand in the history in parts, a few hundred a row.

A part is what the action put into one table: its columns, and the rows as a JSON list of lists in the order of their
ids, which run from first_id to last_id without a gap. health_from is the earliest erase-after day of the health notes
in it. Undo, redo and erasing read a part at a time, so that none of them holds a long import in memory at once.
"""

from __future__ import annotations

STEP = """
CREATE TABLE history_part (
    id INTEGER PRIMARY KEY,
    history_id INTEGER NOT NULL REFERENCES history (id) ON DELETE CASCADE,
    made_in TEXT NOT NULL,
    first_id INTEGER NOT NULL,
    last_id INTEGER NOT NULL CHECK (last_id >= first_id),
    columns TEXT NOT NULL CHECK (json_valid(columns)),
    made TEXT NOT NULL CHECK (json_valid(made)),
    health_from TEXT
) STRICT;
CREATE INDEX history_part_by_action ON history_part (history_id);
CREATE INDEX history_part_by_row ON history_part (made_in, first_id, last_id);
CREATE INDEX history_part_with_health ON history_part (health_from) WHERE health_from IS NOT NULL;
"""

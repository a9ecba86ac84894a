"""Schema step 11: which side of a part shows, where the faces of its material differ."""

from __future__ import annotations

STEP = """
ALTER TABLE bill_line ADD COLUMN face TEXT NOT NULL DEFAULT '' CHECK (face IN ('', 'front', 'back'));
"""

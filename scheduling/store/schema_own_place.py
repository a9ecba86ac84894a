"""Schema step 13: her own calendar has a collection of its own, so that it is never offered the one for anyone."""

from __future__ import annotations

STEP = """
ALTER TABLE studio ADD COLUMN caldav_own_url TEXT NOT NULL DEFAULT '';
ALTER TABLE studio ADD COLUMN caldav_own_user TEXT NOT NULL DEFAULT '';
"""

"""Schema step 17: what the row of a file said of its person when it was last kept, as opaque keys.

A later file that says something else is told from what she has changed here by it (model/row_details.py). NULL: kept
before that was remembered.
"""

from __future__ import annotations

STEP = "ALTER TABLE booking ADD COLUMN source_said TEXT;"

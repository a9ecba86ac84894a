"""Schema step 15: what dries or is pressed after pre-work, for how long, and how many kits its place holds at once.

`project_version.drying_hours` NULL: as long as the recipe says; 0: nothing is glued ahead. `tool.holds` NULL: nothing
rests in it.
"""

from __future__ import annotations

STEP = """
ALTER TABLE tool ADD COLUMN holds INTEGER CHECK (holds BETWEEN 1 AND 10000);
ALTER TABLE project_version ADD COLUMN drying_hours INTEGER CHECK (drying_hours BETWEEN 0 AND 336);
ALTER TABLE project_version ADD COLUMN drying_tool_id INTEGER REFERENCES tool (id);
"""

"""Schema step 8: the finished measures of a project, and the formulas of its parts' sizes."""

from __future__ import annotations

STEP = """
CREATE TABLE project_measure (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    project_version_id INTEGER NOT NULL REFERENCES project_version (id),
    name TEXT NOT NULL CHECK (name <> '' AND name NOT GLOB '*[^a-z_]*'),
    counts INTEGER NOT NULL CHECK (counts > 0),
    form TEXT NOT NULL,
    UNIQUE (project_version_id, name)
) STRICT;
CREATE TRIGGER project_measure_stays BEFORE UPDATE ON project_measure
BEGIN SELECT RAISE(ABORT, 'rule: a project version is never changed'); END;
ALTER TABLE bill_line ADD COLUMN size_formula TEXT NOT NULL DEFAULT '';
"""

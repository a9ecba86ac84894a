"""Schema step 7: what the plan remembers and what she decided about it.

`kept_plan` is one row: the plan of the day on which the studio was last opened, as JSON (store/kept_plan.py), so that
the next plan stays close to it (decisions 22). A pin is a stretch in wall time. `day_time` and `helper_time` are
single days that differ from her week: minutes of prep, hours ('' is none, NULL as the week has it), a helper's
minutes. A batch is work for several classes done in one go; a task is in one at most.
"""

from __future__ import annotations

STEP = """
CREATE TABLE kept_plan (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    form TEXT NOT NULL CHECK (json_valid(form)),
    kept_at TEXT NOT NULL
) STRICT;
CREATE TABLE pin (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    task_id INTEGER NOT NULL REFERENCES task (id),
    starts TEXT NOT NULL CHECK (strftime('%Y-%m-%dT%H:%M', starts, '+0 days') IS starts),
    starts_fold INTEGER NOT NULL DEFAULT 0 CHECK (starts_fold IN (0, 1)),
    zone TEXT NOT NULL,
    minutes INTEGER NOT NULL CHECK (minutes BETWEEN 1 AND 1440),
    modified_at TEXT NOT NULL
) STRICT;
CREATE INDEX pin_by_task ON pin (task_id);
CREATE TABLE day_time (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    day TEXT NOT NULL UNIQUE CHECK (date(day, '+0 days') IS day),
    limit_minutes INTEGER CHECK (limit_minutes BETWEEN 0 AND 1440),
    hours TEXT,
    modified_at TEXT NOT NULL,
    CHECK (limit_minutes IS NOT NULL OR hours IS NOT NULL)
) STRICT;
CREATE TABLE helper_time (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    day TEXT NOT NULL UNIQUE CHECK (date(day, '+0 days') IS day),
    minutes INTEGER NOT NULL CHECK (minutes BETWEEN 1 AND 1440),
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE batch (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL CHECK (trim(title) <> ''),
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE batch_task (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    batch_id INTEGER NOT NULL REFERENCES batch (id),
    task_id INTEGER NOT NULL UNIQUE REFERENCES task (id)
) STRICT;
CREATE INDEX batch_task_by_batch ON batch_task (batch_id);
"""

"""Bringing an older file forward, a step at a time, with a copy kept before."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from scheduling.clock import Clock
from scheduling.store import backup, database, schema


def bring_forward(connection: sqlite3.Connection, path: str, clock: Clock) -> bool:
    """Migrate to the present version in one transaction; True when there was something to do."""
    version = database.version_of(connection, path)
    if version == schema.VERSION:
        return False
    with database.writing(connection):
        # Under the lock: nothing is copied of a file that cannot be written, or that another window has just done.
        version = database.version_of(connection, path)
        if version == schema.VERSION:
            return False
        # Of another connection: SQLite copies nothing out of one that holds the write lock itself.
        before = database.connect(path, read_only=True)
        try:
            backup.keep_copy(before, Path(path), clock.now(), f"version{version}")
        finally:
            before.close()
        database.bring_forward(connection, version)
    return True

"""Putting a copy back in the place of a studio file, with what was erased since kept erased."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from scheduling.clock import Clock, SystemClock
from scheduling.store import backup, database, erasing


def restore(copy: Path, path: Path, *, clock: Clock | None = None) -> Path | None:
    """Make `path` hold what `copy` holds; gives the copy kept of what it held before, None where it was not there.

    People erased in the present file are erased in what comes back (decisions 16).
    Raises StoreError: the copy is no studio file, is damaged or newer; nothing is changed then.
    """
    with database.refusals(str(copy)):
        source = database.connect(str(copy), read_only=True)
        try:
            database.version_of(source, str(copy))
            whole = sqlite3.connect(":memory:", isolation_level=None)
            source.backup(whole)
        finally:
            source.close()
    whole.row_factory = sqlite3.Row
    kept = None
    with database.refusals(str(path)):
        try:
            if path.exists():
                kept = _take_over_erased(whole, path, clock or SystemClock())
            backup.write_over(whole, path)
        finally:
            whole.close()
    return kept


def _take_over_erased(whole: sqlite3.Connection, path: Path, clock: Clock) -> Path:
    present = database.connect(str(path))
    try:
        database.version_of(present, str(path))
        erased = [(row[0], row[1]) for row in present.execute("SELECT public_id, erased_at FROM erased_person")]
        erasing.blank_known(whole, erased)
        return backup.keep_copy(present, path, clock.now(), "before-restore")
    finally:
        present.close()

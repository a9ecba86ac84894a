"""Leaves a small file of an older schema in tests/data: `python -m tests.support.old_file 4`, at an issue's end.

It is the file of version 1 brought forward step by step, so that what the first studios held is in every one of them.
"""

from __future__ import annotations

import shutil
import sqlite3
import sys
from pathlib import Path

from scheduling.store import database, schema

DATA = Path(__file__).parents[1] / "data"


def path_of(version: int) -> Path:
    return DATA / f"studio-version-{version}.kitwright"


def make(version: int) -> Path:
    """Write the file of that version, which the schema has already."""
    target = path_of(version)
    shutil.copy(path_of(1), target)
    connection = sqlite3.connect(target, isolation_level=None)
    with database.writing(connection):
        for step in schema.STEPS[1:version]:
            for statement in database.statements(step):
                connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {version}")
    connection.execute("VACUUM")
    connection.close()
    return target


if __name__ == "__main__":
    for word in sys.argv[1:]:
        print(make(int(word)))

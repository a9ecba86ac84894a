"""Copies of the studio file: made whole while others write, kept few, private."""

from __future__ import annotations

import datetime as dt
import os
import sqlite3
from pathlib import Path

from scheduling.errors import StoreError

KEPT = 3
"""How many of the copies that the program makes by itself stay (decisions 16)."""


def copies_folder(path: Path) -> Path:
    return path.parent / "copies"


def copies_of(path: Path) -> list[Path]:
    """The copies that the program made of this file, newest first."""
    return sorted(copies_folder(path).glob(f"{path.stem}-*.kitwright"), reverse=True)


def copy_to(connection: sqlite3.Connection, target: Path) -> Path:
    """Write the whole database to `target` (mode 0600) or not at all; raises StoreError when it is there."""
    if target.exists():
        raise StoreError(f"{target} is there already.", hint="Choose another name.")
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    try:
        other = sqlite3.connect(part)
        try:
            connection.backup(other)
            damage = other.execute("PRAGMA quick_check(1)").fetchone()[0]
            other.execute("PRAGMA journal_mode = DELETE")
        finally:
            other.close()
        if damage != "ok":
            raise StoreError("The studio file is damaged, so no copy was made.", hint="Open an older copy.")
        with part.open("rb") as whole:
            os.fsync(whole.fileno())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return target


def keep_copy(connection: sqlite3.Connection, path: Path, moment: dt.datetime, why: str) -> Path:
    """A dated copy in the folder copies beside the file; the newest three stay."""
    stamp = moment.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    target = copies_folder(path) / f"{path.stem}-{stamp}-{why}.kitwright"
    made = target if target.exists() else copy_to(connection, target)
    for old in copies_of(path)[KEPT:]:
        old.unlink(missing_ok=True)
    return made


def write_over(connection: sqlite3.Connection, target: Path) -> None:
    """Put the whole database into `target`, in one transaction there: other windows on it see the new state."""
    if not target.exists():
        copy_to(connection, target)
        return
    other = sqlite3.connect(target)
    try:
        connection.backup(other)
    finally:
        other.close()

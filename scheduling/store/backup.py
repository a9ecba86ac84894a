"""Copies of the studio file: made whole while others write, kept few, private."""

from __future__ import annotations

import datetime as dt
import os
import re
import sqlite3
from itertools import count
from pathlib import Path

from scheduling.errors import BusyError, StoreError
from scheduling.store import database

KEPT = 3
"""How many of the copies that the program makes by itself stay (decisions 16)."""

ASKED = "asked"
"""The reason in the name of a copy that she asked for; those stay until she takes them away."""

_BUSY_STEPS = 12
"""How often a file that another window writes to is tried, a quarter of a second apart."""


def copies_folder(path: Path) -> Path:
    return path.parent / "copies"


def copies_of(path: Path) -> list[Path]:
    """The copies of this very file in the folder copies beside it, newest first."""
    name = re.compile(rf"{re.escape(path.stem)}-(\d{{8}}T\d{{6}}Z)-[a-z0-9-]+\.kitwright")
    folder = copies_folder(path)
    found = [copy for copy in folder.iterdir() if name.fullmatch(copy.name)] if folder.is_dir() else []
    return sorted(found, key=lambda copy: copy.name, reverse=True)


def take_away_parts(path: Path) -> None:
    """Remove what a program that was killed left of a file or copy it was making: half a copy holds people too.

    What is being made just now stays: its name holds the number of a process that runs.
    """
    own, copy = re.escape(path.name), rf"{re.escape(path.stem)}-\d{{8}}T\d{{6}}Z-[a-z0-9-]+\.kitwright"
    name = re.compile(rf"\.(?:{own}|{copy})\.(\d+)\.part(?:-wal|-shm|-journal)?")
    for folder in (path.absolute().parent, copies_folder(path)):
        for part in folder.iterdir() if folder.is_dir() else ():
            match = name.fullmatch(part.name)
            if match is not None and not _runs(int(match[1])):
                part.unlink(missing_ok=True)


def _runs(process: int) -> bool:
    """Whether a process of that number runs; where the system cannot be asked without harm, it is taken to."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def copy_to(connection: sqlite3.Connection, target: Path) -> Path:
    """Write the whole database to `target` (mode 0600) or not at all; raises StoreError when it is there."""
    with database.new_file(target) as part:
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        other = sqlite3.connect(part)
        try:
            _copy(connection, other)
            is_whole = database.is_whole(other)
            other.execute("PRAGMA journal_mode = DELETE")
        finally:
            other.close()
        if not is_whole:
            raise StoreError("The studio file is damaged, so no copy was made.", hint="Open an older copy.")
        with part.open("rb") as whole:
            os.fsync(whole.fileno())
    return target


def keep_copy(connection: sqlite3.Connection, path: Path, moment: dt.datetime, why: str) -> Path:
    """A dated copy in the folder copies beside the file; the newest three made so stay."""
    take_away_parts(path)
    made = copy_to(connection, new_name(path, moment, why))
    own = [copy for copy in copies_of(path) if f"-{ASKED}" not in copy.name[len(path.stem) :]]
    for old in own[KEPT:]:
        old.unlink(missing_ok=True)
    return made


def new_name(path: Path, moment: dt.datetime, why: str) -> Path:
    """A name in the folder copies that nothing has yet; why: letters, digits and hyphens."""
    stamp = moment.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    names = (f"{path.stem}-{stamp}-{why}{f'-{n}' if n > 1 else ''}.kitwright" for n in count(1))
    return next(name for name in (copies_folder(path) / text for text in names) if not name.exists())


def write_over(connection: sqlite3.Connection, target: Path) -> None:
    """Put the whole database into `target`, in one transaction there: other windows on it see the new state.

    Raises StoreError when another window keeps writing to it; nothing is changed then.
    """
    if not target.exists():
        copy_to(connection, target)
        return
    other = database.connect(str(target))
    try:
        other.execute("PRAGMA busy_timeout = 0")
        _copy(connection, other)
    finally:
        other.close()


def _copy(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """Copy a whole database; raises StoreError where one of the two stays locked, instead of waiting for ever."""
    waited = 0

    def count_waits(status: int, _remaining: int, _total: int) -> None:
        nonlocal waited
        waited += status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
        if waited > _BUSY_STEPS:
            raise BusyError

    source.backup(target, progress=count_waits)

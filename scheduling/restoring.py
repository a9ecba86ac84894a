"""Putting a copy back in the place of a studio file, with what was erased since kept erased."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from scheduling.clock import Clock, SystemClock
from scheduling.errors import StoreError
from scheduling.store import backup, database, erasing
from scheduling.store.rows import utc_text

_MAGIC = b"SQLite format 3\x00"
_COUNTED = ("class_date", "task")
"""Tables whose rows carry a sequence that readers of a calendar have seen."""


def restore(copy: Path, path: Path, *, clock: Clock | None = None) -> Path | None:
    """Make `path` hold what `copy` holds; gives the copy kept of what it held before, None where it was not there.

    People erased in the present file are erased in what comes back (decisions 16), no number given since is given
    again (3), and no counter falls (15). A present file that is damaged is kept aside as it is; who was erased in it,
    or in one that is gone, is known from the copies beside it.
    Raises StoreError: the copy is no studio file, is damaged or newer; nothing is changed then.
    """
    moment = clock or SystemClock()
    whole = _read_whole(copy)
    try:
        with database.refusals(str(path)):
            if not path.exists():
                _blank(whole, erased_beside(path))
                backup.copy_to(whole, path)
                return None
            if _is_whole(path):
                with closing(database.connect(str(path))) as present:
                    whole = _in_pages_of(present, whole)
                    kept = _take_over(whole, present, path, moment)
            else:
                kept = _put_aside(path, moment)
                _blank(whole, erased_beside(path))
            backup.write_over(whole, path)
            return kept
    finally:
        whole.close()


def _read_whole(copy: Path) -> sqlite3.Connection:
    """The copy in memory, checked and at the present version."""
    whole = sqlite3.connect(":memory:", isolation_level=None)
    with database.refusals(str(copy)):
        source = database.connect(str(copy), read_only=True)
        try:
            version = database.version_of(source, str(copy))
            is_whole = database.is_whole(source)
            source.backup(whole)
        finally:
            source.close()
        if not is_whole:
            raise StoreError(f"{copy} is damaged.", hint="Nothing was changed; take an older copy.")
        whole.row_factory = sqlite3.Row
        with database.writing(whole):
            database.bring_forward(whole, version)
    return whole


def _in_pages_of(present: sqlite3.Connection, whole: sqlite3.Connection) -> sqlite3.Connection:
    """The same database in pages of the present file's size: one that others have open takes no others."""
    wanted, size = (one.execute("PRAGMA page_size").fetchone()[0] for one in (present, whole))
    if wanted == size:
        return whole
    other = sqlite3.connect(":memory:", isolation_level=None)
    other.row_factory = sqlite3.Row
    other.execute(f"PRAGMA page_size = {wanted}")
    other.executescript("".join(f"{line}\n" for line in whole.iterdump()))
    for name in ("application_id", "user_version"):
        other.execute(f"PRAGMA {name} = {whole.execute(f'PRAGMA {name}').fetchone()[0]}")
    whole.close()
    return other


def _is_whole(path: Path) -> bool:
    try:
        with closing(database.connect(str(path))) as present:
            return database.is_whole(present)
    except sqlite3.DatabaseError as error:
        if database.is_damage(error):
            return False
        raise


def _take_over(whole: sqlite3.Connection, present: sqlite3.Connection, path: Path, clock: Clock) -> Path:
    """Keep a copy of the present file, and carry over from it what must not go back."""
    database.version_of(present, str(path))
    kept = backup.keep_copy(present, path, clock.now(), "before-restore")
    with database.writing(whole):
        erasing.blank_known(whole, erasing.erased_people(present))
        for name, newest in present.execute("SELECT name, seq FROM sqlite_sequence").fetchall():
            whole.execute("UPDATE sqlite_sequence SET seq = max(seq, ?) WHERE name = ?", (newest, name))
            whole.execute(
                """INSERT INTO sqlite_sequence (name, seq) SELECT ?1, ?2
                   WHERE NOT EXISTS (SELECT 1 FROM sqlite_sequence WHERE name = ?1)""",
                (name, newest),
            )
        for table in _COUNTED:
            for public_id, sequence in present.execute(f"SELECT public_id, sequence FROM {table}"):  # noqa: S608
                whole.execute(
                    f"UPDATE {table} SET sequence = ?, modified_at = ? WHERE public_id = ? AND sequence < ?",  # noqa: S608
                    (sequence + 1, utc_text(clock.now()), public_id, sequence),
                )
    return kept


def _blank(whole: sqlite3.Connection, erased: list[tuple[str, str]]) -> None:
    with database.writing(whole):
        erasing.blank_known(whole, erased)


def erased_beside(path: Path) -> list[tuple[str, str]]:
    """Who is erased by what the copies beside a file know, each from its first moment on; damaged ones say nothing."""
    known: dict[str, str] = {}
    for copy in backup.copies_of(path):
        try:
            with closing(database.connect(str(copy), read_only=True)) as other:
                for public_id, at in erasing.erased_people(other):
                    known[public_id] = min(at, known.get(public_id, at))
        except sqlite3.Error:
            continue
    return list(known.items())


def _put_aside(path: Path, clock: Clock) -> Path:
    """Move a damaged file and its write-ahead file into the folder copies, as they are."""
    with path.open("rb") as file:
        if file.read(len(_MAGIC)) != _MAGIC:
            raise StoreError(f"{path} is not a studio file.", hint="Nothing was changed; move it away first.")
    aside = backup.new_name(path, clock.now(), "damaged")
    aside.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    for end in ("-wal", "-shm"):
        beside = path.with_name(path.name + end)
        if beside.exists():
            shutil.move(beside, aside.with_name(aside.name + end))
    shutil.move(path, aside)
    return aside

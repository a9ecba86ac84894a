"""One studio, one SQLite file: opening it, one transaction an action, and refusals in plain words."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from scheduling.errors import BusyError, ConflictError, InvalidError, SchedulingError, StoreError
from scheduling.store import schema

Value = str | int | None
Row = dict[str, Value]
"""One row as a plain dict, column by column."""

BUSY_MILLISECONDS = 2000
_LEAST_ROOM = 65_536

_RULES: dict[str, Callable[[], SchedulingError]] = {
    "rule: seats": lambda: ConflictError(
        "The class has no seat left for that.", hint="Put them on the waitlist, or raise the seats of the class."
    ),
    "rule: currency": lambda: ConflictError(
        "The currency is fixed once a class has a fee.", hint="Make a new studio file for another currency."
    ),
    "rule: held": lambda: ConflictError(
        "More would be given back than is held for that booking.", hint="Look at what was paid and given back."
    ),
    "rule: stock": lambda: ConflictError(
        "More would be taken from stock than is there.", hint="Count what is on hand first: kitwright stock count"
    ),
    "rule: credit": lambda: ConflictError(
        "That credit has less left.", hint="Use what is left of it and take the rest as a payment."
    ),
}


@contextmanager
def refusals(path: str) -> Iterator[None]:
    """Turn what SQLite and the system raise into one plain sentence."""
    try:
        yield
    except sqlite3.Error as error:
        raise _refusal(error, path) from error
    except OSError as error:
        raise StoreError(
            f"{path} cannot be used: {error.strerror or error}.", hint="Check the folder and its rights."
        ) from error
    except UnicodeEncodeError as error:
        raise InvalidError("An entry holds signs that are no text.", hint="Type it anew.") from error
    except OverflowError as error:
        raise InvalidError("A number or a day is too large to be kept.", hint="Give a smaller one.") from error


def _refusal(error: sqlite3.Error, path: str) -> SchedulingError:
    text = str(error)
    if text in _RULES:
        return _RULES[text]()
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if isinstance(error, sqlite3.IntegrityError):
        return ConflictError(f"That would break a rule of the studio file ({text}).", hint="Look again and try anew.")
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return BusyError()
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return StoreError(
            f"{path} cannot be written.", hint="Nothing was changed; check the rights of the file and its folder."
        )
    if is_damage(error):
        return StoreError(
            f"{path} is damaged or not a studio file.",
            hint="Nothing was changed; open a copy from the folder copies beside it.",
        )
    if code == sqlite3.SQLITE_FULL or (code == sqlite3.SQLITE_IOERR and _has_no_room(path)):
        return StoreError("The disk is full.", hint="Nothing was changed; make room and try again.")
    return StoreError(f"The studio file {path} failed: {text}.", hint="Nothing was changed.")


def _has_no_room(path: str) -> bool:
    """Whether the disk is as good as full, so that not even what reading needs beside the file finds room."""
    try:
        return shutil.disk_usage(Path(path).absolute().parent).free < _LEAST_ROOM
    except OSError:
        return False


def is_damage(error: sqlite3.Error) -> bool:
    """Whether the file itself is at fault: no database, or one whose pages do not hold together."""
    return (getattr(error, "sqlite_errorcode", 0) & 0xFF) in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def is_whole(connection: sqlite3.Connection) -> bool:
    """Whether the pages of the database hold together; reads all of it."""
    try:
        return bool(connection.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok")
    except sqlite3.DatabaseError as error:
        if is_damage(error):
            return False
        raise


def connect(path: str, *, read_only: bool = False) -> sqlite3.Connection:
    """A connection with the studio's settings; the file must be there (or be ":memory:")."""
    if path == ":memory:":
        connection = sqlite3.connect(path, isolation_level=None)
    else:
        mode = "ro" if read_only else "rw"
        uri = f"{Path(path).absolute().as_uri()}?mode={mode}"
        connection = sqlite3.connect(uri, uri=True, isolation_level=None, timeout=BUSY_MILLISECONDS / 1000)
    connection.row_factory = sqlite3.Row
    connection.execute(f"PRAGMA busy_timeout = {BUSY_MILLISECONDS}")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")
    # What SQLite sets aside while it works stays off the disk; a long import is five times as fast by it.
    connection.execute("PRAGMA temp_store = MEMORY")
    if not read_only:
        connection.execute("PRAGMA secure_delete = ON")
    return connection


def wait_at_most(connection: sqlite3.Connection, milliseconds: int) -> None:
    """How long to wait for another window that is saving before it is said so."""
    connection.execute(f"PRAGMA busy_timeout = {milliseconds}")


def keep_ahead_log(connection: sqlite3.Connection) -> None:
    """Readers and one writer side by side: a copied file does not have that yet."""
    if connection.execute("PRAGMA journal_mode").fetchone()[0] not in ("wal", "memory"):
        connection.execute("PRAGMA journal_mode = WAL")


def create(path: str) -> sqlite3.Connection:
    """A new empty database of the present version, mode 0600; raises OSError when something is there already."""
    if path != ":memory:":
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    connection = connect(path)
    try:
        keep_ahead_log(connection)
        with writing(connection):
            connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
            bring_forward(connection, 0)
    except BaseException:
        connection.close()
        raise
    return connection


def bring_forward(connection: sqlite3.Connection, version: int) -> None:
    """Run the schema's steps after `version` in the transaction that is open."""
    for step in schema.STEPS[version:]:
        for statement in statements(step):
            connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {schema.VERSION}")


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """A name beside `path` to build a file under; at the end it is there whole, or nothing is.

    Raises StoreError when `path` is there already, also when another process made it meanwhile.
    """
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    taken = StoreError(f"{path} is there already.", hint="Choose another name.")
    if path.exists():
        raise taken
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    leavings = [part, *(part.with_name(part.name + end) for end in ("-wal", "-shm", "-journal"))]
    try:
        for old in leavings:
            old.unlink(missing_ok=True)
        yield part
        try:
            os.link(part, path)
        except FileExistsError as error:
            raise taken from error
        except OSError:
            part.rename(path)  # a file system without links
    finally:
        for old in leavings:
            old.unlink(missing_ok=True)


def version_of(connection: sqlite3.Connection, path: str) -> int:
    """The file's schema version; raises StoreError for a file that is not ours or is newer than this program."""
    application = connection.execute("PRAGMA application_id").fetchone()[0]
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    if application != schema.APPLICATION_ID:
        raise StoreError(
            f"{path} is not a Kitwright studio file.", hint="Nothing was changed; give another file with --file."
        )
    if version > schema.VERSION:
        raise StoreError(
            f"{path} was written by a newer Kitwright (file version {version}, this program knows {schema.VERSION}).",
            hint="Nothing was changed; install the newer Kitwright.",
        )
    return version


def statements(script: str) -> list[str]:
    """The single statements of an SQL script; triggers stay whole."""
    found: list[str] = []
    text = ""
    for line in script.splitlines(keepends=True):
        text += line
        if text.strip() and sqlite3.complete_statement(text):
            found.append(text.strip())
            text = ""
    return found


@contextmanager
def writing(connection: sqlite3.Connection) -> Iterator[None]:
    """One transaction with the write lock from its start: all of it or none."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


@contextmanager
def supposing(connection: sqlite3.Connection) -> Iterator[None]:
    """A transaction that is taken back at its end, whatever happens."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


@contextmanager
def reading(connection: sqlite3.Connection) -> Iterator[None]:
    """One snapshot for several reads."""
    if connection.in_transaction:
        yield
        return
    connection.execute("BEGIN")
    try:
        yield
    finally:
        if connection.in_transaction:
            connection.execute("COMMIT")

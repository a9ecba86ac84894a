"""Making a studio file out of the JSON that was written of one."""

from __future__ import annotations

import json
from contextlib import closing
from pathlib import Path
from typing import Any, NoReturn

from scheduling.clock import Clock, SystemClock
from scheduling.errors import InvalidError
from scheduling.restoring import erased_beside, restore
from scheduling.store import backup, database, erasing
from scheduling.store.plain_form import build


def copy_in(content: bytes, path: Path, *, over: bool = False, clock: Clock | None = None) -> Path | None:
    """Make the studio file `path` out of a whole copy; gives the copy kept of what it held before.

    over: a file that is there may be replaced, as `restore` does it: people erased in it stay erased, no number given
    in it is given again, and what it held is kept.
    Raises InvalidError for a file that is no copy or does not hold together, StoreError where `path` is taken or
    cannot be written. Nothing is changed then.
    """
    plain = plain_of(content)
    with database.refusals(str(path)):
        if not (over and path.exists()):
            with database.new_file(path) as part:
                build(part, plain)
                with closing(database.connect(str(part))) as made, database.writing(made):
                    erasing.blank_known(made, erased_beside(path))
            return None
        beside = backup.new_name(path, (clock or SystemClock()).now(), "copied-in")
        beside.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with database.new_file(beside) as part:
            build(part, plain)
        try:
            return restore(beside, path, clock=clock)
        finally:
            beside.unlink(missing_ok=True)


def plain_of(content: bytes) -> dict[str, Any]:
    """The JSON as plain values; raises InvalidError."""
    try:
        found = json.loads(content.decode("utf-8-sig"), parse_float=_no_number, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise InvalidError(
            "The file is no copy of a studio: it is not whole JSON.", hint="Give a file written by copy-out."
        ) from error
    if not isinstance(found, dict):
        raise InvalidError("The file is no copy of a studio.", hint="Give a file written by copy-out.")
    return found


def _no_number(text: str) -> NoReturn:
    raise ValueError(text)

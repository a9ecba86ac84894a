"""The one door: a studio file that does commands and answers queries."""

from __future__ import annotations

import dataclasses
import datetime as dt
import uuid
from collections.abc import Callable, Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Protocol, Self, TypeVar

from scheduling.clock import Clock, SystemClock
from scheduling.errors import BusyError, StoreError
from scheduling.queries.personal import HealthNotesDue
from scheduling.queries.plan_desk import PlanDesk
from scheduling.store import backup, bulk, database, erasing, migrate, replay
from scheduling.store.rows import Reader, Transaction, changes_to_text, from_utc_text

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome, Request

COMMAND_LINE = "command line"
"""The origin of actions made by the command line; a window's is its own."""

_STILL_READ = "Another window reads the file just now; what was erased leaves the disk when that window is closed."

_PREPARED_AT_MOST = 3
"""How often a long command is prepared anew because others save meanwhile; then it is prepared under the lock."""
_A_MOMENT = 300
"""Milliseconds that a screen may stand still."""


class _ChangedMeanwhile(Exception):  # noqa: N818  no fault: it is prepared anew
    """Another window has saved since a command was prepared."""


O = TypeVar("O", bound="Outcome")  # noqa: E741  the outcome
R_co = TypeVar("R_co", covariant=True)


class Query(Protocol[R_co]):
    """A frozen question; `fetch` reads in one snapshot."""

    def fetch(self, reader: Reader) -> R_co: ...


class Studio:
    """One open studio file.

    Not shared between threads: a worker opens its own with `again()`.
    while_busy: asked each time that another window has been saving for two seconds; True goes on waiting for it.
    """

    def __init__(self, path: str, *, clock: Clock | None = None, origin: str = "") -> None:
        """Open the file at `path`; raises StoreError when it is missing, newer, damaged or not a studio's.

        origin: who acts, for the history; a fresh window name when empty.
        """
        self.path = path
        self.origin = origin or f"window {uuid.uuid4()}"
        self.notices: list[str] = []
        self.while_busy: Callable[[], bool] | None = None
        self._clock: Clock = clock or SystemClock()
        self.plans = PlanDesk()
        self._memo: dict[object, object] = {}
        self._memo_of: tuple[object, ...] = ()
        with database.refusals(path):
            if path != ":memory:" and not Path(path).exists():
                raise StoreError(f"There is no studio file {path}.", hint="Start kitwright without --file to make one.")
            self._connection = database.connect(path)
            try:
                database.version_of(self._connection, path)  # before anything that could write to a stranger's file
                database.keep_ahead_log(self._connection)
                if migrate.bring_forward(self._connection, path, self._clock):
                    self.notices.append("The studio file was brought forward; a copy of the old one is kept.")
            except BaseException:
                self._connection.close()
                raise
        self._erase_due_health_notes()

    @classmethod
    def made(cls, path: str, first: Request[Outcome], *, clock: Clock | None = None, origin: str = "") -> Self:
        """Make a new file and run `first` (which sets the studio up) in it; raises StoreError when one is there.

        The file appears under its name only when it is whole and set up.
        """
        if path == ":memory:":
            return cls._begun(path, first, clock, origin)
        with database.refusals(path), database.new_file(Path(path)) as part:
            cls._begun(str(part), first, clock, origin).close()
        return cls(path, clock=clock, origin=origin)

    @classmethod
    def _begun(cls, path: str, first: Request[Outcome], clock: Clock | None, origin: str) -> Self:
        """A studio in a new database at `path` after its first command."""
        studio = cls.__new__(cls)
        studio.path, studio.origin, studio.notices = path, origin or f"window {uuid.uuid4()}", []
        studio.while_busy = None
        studio._clock, studio._memo, studio._memo_of = clock or SystemClock(), {}, ()
        studio.plans = PlanDesk()
        studio._connection = database.create(path)
        try:
            studio.do(first)
        except BaseException:
            studio.close()
            raise
        return studio

    def again(self) -> Studio:
        """A second connection to the same file, for a worker's thread."""
        return Studio(self.path, clock=self._clock, origin=self.origin)

    def do(self, command: Request[O], progress: Callable[[int, int], bool] | None = None) -> O:
        """Run one command in one transaction; its outcome carries the number to undo it by.

        progress: told by a long command how far its preparation is, (done, whole); False stops it.
        Raises a SchedulingError when it is refused; nothing is kept then. BusyError: another window is saving, and
            `while_busy` does not want to wait.
        """
        while True:
            try:
                return self._do_prepared(command, progress)
            except BusyError:
                if self.while_busy is None or not self.while_busy():
                    raise

    def do_soon(self, command: Request[O]) -> O:
        """The same for a screen, which is not to stand still: raises BusyError after a moment."""
        database.wait_at_most(self._connection, _A_MOMENT)
        try:
            return self._do_prepared(command, None)
        finally:
            database.wait_at_most(self._connection, database.BUSY_MILLISECONDS)

    def _do_prepared(self, command: Request[O], progress: Callable[[int, int], bool] | None) -> O:
        prepare = getattr(command, "prepare", None)  # only long commands have it; their module is loaded late
        for _ in range(_PREPARED_AT_MOST):
            if prepare is None:
                break
            with database.refusals(self.path), database.reading(self._connection):
                state = bulk.numbers(self._connection)
                finish = prepare(Reader(self._connection, self.now), progress)
            try:
                return self._do(command, finish, state)
            except _ChangedMeanwhile:
                continue
        return self._do(command, command.run)

    def _do(
        self, command: Request[O], run: Callable[[Transaction], O], state: tuple[tuple[str, int], ...] | None = None
    ) -> O:
        """Run it in one transaction; raises _ChangedMeanwhile where the file is not in the state that is given."""
        with database.refusals(self.path), database.writing(self._connection):
            if state is not None and state != bulk.numbers(self._connection):
                raise _ChangedMeanwhile
            history_id = 1 + int(
                self._reader().value("SELECT coalesce((SELECT seq FROM sqlite_sequence WHERE name = 'history'), 0)")
            )
            tx = Transaction(self._connection, self.now, history_id, self.origin)
            outcome = run(tx)
            changes = replay.net(tx.changes)
            if not changes and not tx.parts and command.undoable and command.deed == "action":
                return outcome
            self._connection.execute(
                """INSERT INTO history (id, at, origin, command, kind, target_id, undoable, summary, changes)
                   VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)""",
                (
                    history_id,
                    tx.now_text,
                    self.origin,
                    type(command).__name__,
                    command.deed,
                    tx.target_id,
                    int(command.undoable),
                    outcome.summary,
                    changes_to_text(changes) if command.undoable else "[]",
                ),
            )
            bulk.remember(self._connection, history_id, tx.parts if command.undoable else ())
        if command.erases and not self._scrub():
            outcome = dataclasses.replace(outcome, warnings=(*outcome.warnings, _STILL_READ))
        return dataclasses.replace(outcome, history_id=_undone_by(command, history_id, tx.target_id))

    def suppose(self, parts: Sequence[Request[Outcome]], query: Query[R_co]) -> tuple[tuple[Outcome, ...], R_co]:
        """Answer a query as if these commands were done, with what each would say; nothing of it is kept.

        Raises a SchedulingError when one of them is refused. Holds the write lock only while it reads.
        """
        before = self._state()
        with database.refusals(self.path), database.supposing(self._connection):
            outcomes = tuple(part.run(Transaction(self._connection, self.now, 0, self.origin)) for part in parts)
            found = query.fetch(Reader(self._connection, self.now))
        if self._memo_of == before:
            self._memo_of = self._state()  # the file is as it was, though SQLite has counted changes
        return outcomes, found

    def ask(self, query: Query[R_co]) -> R_co:
        """Answer one query from one snapshot of the file."""
        with database.refusals(self.path), database.reading(self._connection):
            return query.fetch(self._reader())

    @property
    def now(self) -> dt.datetime:
        """The present moment, aware, in UTC: the file's frozen one where it holds one (decisions 12)."""
        frozen = self._connection.execute("SELECT frozen_now FROM studio").fetchone()
        if frozen is not None and frozen[0] is not None:
            return from_utc_text(frozen[0])
        return self._clock.now()

    @property
    def revision(self) -> int:
        """The number of the newest action in the file; a result made from an older one is stale."""
        with database.refusals(self.path):
            return int(self._connection.execute("SELECT coalesce(max(id), 0) FROM history").fetchone()[0])

    def copy_to(self, target: Path | None = None) -> Path:
        """Write a whole copy of the file, safe while others write; raises StoreError when `target` is there.

        target: None takes a dated name in the folder copies beside the file.
        """
        target = target or backup.new_name(Path(self.path), self._clock.now(), backup.ASKED)
        with database.refusals(str(target)):
            return backup.copy_to(self._connection, target)

    def write_over(self, target: Path) -> None:
        """Put this studio into the file at `target`, whatever it held."""
        with database.refusals(str(target)):
            backup.write_over(self._connection, target)

    def close(self) -> None:
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _reader(self) -> Reader:
        """A reader of the present state; what is worked out from it is kept until the file or the moment changes."""
        state = self._state()
        if state != self._memo_of:
            self._memo, self._memo_of = {}, state
        return Reader(self._connection, self.now, self._memo, self.plans)

    def _state(self) -> tuple[object, ...]:
        """Changes when the file does, here or elsewhere, and with every minute."""
        return (
            self._connection.execute("PRAGMA data_version").fetchone()[0],
            self._connection.total_changes,
            self.now.replace(second=0, microsecond=0),
        )

    def _scrub(self) -> bool:
        """After erasing: the copies too, and nothing of it left in the write-ahead file; False where that stays."""
        if self.path == ":memory:":
            return True
        with database.refusals(self.path):
            erasing.blank_copies(self._connection, Path(self.path), self._reader().today().isoformat())
            return erasing.empty_ahead_log(self._connection)

    def _erase_due_health_notes(self) -> None:
        if not self._is_set_up() or not self.ask(HealthNotesDue()):
            return
        try:
            from scheduling.commands.erasing import EraseDueHealthNotes

            self.notices.append(self.do(EraseDueHealthNotes()).said)
        except StoreError as error:
            self.notices.append(f"Health notes are due to be erased, but the file cannot be written: {error}")

    def _is_set_up(self) -> bool:
        with database.refusals(self.path):
            return self._connection.execute("SELECT 1 FROM studio").fetchone() is not None


def _undone_by(command: Request[Outcome], history_id: int, target_id: int | None) -> int:
    """The number by which what was done is taken back: an action's own, of a redo the action that it made again."""
    if command.deed == "redo":
        return target_id or 0
    return history_id if command.deed == "action" and command.undoable else 0

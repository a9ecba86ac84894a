"""Files of every version before: brought forward whole, with a copy of what they were."""

from __future__ import annotations

import datetime as dt
import shutil
import sqlite3
from pathlib import Path

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.undoing import Undo
from scheduling.queries.history import History
from scheduling.queries.roster import Roster
from scheduling.queries.week import Week
from scheduling.store import backup, database, schema
from scheduling.studio import Studio

DATA = Path(__file__).parents[1] / "data"
OLD = sorted(DATA.glob("studio-version-*.kitwright"), key=lambda path: int(path.stem.rpartition("-")[2]))
LATER = FixedClock(dt.datetime(2027, 2, 2, 13, tzinfo=dt.UTC))


def structure(path: Path) -> list[tuple[str, ...]]:
    connection = sqlite3.connect(path)
    found = connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY type, name").fetchall()
    connection.close()
    return found


def version(path: Path) -> int:
    connection = sqlite3.connect(path)
    found = connection.execute("PRAGMA user_version").fetchone()[0]
    connection.close()
    return int(found)


def test_the_files_kept_are_of_the_versions_they_are_named_by() -> None:
    assert {path.name: f"studio-version-{version(path)}.kitwright" for path in OLD} == {p.name: p.name for p in OLD}
    assert {1, 2, 3, schema.VERSION - 1} <= {version(path) for path in OLD}


@pytest.mark.parametrize("old", OLD, ids=lambda path: path.stem)
def test_an_old_file_is_brought_forward_with_all_that_it_held(old: Path, tmp_path: Path) -> None:
    path, fresh = tmp_path / "s.kitwright", tmp_path / "fresh.kitwright"
    shutil.copy(old, path)
    database.create(str(fresh)).close()
    with Studio(str(path), clock=LATER) as studio:
        assert studio.notices == ["The studio file was brought forward; a copy of the old one is kept."]
        roster = studio.ask(Roster(1))
        assert [row.name for row in roster.seated] == ["Ada Old", "Bea Old"]
        assert [row.name for row in roster.waiting] == ["Cid Old"]
        assert studio.ask(Week()).open_tasks > 10
        assert len(studio.ask(History())) == 14
    assert version(path) == schema.VERSION
    assert structure(path) == structure(fresh)
    with Studio(str(path), clock=LATER) as studio:
        assert studio.notices == []


@pytest.mark.parametrize("old", OLD, ids=lambda path: path.stem)
def test_the_copy_kept_before_is_the_old_file_as_it_was(old: Path, tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    shutil.copy(old, path)
    Studio(str(path), clock=LATER).close()
    (copy,) = backup.copies_of(path)
    assert version(copy) == version(old)
    assert structure(copy) == structure(old)
    assert copy.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("old", OLD, ids=lambda path: path.stem)
def test_what_was_done_before_can_be_taken_back_after(old: Path, tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    shutil.copy(old, path)
    with Studio(str(path), clock=LATER) as studio:
        while studio.ask(Roster(1)).seated:
            newest = max(row.id for row in studio.ask(History()) if row.undoable and not row.undone)
            studio.do(Undo(history_id=newest))
        assert not studio.ask(Roster(1)).waiting


def test_a_step_that_fails_leaves_the_file_at_its_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "s.kitwright"
    shutil.copy(OLD[0], path)
    monkeypatch.setattr(schema, "STEPS", (schema.STEPS[0], "CREATE TABLE half (x);\nCREATE TABLE half (x);\n"))
    monkeypatch.setattr(schema, "VERSION", 2)
    with pytest.raises(Exception, match="half"):
        Studio(str(path), clock=LATER)
    assert version(path) == 1
    assert structure(path) == structure(OLD[0])

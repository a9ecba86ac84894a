"""The studio file: made whole or not at all, private, and a plain sentence for every file that cannot be used."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from scheduling.commands.people import AddPerson
from scheduling.commands.settings import SetUpStudio
from scheduling.errors import InvalidError, StoreError
from scheduling.queries.people import FindPeople
from scheduling.queries.settings import Settings
from scheduling.queries.week import Week
from scheduling.store import database, schema
from scheduling.studio import Query, Studio
from tests.support.builders import a_studio, person


def test_a_fresh_file_and_all_that_lies_beside_it_is_for_her_alone(tmp_path: Path) -> None:
    old = os.umask(0)
    try:
        with a_studio(tmp_path / "new" / "s.kitwright") as studio:
            person(studio)
            modes = {p.name: stat.S_IMODE(p.stat().st_mode) for p in (tmp_path / "new").iterdir()}
    finally:
        os.umask(old)
    assert "s.kitwright-wal" in modes
    assert set(modes.values()) == {0o600}
    assert stat.S_IMODE((tmp_path / "new").stat().st_mode) == 0o700


def test_a_file_that_is_there_is_never_made_over(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    path.write_text("mine")
    with pytest.raises(StoreError, match="is there already"):
        a_studio(path)
    assert path.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [path]


def test_a_set_up_that_is_refused_leaves_no_file(tmp_path: Path) -> None:
    class Refused(SetUpStudio):
        def run(self, tx: object) -> object:  # type: ignore[override]
            super().run(tx)  # type: ignore[arg-type]
            raise InvalidError("Not like that.")

    with pytest.raises(InvalidError, match="Not like that"):
        Studio.made(str(tmp_path / "s.kitwright"), Refused(name="S", time_zone="Europe/Berlin", currency="EUR"))
    assert list(tmp_path.iterdir()) == []


def test_a_process_that_dies_while_a_studio_is_made_leaves_no_file_under_its_name(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    code = (
        "import os\nfrom scheduling.commands.settings import SetUpStudio\nfrom scheduling.studio import Studio\n"
        "class Dies(SetUpStudio):\n    def run(self, tx):\n        super().run(tx)\n        os._exit(9)\n"
        f"Studio.made({str(path)!r}, Dies(name='S', time_zone='Europe/Berlin', currency='EUR'))\n"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 9
    assert not path.exists()
    with a_studio(path) as studio:
        assert studio.ask(Settings()).name == "Paper Room"


def test_the_settings_of_every_connection_keep_what_is_saved(tmp_path: Path) -> None:
    a_studio(tmp_path / "s.kitwright").close()
    connection = database.connect(str(tmp_path / "s.kitwright"))
    pragmas = ("journal_mode", "synchronous", "foreign_keys", "secure_delete", "application_id", "user_version")
    found = {name: connection.execute(f"PRAGMA {name}").fetchone()[0] for name in pragmas}
    connection.close()
    assert found == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "secure_delete": 1,
        "application_id": schema.APPLICATION_ID,
        "user_version": schema.VERSION,
    }


def unchanged(path: Path, wanted: str) -> StoreError:
    """Open `path` in vain; the refusal matches, and neither the file nor the folder has changed."""
    before = path.read_bytes() if path.is_file() else b""
    beside = sorted(path.parent.rglob("*"))
    with pytest.raises(StoreError, match=wanted) as caught:
        Studio(str(path))
    assert (path.read_bytes() if path.is_file() else b"") == before
    assert sorted(path.parent.rglob("*")) == beside
    assert caught.value.hint
    return caught.value


def test_a_missing_file_is_named_with_what_to_do(tmp_path: Path) -> None:
    unchanged(tmp_path / "gone.kitwright", "There is no studio file .*gone.kitwright")


def test_a_file_of_a_newer_version_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    a_studio(path).close()
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    error = unchanged(path, "newer Kitwright")
    assert str(schema.VERSION + 1) in error.message


def test_another_programs_database_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE t (x)")
    connection.close()
    unchanged(path, "is not a Kitwright studio file")


@pytest.mark.parametrize("content", [b"", b"Dear diary, today I bound a book.\n" * 200])
def test_a_file_that_is_no_database_is_left_as_it_is(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "s.kitwright"
    path.write_bytes(content)
    unchanged(path, "not a (Kitwright )?studio file")


def test_a_folder_in_the_place_of_the_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "s.kitwright").mkdir()
    unchanged(tmp_path / "s.kitwright", "cannot be written")


def test_a_damaged_file_says_so_and_names_the_copies(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        for n in range(300):
            studio.do(AddPerson(name=f"Person {n}", note="x" * 200))
    octets = bytearray(path.read_bytes())
    octets[4096:] = b"\x5a" * (len(octets) - 4096)
    path.write_bytes(octets)
    with pytest.raises(StoreError, match="damaged") as caught:
        Studio(str(path)).ask(FindPeople(""))
    assert "copies" in caught.value.hint
    assert path.read_bytes() == octets


def test_a_locked_file_says_that_another_window_is_saving(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "BUSY_MILLISECONDS", 20)
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        other = sqlite3.connect(path)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="Another window is saving"):
            person(studio, "Ann")
        other.rollback()
        other.close()
        assert person(studio, "Ann") == 1


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_read_only_file_can_be_read_and_says_why_it_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        person(studio, "Ann")
    path.chmod(0o444)
    tmp_path.chmod(0o555)
    before = path.read_bytes()
    code = (
        "import os, sys, tempfile\n"
        "from scheduling.commands.people import AddPerson\nfrom scheduling.errors import StoreError\n"
        "from scheduling.queries.people import FindPeople\nfrom scheduling.studio import Studio\n"
        "from tests.support.builders import a_studio, person\n"
        "person(a_studio(':memory:'))\n"
        "if os.getuid() == 0: os.setuid(65534)\n"  # rights do not bind root
        "try:\n    Studio(sys.argv[1]).do(AddPerson(name='Bo'))\n"
        "except StoreError as error:\n    print(error)\n"
    )
    if os.getuid() == 0:
        for parent in path.parents:
            parent.chmod(parent.stat().st_mode | 0o055)
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=False)
    tmp_path.chmod(0o755)
    assert "cannot be written" in done.stdout, done.stderr
    assert path.read_bytes() == before


def test_a_file_that_holds_no_studio_says_so_for_every_question(tmp_path: Path) -> None:
    path = str(tmp_path / "s.kitwright")
    database.create(path).close()
    with Studio(path) as studio:
        assert studio.now.tzinfo is not None
        questions: list[Query[object]] = [Week(), Settings(), FindPeople("a")]
        for question in questions:
            with pytest.raises(StoreError, match="holds no studio yet"):
                studio.ask(question)


def test_a_text_that_is_no_text_and_a_number_past_all_bounds_are_refused_not_raised() -> None:
    with a_studio() as studio:
        with pytest.raises(InvalidError, match="no text"):
            studio.ask(FindPeople("\udcff"))
        with pytest.raises(InvalidError):
            studio.do(AddPerson(name="\udcff"))
        with pytest.raises(InvalidError, match="too large"):
            studio.ask(FindPeople("", at_most=10**30))


def test_two_windows_see_each_others_changes_at_once(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as one, one.again() as other:
        person(one, "Ann")
        assert [row.name for row in other.ask(FindPeople("ann")).rows] == ["Ann"]
        assert one.revision == other.revision


def test_a_folder_that_may_not_be_entered_is_refused_not_raised(tmp_path: Path) -> None:
    code = (
        "import os, sys\nfrom scheduling.errors import StoreError\nfrom scheduling.studio import Studio\n"
        "from tests.support.builders import a_studio, person\nperson(a_studio(':memory:'))\n"
        "if os.getuid() == 0: os.setuid(65534)\n"
        "try:\n    Studio(sys.argv[1])\nexcept StoreError as error:\n    print(error)\n"
    )
    tmp_path.chmod(0o000)
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "s.kitwright")], capture_output=True, text=True, check=False
    )
    tmp_path.chmod(0o755)
    assert "Permission denied" in done.stdout, done.stderr

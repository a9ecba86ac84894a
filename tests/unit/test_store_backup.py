"""Copies: whole while others write, the newest three kept, put back with nothing that must stay gone."""

from __future__ import annotations

import datetime as dt
import shutil
import sqlite3
from pathlib import Path

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.erasing import ErasePerson
from scheduling.copying_in import copy_in
from scheduling.errors import StoreError
from scheduling.queries.people import FindPeople
from scheduling.queries.week import Week
from scheduling.queries.whole_studio import WholeStudio
from scheduling.restoring import restore
from scheduling.store import backup, database, schema
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, class_date, dump, local, person

MOMENT = FixedClock(dt.datetime(2027, 2, 3, 12, tzinfo=dt.UTC))


def names(path: Path) -> list[str]:
    with Studio(str(path), clock=FixedClock(NOW)) as studio:
        return [row.name for row in studio.ask(FindPeople("")).rows]


def test_a_copy_is_whole_private_and_one_file(tmp_path: Path) -> None:
    with a_studio(tmp_path / "s.kitwright") as studio:
        person(studio, "Ann")
        copy = studio.copy_to(tmp_path / "elsewhere" / "copy.kitwright")
        held = dump(studio)
    assert [p.name for p in copy.parent.iterdir()] == ["copy.kitwright"]
    assert copy.stat().st_mode & 0o777 == 0o600
    with Studio(str(copy), clock=FixedClock(NOW)) as again:
        assert dump(again) == held


def test_a_copy_is_made_while_another_window_is_writing(tmp_path: Path) -> None:
    with a_studio(tmp_path / "s.kitwright") as studio:
        person(studio, "Ann")
        other = sqlite3.connect(tmp_path / "s.kitwright", isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE person SET name = 'Half'")
        copy = studio.copy_to(tmp_path / "copy.kitwright")
        other.execute("ROLLBACK")
        other.close()
    assert names(copy) == ["Ann"]


def test_a_copy_never_lands_on_a_file_that_is_there(tmp_path: Path) -> None:
    target = tmp_path / "copy.kitwright"
    target.write_text("mine")
    with a_studio(tmp_path / "s.kitwright") as studio, pytest.raises(StoreError, match="is there already"):
        studio.copy_to(target)
    assert target.read_text() == "mine"
    assert not list(tmp_path.glob(".*"))


def test_two_copies_asked_for_in_one_second_are_two(tmp_path: Path) -> None:
    with a_studio(tmp_path / "s.kitwright") as studio:
        first, second = studio.copy_to(), studio.copy_to()
    assert first != second
    assert {first, second} == set(backup.copies_of(tmp_path / "s.kitwright"))


def test_the_newest_three_copies_stay_and_those_asked_for_too(tmp_path: Path) -> None:
    path, beside = tmp_path / "s.kitwright", tmp_path / "s-2.kitwright"
    a_studio(beside).close()
    with a_studio(path) as studio, Studio(str(beside)) as other:
        asked, others = studio.copy_to(), other.copy_to()
        connection = database.connect(str(path))
        moments = [NOW + dt.timedelta(minutes=n) for n in range(5)]
        made = [backup.keep_copy(connection, path, moment, "version1") for moment in moments]
        connection.close()
    assert [copy.exists() for copy in made] == [False, False, True, True, True]
    assert asked.exists()
    assert others.exists()


def test_a_copy_of_a_damaged_file_is_not_kept(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        person(studio, "Ann", note="x" * 90000)
    octets = bytearray(path.read_bytes())
    octets[-20 * 4096 :] = b"\x00" * (20 * 4096)
    path.write_bytes(octets)
    connection = database.connect(str(path))
    with pytest.raises((StoreError, sqlite3.DatabaseError)):
        backup.copy_to(connection, tmp_path / "copy.kitwright")
    connection.close()
    assert not (tmp_path / "copy.kitwright").exists()
    assert not list(tmp_path.glob(".*"))


def test_a_copy_put_back_brings_back_what_it_held_and_keeps_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        person(studio, "Ann")
        copy = studio.copy_to()
        person(studio, "Bo")
        kept = restore(copy, path, clock=MOMENT)
        assert [row.name for row in studio.ask(FindPeople("")).rows] == ["Ann"], "an open window sees it at once"
    assert kept is not None
    assert names(kept) == ["Ann", "Bo"]
    assert names(path) == ["Ann"]


def test_a_copy_is_put_where_no_file_is(tmp_path: Path) -> None:
    with a_studio(tmp_path / "s.kitwright") as studio:
        person(studio, "Ann")
        copy = studio.copy_to()
    assert restore(copy, tmp_path / "new" / "s.kitwright") is None
    assert names(tmp_path / "new" / "s.kitwright") == ["Ann"]


def test_no_number_given_since_the_copy_is_given_again(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        copy = studio.copy_to()
        assert person(studio, "Bo") == 1
        revision = studio.revision
        restore(copy, path, clock=MOMENT)
        assert person(studio, "Cy") == 2
        assert studio.revision > revision


def test_a_calendar_revision_never_falls_when_a_copy_is_put_back(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        class_id = class_date(studio)
        copy = studio.copy_to()
        for day in ("2027-03-14", "2027-03-15"):
            studio.do(MoveClassDate(class_date_id=class_id, sessions=((local(day, "10:00"), local(day, "12:00")),)))
        restore(copy, path, clock=MOMENT)
        assert dump(studio)["class_date"][0]["sequence"] == 3


def test_who_was_erased_stays_erased_in_a_copy_put_back_and_in_the_one_after(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        empty = studio.copy_to(tmp_path / "empty.kitwright")
        ann = person(studio, "Ann Secret", email="ann@example.org")
        aside = studio.copy_to(tmp_path / "usb" / "aside.kitwright")
        studio.do(ErasePerson(person_id=ann))
    restore(empty, path, clock=MOMENT)
    restore(aside, path, clock=MOMENT)
    with Studio(str(path), clock=FixedClock(NOW)) as studio:
        assert dump(studio)["person"][0]["name"] == "Erased A01"
        assert "Secret" not in str(dump(studio))


@pytest.mark.parametrize("lost", ["damaged", "gone"])
@pytest.mark.parametrize("as_json", [False, True])
def test_who_was_erased_stays_erased_where_only_the_copies_know_of_it(tmp_path: Path, lost: str, as_json: bool) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        ann = person(studio, "Ann Secret", email="ann@example.org", note="x" * 90000)
        aside = studio.copy_to(tmp_path / "usb" / "aside.kitwright")
        octets = studio.ask(WholeStudio())
        studio.copy_to()
        studio.do(ErasePerson(person_id=ann))
    if lost == "gone":
        path.unlink()
    else:
        path.write_bytes(path.read_bytes()[: 4096 * 20] + b"\x00" * 4096 * 40)
    if as_json:
        copy_in(octets, path, over=True, clock=MOMENT)
    else:
        restore(aside, path, clock=MOMENT)
    with Studio(str(path), clock=FixedClock(NOW)) as studio:
        assert dump(studio)["person"][0]["name"] == "Erased A01"
        assert "Secret" not in str(dump(studio))


@pytest.mark.parametrize("kind", ["newer", "foreign", "text", "damaged"])
def test_a_copy_that_cannot_be_used_changes_nothing(tmp_path: Path, kind: str) -> None:
    path, copy = tmp_path / "s.kitwright", tmp_path / "copy.kitwright"
    with a_studio(path) as studio:
        person(studio, "Ann", note="x" * 90000)
        studio.copy_to(copy)
    connection = sqlite3.connect(copy)
    if kind == "newer":
        connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    if kind == "foreign":
        connection.execute("PRAGMA application_id = 7")
    connection.close()
    if kind == "text":
        copy.write_text("Dear diary\n" * 500)
    if kind == "damaged":
        octets = bytearray(copy.read_bytes())
        octets[20 * 4096 : 60 * 4096] = b"\x00" * (40 * 4096)
        copy.write_bytes(octets)
    before = path.read_bytes()
    with pytest.raises(StoreError):
        restore(copy, path, clock=MOMENT)
    assert path.read_bytes() == before
    assert not (tmp_path / "copies").exists()


def test_a_damaged_studio_is_put_aside_for_the_copy(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        person(studio, "Ann", note="x" * 90000)
        copy = studio.copy_to(tmp_path / "copy.kitwright")
    octets = bytearray(path.read_bytes())
    octets[20 * 4096 :] = b"\x00" * (len(octets) - 20 * 4096)
    path.write_bytes(octets)
    aside = restore(copy, path, clock=MOMENT)
    assert aside is not None
    assert aside.read_bytes() == octets
    assert names(path) == ["Ann"]


def test_a_file_of_another_kind_is_never_replaced_by_a_copy(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("mine")
    with a_studio(tmp_path / "s.kitwright") as studio:
        copy = studio.copy_to(tmp_path / "copy.kitwright")
    with pytest.raises(StoreError, match="not a studio file"):
        restore(copy, path, clock=MOMENT)
    assert path.read_text() == "mine"


def test_a_copy_of_an_older_version_comes_back_at_the_present_one(tmp_path: Path) -> None:
    old = Path(__file__).parents[1] / "data" / "studio-version-1.kitwright"
    path, copy = tmp_path / "s.kitwright", tmp_path / "copy.kitwright"
    shutil.copy(old, copy)
    with a_studio(path) as studio:
        restore(copy, path, clock=MOMENT)
        assert studio.ask(Week()).studio == "Old Paper Room"


def test_a_window_that_keeps_writing_is_not_waited_for_without_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backup, "_BUSY_STEPS", 1)
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio, a_studio() as other:
        writer = sqlite3.connect(path, isolation_level=None)
        writer.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="Another window is saving"):
            other.write_over(path)
        writer.execute("ROLLBACK")
        writer.close()
        person(studio, "Ann")
    assert names(path) == ["Ann"]

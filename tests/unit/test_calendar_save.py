"""A calendar file is on the disk whole or not at all, and only touched when it differs."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
from collections import namedtuple
from pathlib import Path

import pytest

from scheduling.calendar import save_calendar
from scheduling.errors import StoreError
from scheduling.saving import save_file
from scheduling.store import database
from tests.support.demo_studio import demo_copy
from tui.__main__ import main

Usage = namedtuple("Usage", "total used free")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_new_file_holds_the_octets_as_they_are(tmp_path: Path) -> None:
    path = tmp_path / "classes.ics"
    assert save_calendar(path, b"A\r\nB\r\n", private=False)
    assert path.read_bytes() == b"A\r\nB\r\n"
    assert [entry.name for entry in tmp_path.iterdir()] == ["classes.ics"]


def test_unchanged_octets_leave_the_file_and_its_time_alone(tmp_path: Path) -> None:
    path = tmp_path / "classes.ics"
    save_calendar(path, b"A\r\n", private=False)
    os.utime(path, ns=(10**18, 10**18))
    inode = path.stat().st_ino
    assert not save_calendar(path, b"A\r\n", private=False)
    assert (path.stat().st_mtime_ns, path.stat().st_ino) == (10**18, inode)


def test_the_private_file_is_readable_by_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "prep.ics"
    save_calendar(path, b"A\r\n", private=True)
    assert mode(path) == 0o600


def test_an_open_private_file_is_closed_again_even_when_unchanged(tmp_path: Path) -> None:
    path = tmp_path / "prep.ics"
    path.write_bytes(b"A\r\n")
    path.chmod(0o644)
    assert not save_calendar(path, b"A\r\n", private=True)
    assert mode(path) == 0o600


def test_a_public_file_keeps_the_mode_that_it_has(tmp_path: Path) -> None:
    path = tmp_path / "classes.ics"
    path.write_bytes(b"old")
    path.chmod(0o664)
    save_calendar(path, b"A\r\n", private=False)
    assert mode(path) == 0o664


def test_a_missing_folder_is_refused_with_a_hint(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="could not be written") as caught:
        save_calendar(tmp_path / "none" / "classes.ics", b"A\r\n", private=False)
    assert caught.value.hint


def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "classes.ics"
    path.mkdir()
    with pytest.raises(StoreError):
        save_calendar(path, b"new", private=False)
    assert [entry.name for entry in tmp_path.iterdir()] == ["classes.ics"]


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "classes.ics"
    save_calendar(path, b"old", private=False)

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StoreError, match="No space left"):
        save_calendar(path, b"newer", private=False)
    assert path.read_bytes() == b"old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["classes.ics"]


def test_a_link_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    real = tmp_path / "shared.ics"
    real.write_bytes(b"old")
    link = tmp_path / "classes.ics"
    link.symlink_to(real)
    save_calendar(link, b"new", private=False)
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path) -> None:
    path, link = tmp_path / "person-A12.json", tmp_path / "link.json"
    assert save_file(path, b"hers", private=True, new=True)
    link.symlink_to(tmp_path / "nowhere.json")
    for taken in (path, link):
        with pytest.raises(StoreError, match="is there already"):
            save_file(taken, b"other", private=True, new=True)
    assert path.read_bytes() == b"hers"
    assert path.stat().st_mode & 0o777 == 0o600
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["link.json", "person-A12.json"]


def test_a_disk_that_fills_while_new_files_are_written_leaves_none_of_them_half(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = str(demo_copy(tmp_path))
    before = sorted(entry.name for entry in tmp_path.iterdir())

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert main(["personal", "A12", "--to", str(tmp_path / "a.json"), "--file", file]) == 1
    assert main(["cut", "C05", "--svg", str(tmp_path / "c.svg"), "--file", file]) == 1
    assert capsys.readouterr().err.count("No space left on device") == 2
    assert sorted(entry.name for entry in tmp_path.iterdir()) == before


def test_a_disk_without_room_for_what_reading_needs_is_called_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = sqlite3.OperationalError("disk I/O error")
    broken.sqlite_errorcode = sqlite3.SQLITE_IOERR_SHMSIZE
    for free, said in ((4096, "The disk is full"), (10**9, "disk I/O error")):
        monkeypatch.setattr(shutil, "disk_usage", lambda _path, free=free: Usage(10**10, 10**10 - free, free))
        with pytest.raises(StoreError, match=said), database.refusals(str(tmp_path / "s.kitwright")):
            raise broken

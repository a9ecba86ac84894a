"""Paths as people type, paste and drop them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tui.folders import places
from tui.typed_paths import last_path


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("/ann/", "/ann/"),
        ("/ann/lists/sign ups.csv", "/ann/lists/sign ups.csv"),
        ("~/lists/a.csv", "~/lists/a.csv"),
        ("/ann//stick/a.csv", "/stick/a.csv"),
        ("/ann/~/lists/a.csv", "~/lists/a.csv"),
        ("/ann/'/stick/My Craft/a.csv'", "/stick/My Craft/a.csv"),
        ('/ann/"/stick/My Craft/a.csv" ', "/stick/My Craft/a.csv"),
        ("'/stick/My Craft/a.csv'", "/stick/My Craft/a.csv"),
        (r"/ann//stick/My\ Craft/a\ \(2\).csv", "/stick/My Craft/a (2).csv"),
        ("/ann/file:///stick/My%20Craft/a.csv", "/stick/My Craft/a.csv"),
        ("", ""),
        ("/", "/"),
        ("it's.csv", "it's.csv"),
    ],
)
def test_the_path_that_was_typed_or_dropped_last_is_meant(typed: str, meant: str) -> None:
    assert last_path(typed) == meant


def test_a_path_dropped_behind_the_folder_that_stood_there_is_completed(tmp_path: Path) -> None:
    (tmp_path / "My Craft").mkdir()
    (tmp_path / "My Craft" / "sign ups.csv").write_text("Name\n", "utf-8")
    found, count = places(f"/somewhere/'{tmp_path}/My Craft/sign'")
    assert (count, [one.typed for one in found]) == (1, [f"{tmp_path}/My Craft/sign ups.csv"])

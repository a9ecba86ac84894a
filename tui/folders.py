"""Completing a typed path: what lies in the folder that is being typed."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tui.typed_paths import last_path, typed_path
from tui.widgets.matching import fold

MOST: Final = 200
READABLE: Final = {
    ".csv": "sign-ups", ".tsv": "sign-ups", ".txt": "sign-ups", ".xlsx": "sign-ups", ".vcf": "contacts",
    ".ics": "busy times", ".ical": "busy times", ".ifb": "busy times",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Place:
    """A folder or a file; `typed` is the path to it as it stands in the entry, a folder's with a slash at its end."""

    typed: str
    name: str
    is_folder: bool

    @property
    def kind(self) -> str:
        """What a file of such a name is likely to hold; empty for any other."""
        return "folder" if self.is_folder else READABLE.get(Path(self.name).suffix.casefold(), "")


def places(typed: str) -> tuple[Sequence[Place], int]:
    """What completes the typed path: folders first, then files that can be read in, then others; and how many in all.

    Hidden names, and they alone, when a point is typed. A folder that cannot be looked into has nothing in it.
    """
    typed = last_path(typed)
    head, _, start = typed.rpartition("/")
    shown_folder = f"{head}/" if head or typed.startswith("/") else ""
    folder = typed_path(shown_folder or ".")
    wanted = fold(start)
    found: list[Place] = []
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.startswith(".") != start.startswith("."):
                    continue
                if wanted in fold(entry.name):
                    is_folder = entry.is_dir()
                    path = f"{shown_folder}{entry.name}{'/' if is_folder else ''}"
                    found.append(Place(path, entry.name, is_folder))
    except OSError:
        return (), 0

    def order(place: Place) -> tuple[bool, bool, bool, str]:
        begins = fold(place.name).startswith(wanted)
        return not begins, not place.is_folder, not place.kind, fold(place.name)

    found.sort(key=order)
    return found[:MOST], len(found)

"""Where the studio file lies, and opening it for a verb."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

from scheduling.errors import StoreError
from scheduling.studio import COMMAND_LINE, Studio
from tui.typed_paths import typed_path

STUDIO_NAME = "studio.kitwright"
DEMO_NAME = "demo.kitwright"
_MOST_WAITS = 60
"""Waits of two seconds for a window that saves."""
_SHARED_MARKS = ("cloud", "sync", "dropbox", "drive")


def data_folder() -> Path:
    """The user's data folder of this platform."""
    from platformdirs import user_data_path

    return user_data_path("kitwright", appauthor=False)


def studio_path(given: str | None, environ: Mapping[str, str] = os.environ) -> Path:
    """The file that --file names, else KITWRIGHT_FILE, else the studio in the data folder."""
    name = given or environ.get("KITWRIGHT_FILE") or ""
    return typed_path(name) if name else data_folder() / STUDIO_NAME


def demo_path(given: str | None) -> Path:
    """Where the demo lies: the file that --file names, else beside the studio in the data folder."""
    return typed_path(given) if given else data_folder() / DEMO_NAME


def open_studio(path: Path, *, origin: str = COMMAND_LINE) -> Studio:
    """Open the file; raises StoreError with the way to make one when there is none."""
    if not os.path.lexists(path):
        raise StoreError(
            f"There is no studio file {path}.",
            hint="Make one with: kitwright setup --name NAME; or try: kitwright demo",
        )
    studio = Studio(str(path), origin=origin)
    if origin == COMMAND_LINE:
        studio.while_busy = _Patience().wait
    return studio


class _Patience:
    """Waits for a window that saves, says so once, and gives up at last."""

    def __init__(self) -> None:
        self._left = _MOST_WAITS

    def wait(self) -> bool:
        if self._left == _MOST_WAITS:
            print("Another window is saving; this is kept as soon as it is done.", file=sys.stderr, flush=True)
        self._left -= 1
        return self._left > 0


def shared_folder_notice(path: Path) -> str:
    """A warning when the file seems to lie in a folder that is synced or shared; else empty."""
    parts = [part.casefold() for part in path.absolute().parts]
    if any(mark in part for part in parts for mark in _SHARED_MARKS):
        return f"{path} seems to lie in a synced folder: two machines writing at once can damage it. Move it out."
    return ""

"""Paths as they are typed: `~/` is her own folder; where there is none, or nobody of that name, it stays as it is."""

from __future__ import annotations

import os
from pathlib import Path


def typed_path(text: str) -> Path:
    """The path that was typed; never refused here, since what is not there is named where it is opened."""
    return Path(os.path.expanduser(text))  # noqa: PTH111  Path.expanduser raises for a name it does not know


def home_folder() -> Path:
    """Her own folder; the one she stands in where the system knows of none."""
    home = typed_path("~")
    return home if home.is_absolute() else Path.cwd()

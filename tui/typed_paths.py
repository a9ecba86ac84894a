"""Paths as they are typed: `~/` is her own folder; where there is none, or nobody of that name, it stays as it is."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Final
from urllib.parse import unquote

#: Where another path begins behind the one that stood in the entry: typed, or dropped in by the terminal.
_ANEW: Final = re.compile(r"""(?<=/)(?=['"]?(?:/|~/|file://))""")


def typed_path(text: str) -> Path:
    """The path that was typed; never refused here, since what is not there is named where it is opened."""
    return Path(os.path.expanduser(text))  # noqa: PTH111  Path.expanduser raises for a name it does not know


def last_path(text: str) -> str:
    """The path that is meant where one was typed, or dropped from elsewhere, behind the one that stood there.

    Quotation marks, backslashes before blanks and `file://`, which terminals put round a dropped file, go away.
    """
    text = _ANEW.split(text.strip(), maxsplit=0)[-1] if "file:" not in text else text[text.rindex("file:") :]
    quote = text[:1] if text[:1] in "'\"" else ""
    if quote:
        return text[1:].removesuffix(quote)
    if text.startswith("file://"):
        return unquote(text.removeprefix("file://"))
    return re.sub(r"\\([ ()&'\"\[\]])", r"\1", text)


def home_folder() -> Path:
    """Her own folder; the one she stands in where the system knows of none."""
    home = typed_path("~")
    return home if home.is_absolute() else Path.cwd()

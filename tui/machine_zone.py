"""The time zone that this machine is set to, to be offered at the first start."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from scheduling.clock import zone_named
from scheduling.errors import InvalidError

_LINK: Final = Path("/etc/localtime")
_TEXT: Final = Path("/etc/timezone")


def machine_zone(environ: Mapping[str, str] = os.environ, *, link: Path = _LINK, text: Path = _TEXT) -> str:
    """Its IANA name, from TZ, the system's link or its text file; empty where none of them tells one that is known."""
    candidates = [environ.get("TZ", "").lstrip(":")]
    try:
        candidates.append(str(link.resolve()).partition("zoneinfo/")[2] if link.is_symlink() else "")
        candidates.append(text.read_text("utf-8").strip() if text.is_file() else "")
    except (OSError, UnicodeDecodeError):
        pass  # then it is asked without an offer
    return next((name for name in candidates if name and _is_known(name)), "")


def _is_known(name: str) -> bool:
    try:
        zone_named(name)
    except InvalidError:
        return False
    return True

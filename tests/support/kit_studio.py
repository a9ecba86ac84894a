"""The demo studio for tests of kits, without screens: made once a run, a fresh copy for each test."""

from __future__ import annotations

import tempfile
from functools import lru_cache
from pathlib import Path

from demo.load import make_demo
from scheduling.studio import Studio


@lru_cache(maxsize=1)
def _made() -> bytes:
    path = Path(tempfile.mkdtemp()) / "demo.kitwright"
    make_demo(path)
    return path.read_bytes()


def demo_studio(folder: Path) -> Studio:
    """A demo studio of the test's own, open; on Mon 1 Feb 2027, 08:00."""
    path = folder / "demo.kitwright"
    path.write_bytes(_made())
    return Studio(str(path))

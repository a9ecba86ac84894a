"""The demo studio for tests of the screens: made once a run, a fresh copy for each test, opened on any page."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from demo.load import make_demo
from scheduling.studio import Studio
from tui.app import KitwrightApp


@lru_cache(maxsize=1)
def _made() -> Path:
    path = Path(tempfile.mkdtemp()) / "demo.kitwright"
    make_demo(path)
    return path


def demo_copy(folder: Path) -> Path:
    """A demo file of the test's own."""
    path = folder / "demo.kitwright"
    shutil.copy(_made(), path)
    return path


@asynccontextmanager
async def opened(studio: Studio, page: str, *, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Pilot[int]]:
    """The screens of `studio` at `page`, ready for keys."""
    app = KitwrightApp(studio, look="light", environ={}, plans_beside=False, first_page=page)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield pilot


async def typed(pilot: Pilot[Any], text: str) -> None:
    """Type `text` key by key."""
    await pilot.press(*(_KEYS.get(sign, sign) for sign in text))


_KEYS = {" ": "space", "@": "at", ".": "full_stop", "-": "minus", ",": "comma", ":": "colon", "%": "percent_sign",
         "/": "slash", "'": "apostrophe", "_": "underscore"}  # fmt: skip

"""Screens as they were looked at and found right: golden texts beside the tests, without the top line.

The top line counts what is late and at risk, which every change of the demo or the planner moves.

GOLDEN_SCREENS=write writes them anew; look at the difference before it is kept.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from textual.app import App

from tests.support.screens import line_widths, screen_text

FOLDER = Path(__file__).parent.parent / "snapshot" / "golden"


def check(app: App[Any], name: str) -> None:
    """The screen under its top line is as the file `name` has it, and every line is as wide as the window."""
    assert line_widths(app) == {app.size.width}
    path = FOLDER / f"{name}.txt"
    text = screen_text(app).partition("\n")[2]
    if os.environ.get("GOLDEN_SCREENS") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8"), f"{path.name} differs; GOLDEN_SCREENS=write keeps the new one"

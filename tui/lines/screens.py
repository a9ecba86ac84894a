"""Opening the screens, where there is a terminal that can show them."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from tui.lines.place import shared_folder_notice, studio_path


def terminal_trouble() -> str:
    """Why no screens can be shown here, in a sentence; empty when they can."""
    from tui.lines.entry import NO_TERMINAL

    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        return NO_TERMINAL
    if os.environ.get("TERM", "") in ("dumb", ""):
        return "This terminal cannot show screens (TERM is dumb or not set). Use a verb, such as: kitwright week"
    return ""


def open_screens(given: str | None, *, look: str = "", path: Path | None = None) -> int:
    """Open the studio's screens until she leaves; makes a first studio where there is none."""
    trouble = terminal_trouble()
    if trouble:
        print(trouble, file=sys.stderr)
        return 2
    where = path or studio_path(given)
    from scheduling.studio import Studio

    if not where.exists():
        from tui.lines.studio import ask_and_make

        made = ask_and_make(where)
        if made is None:
            return 1
    # Twice as many frames a second as the toolkit draws unasked: a key's answer waits half as long.
    os.environ.setdefault("TEXTUAL_FPS", "120")
    with Studio(str(where)) as studio:
        notice = shared_folder_notice(where)
        if notice:
            studio.notices.append(notice)
        from tui.app import KitwrightApp

        return KitwrightApp(studio, look=look).run() or 0

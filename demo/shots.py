"""Pictures of the demo's screens, made by the program itself: `python -m demo.shots` renews the one in the README."""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from pathlib import Path

from demo.load import make_demo
from scheduling.studio import Studio
from tui.app import KitwrightApp

FIRST_SCREEN = Path(__file__).with_name("first-screen.svg")


async def first_screen(size: tuple[int, int] = (120, 34)) -> str:
    """The first screen of a fresh demo, as SVG text that asks no other place for anything."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "demo.kitwright"
        make_demo(path)
        with Studio(str(path)) as studio:
            app = KitwrightApp(studio, look="light", environ={}, plans_beside=False)
            async with app.run_test(size=size) as pilot:
                await pilot.pause()
                return _alone(app.export_screenshot(title="Kitwright"))


def _alone(svg: str) -> str:
    """Without typefaces from elsewhere and without names that change with every picture."""
    svg = re.sub(r"@font-face\s*\{.*?\}", "", svg, flags=re.DOTALL)
    svg = re.sub(r"terminal-\d+", "terminal", svg)
    return "\n".join(line.rstrip() for line in svg.splitlines() if line.strip()) + "\n"


def main() -> int:
    """Write the picture to the file named, or to the one that the README shows."""
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else FIRST_SCREEN
    target.write_text(asyncio.run(first_screen()), encoding="utf-8")
    print(f"Written: {target}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

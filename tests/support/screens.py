"""What is on the screen as text, and as a picture that is the same in every run."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from textual import events
from textual.app import App
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.strip import Strip

from tui.screens.studio_page import StudioPage

_BAR = re.compile("[\u2580-\u259f]+")  # block elements


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Press all keys at once, as someone who types ahead, and wait until the last has had its effect.

    keys: single letters, or Textual's names such as "down" or "ctrl+o".
    """
    for key in keys:
        letter = key if len(key) == 1 else " " if key == "space" else None
        name = _character_to_key(key) if len(key) == 1 else key
        pilot.app.post_message(events.Key(name, letter))
    await pilot.pause()
    while getattr(pilot.app, "_held_keys", None):
        await pilot.pause()
    await pilot.pause()


async def until(pilot: Pilot[int], claim: Callable[[], bool]) -> None:
    """Wait for a claim to hold, such as work beside the page; fails when it never does, on a busy machine too."""
    for _ in range(1200):
        if claim():
            return
        await pilot.pause(0.05)
    raise AssertionError(screen_text(pilot.app))


def said(pilot: Pilot[int]) -> str:
    """The status line of the page on show."""
    page = pilot.app.screen
    assert isinstance(page, StudioPage), screen_text(pilot.app)
    return page.says.text


def screen_lines(app: App[Any]) -> list[str]:
    """The lines of the whole screen, dialogs and all, without blanks at their ends.

    Asks Textual's compositor, which is private to it; nothing else does.
    """
    strips = app.screen._compositor.render_strips()
    return [_text(strip).rstrip() for strip in strips]


def screen_text(app: App[Any]) -> str:
    """The golden text of a screen: its lines, with empty ones at the end left out."""
    return "\n".join(screen_lines(app)).rstrip() + "\n"


def line_widths(app: App[Any]) -> set[int]:
    """The widths in cells that the lines really have; one width if every column is kept."""
    return {strip.cell_length for strip in app.screen._compositor.render_strips()}


def reversed_text(app: App[Any]) -> list[str]:
    """What stands out by reverse video, line by line: the cursor, in every look; scroll bars are left out."""
    found: list[str] = []
    for strip in app.screen._compositor.render_strips():
        text = "".join(
            segment.text
            for segment in strip
            if segment.style is not None and segment.style.reverse and not _BAR.fullmatch(segment.text)
        )
        if text.strip():
            found.append(text.strip())
    return found


def colours(app: App[Any]) -> set[str]:
    """Every colour on the screen by name, without the terminal's own default ones."""
    found: set[str] = set()
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            for colour in (segment.style.color, segment.style.bgcolor) if segment.style else ():
                if colour is not None and not colour.is_default:
                    found.add(colour.name)
    return found


def _text(strip: Strip) -> str:
    return "".join(segment.text for segment in strip)


def picture(app: App[Any], *, title: str = "Kitwright") -> str:
    """The screen as SVG, with the ids that Rich draws from a checksum replaced by one that never changes."""
    svg = app.export_screenshot(title=title)
    return re.sub(r"terminal-\d+", "terminal", svg)

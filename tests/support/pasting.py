"""Putting text into the entry that has the focus at once, where a test is not about the typing itself."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot


async def pasted(pilot: Pilot[int], text: str) -> None:
    """Paste `text`: what a terminal sends for it is one event, so it is much faster than key by key."""
    pilot.app.post_message(events.Paste(text))
    await pilot.pause()
    await pilot.pause()

"""Keys typed ahead reach what they were meant for: each waits until the one before has had its whole effect."""

from __future__ import annotations

import asyncio
from collections import deque
from typing import TYPE_CHECKING, Any, Final

from textual import events
from textual.widget import Widget

if TYPE_CHECKING:
    from textual.app import App

    _Base = App[Any]
else:
    _Base = object

#: A key never waits longer than this, whatever goes on.
_MOST_SECONDS: Final = 2.0


class KeysInOrder(_Base):
    """Mixed into the app, before App. Without it, of "b" (book) and a name typed at once the name is lost while the
    picker opens, and Enter then takes somebody else: Textual hands out keys while screens are still being made.
    """

    _through: events.Event | None = None
    _feeder: asyncio.Task[None] | None = None

    async def on_event(self, event: events.Event) -> None:
        is_typed = isinstance(event, events.Key | events.Paste) and not event.is_forwarded
        if not is_typed or event is self._through:
            await super().on_event(event)
            return
        self._held.append(event)
        if self._feeder is None or self._feeder.done():
            self._feeder = asyncio.create_task(self._feed())

    @property
    def _held(self) -> deque[events.Event]:
        """Keys that wait, oldest first."""
        held: deque[events.Event] = self.__dict__.setdefault("_held_keys", deque())
        return held

    async def _feed(self) -> None:
        loop = asyncio.get_running_loop()
        while self._held:
            until = loop.time() + _MOST_SECONDS
            while not self._is_calm() and loop.time() < until:
                await asyncio.sleep(0.001)
            self._through = self._held.popleft()
            self.post_message(self._through)

    def _is_calm(self) -> bool:
        """Whether no widget has anything left to do or is still being made."""
        if self.message_queue_size or not self.screen_stack:
            return False
        nodes = self.screen.walk_children(Widget, with_self=True)
        return all(node.is_mounted and not node.message_queue_size for node in nodes)

"""A refusal that no page had foreseen is said on the page in sight; the program goes on.

Another window may have taken back what stands under the cursor, or the file itself may be out of reach: then any
question can be refused, at any key. Textual would end the program for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from textual._context import active_message_pump
from textual.message import Message

from scheduling.errors import SchedulingError
from tui.screens.studio_page import StudioPage

if TYPE_CHECKING:
    from textual.app import App
    from textual.dom import DOMNode

    _Base = App[int]
else:
    _Base = object


class SaysTheUnforeseen(_Base):
    """Mixed into the app, before App."""

    async def run_action(
        self,
        action: Any,
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        try:
            return await super().run_action(action, default_namespace, namespaces)
        except SchedulingError as error:
            self.refused(error)
            return True

    def push_screen(self, screen: Any, *arguments: Any, **options: Any) -> Any:
        """As Textual's; a page is filled first, so that one whose subject is gone never comes up empty."""
        if isinstance(screen, StudioPage):
            screen.fill()
        return super().push_screen(screen, *arguments, **options)

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except SchedulingError as error:
            self.refused(error)

    def _handle_exception(self, error: Exception) -> None:
        """Refusals of what is done between two messages come through here; a page that cannot stand is a fault."""
        if isinstance(error, SchedulingError) and active_message_pump.get(self)._is_mounted:
            self.refused(error)
        else:
            super()._handle_exception(error)

    def refused(self, error: SchedulingError) -> None:
        """Show the page as the file is now, and say why what was asked for could not be."""
        page = next((one for one in reversed(self.screen_stack) if isinstance(one, StudioPage)), None)
        if page is not None and page.is_mounted:
            page.refresh_page()
            page.says.refuse(error)

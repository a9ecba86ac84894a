"""The ways to the day of a class, to decisions and to messages: each screen names the next one here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    import ssl

    from textual.app import App

    class _Base(App[Any]):
        _environ: Mapping[str, str]

        async def _go(self, name: str) -> None: ...
else:
    _Base = object


PASSWORD: Final = "KITWRIGHT_MAIL_PASSWORD"  # noqa: S105  the name of the variable, not a password


class DayWays(_Base):
    """Mixed into the app, before App. Screens are imported where they are first opened, to keep the start short."""

    mail_password: str | None = None
    """Her mail password for this session, in memory alone; None until she has typed it."""
    mail_trust: ssl.SSLContext | None = None
    """Which certificates of a mail server count; None: those that the machine trusts."""

    @property
    def known_password(self) -> str | None:
        """What she typed before, else what the environment holds; None where it must be asked for."""
        return self.mail_password if self.mail_password is not None else self._environ.get(PASSWORD)

    def open_day(self, class_date_id: int) -> None:
        from tui.screens.day import DayScreen

        self.push_screen(DayScreen(class_date_id))

    def open_decision(self, class_date_id: int | None) -> None:
        """What is at stake for one class; without one the list of classes to decide on."""
        from tui.screens.decisions import DecisionScreen, DecisionsScreen

        self.push_screen(DecisionsScreen() if class_date_id is None else DecisionScreen(class_date_id))

    async def action_go_messages(self) -> None:
        await self._go("messages")

    def draft_message(self, class_date_id: int, booking_id: int | None) -> None:
        """Ask which text goes to whom of a class, and draft it."""
        from tui.drafting import start_draft

        start_draft(self, class_date_id, booking_id)

    def open_message(self, message_id: int) -> None:
        """One message as it would arrive."""
        from tui.screens.message import MessageScreen

        self.push_screen(MessageScreen(message_id))

    def change_template(self, name: str) -> None:
        """The form of a text; an empty name makes a new one."""
        from tui.screens.template_form import TemplateFormScreen

        self.push_screen(TemplateFormScreen(name))

    def open_personal_data(self, person_id: int) -> None:
        """All that is kept of one person."""
        from tui.screens.personal import PersonalScreen

        self.push_screen(PersonalScreen(person_id))

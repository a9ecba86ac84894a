"""One message as it would arrive, with its link for her own mail program."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from textual.widget import Widget

from scheduling.queries.messages import Mail, MessageRow
from tui import message_lines
from tui.keys import bindings
from tui.mail_keys import MailKeys, one_message
from tui.widgets.aside import Aside
from tui.widgets.rows import Rows


class MessageScreen(MailKeys):
    """Line by line; S sends it, c changes it, x drops it, e keeps it as a file."""

    BINDINGS = bindings(
        "send", "change", "cancel", "export", "tick", "step_back", cancel="drop", export="as file", tick="was sent"
    )
    AUTO_FOCUS = "#message"

    def __init__(self, message_id: int) -> None:
        super().__init__()
        self._message_id = message_id
        self.title_words = f"Message {message_id}"
        self._row: MessageRow | None = None

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](message_lines.PAGE_COLUMNS, empty="The message is gone.", id="message")
        yield Aside()

    def reload(self) -> None:
        self._row = row = one_message(self, self._message_id)
        self.query_one("#message", Rows).show(message_lines.page_rows(row, self.studio.ask(Mail())))
        self.query_one(Aside).show(message_lines.message_about(row, self.kitwright.facts.time_zone))

    def message_here(self) -> MessageRow | None:
        return self._row

    def drafts_here(self) -> Sequence[MessageRow]:
        return [self._row] if self._row is not None and self._row.state in ("draft", "failed") else []

    def on_rows_opened(self, event: Rows.Opened) -> None:
        if event.row_id == message_lines.LINK and self._row is not None:
            self.app.copy_to_clipboard(self._row.link)
            self.says.note(
                "The link was sent to the terminal's clipboard: paste it into a browser. Where the clipboard stays"
                " empty, e keeps the message as a file."
            )
        else:
            self.action_change()

"""The messages page: drafts, what was sent to whom, and the texts that she edits; v chooses."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling import commands
from scheduling.model.messages import Template
from scheduling.queries.classes import Classes
from scheduling.queries.messages import Mail, MessageRow, Messages, Templates
from tui import class_lines, message_lines
from tui.cells import Column
from tui.keys import bindings
from tui.mail_keys import MailKeys
from tui.message_lines import MAIL
from tui.widgets.aside import Aside
from tui.widgets.listing import Listing
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Row, Rows, Section

_STATES = {"drafts": ("draft", "sending", "failed"), "sent": ("sent", "sending", "failed")}
_PICK_COLUMNS = (Column("", share=2, least=22), Column("", share=1, least=14))
_VIEW_COLUMNS = (Column("", 8), Column("", share=1, least=20))
NEWS = "news"


class MessagesScreen(MailKeys):
    """One list at a time; nothing leaves without S and an answer."""

    DEFAULT_CSS = "MessagesScreen #heading { height: 1; color: $accent; text-style: bold; padding: 0 0 0 4; }"
    BINDINGS = bindings(
        "send", "new", "change", "cancel", "export", "tick", "view", "why",
        new="draft", cancel="drop", export="as file", tick="was sent",
    )  # fmt: skip
    AUTO_FOCUS = "#messages"
    title_words = "Messages"

    def __init__(self) -> None:
        super().__init__()
        self._view = "drafts"
        self._messages: dict[int, MessageRow] = {}
        self._texts: dict[str, Template] = {}

    def body(self) -> Iterable[Widget]:
        yield Static("", id="heading")
        yield Listing(Rows[Any](message_lines.COLUMNS, empty=message_lines.EMPTY["drafts"], id="messages"))
        yield Aside()

    def reload(self) -> None:
        self.query_one("#heading", Static).update(Content(message_lines.VIEWS[self._view]))
        rows: list[Row | Section]
        if self._view == "texts":
            self._messages = {}
            texts = self.studio.ask(Templates())
            self._texts = {one.name: one for one in texts}
            rows = message_lines.text_rows(texts, self.studio.ask(Mail()))
        else:
            found = self.studio.ask(Messages(_STATES[self._view]))
            self._messages = {row.id: row for row in found}
            rows = [message_lines.message_row(row, self.kitwright.facts.time_zone) for row in found]
        self._rows.say_empty(message_lines.EMPTY[self._view])
        self._rows.show(rows)
        self._say_about()

    # What is under the cursor

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#messages", Rows)

    def message_here(self) -> MessageRow | None:
        here = self._rows.cursor_id
        return self._messages.get(here) if isinstance(here, int) else None

    def drafts_here(self) -> Sequence[MessageRow]:
        return [row for row in self._messages.values() if row.state in ("draft", "failed")]

    def _text_here(self) -> Template | None:
        here = self._rows.cursor_id
        return self._texts.get(str(here[1])) if isinstance(here, tuple) else None

    def _say_about(self) -> None:
        message, text = self.message_here(), self._text_here()
        about = ""
        if message is not None:
            about = message_lines.message_about(message, self.kitwright.facts.time_zone)
        elif text is not None:
            about = message_lines.text_about(text)
        elif self._rows.cursor_id == MAIL:
            about = "Enter sets from which address and through which server of your own mail goes."
        self.query_one(Aside).show(about)

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        message, text = self.message_here(), self._text_here()
        if message is not None and message.state == "sending" and not self.is_sending:
            self.ask_whether_sent(message)
        elif message is not None:
            self.kitwright.open_message(message.id)
        elif text is not None:
            self.kitwright.change_template(text.name)
        elif self._rows.cursor_id == MAIL:
            self.set_mail()

    # Keys

    def action_why(self) -> None:
        self.says.note(self.query_one(Aside).text)

    def action_view(self) -> None:
        def picked(answer: Picked | None) -> None:
            if answer is not None:
                self._view = str(answer.row_id)
                self._rows.narrow("")
                self.reload()
                self._rows.action_first_row()

        rows = message_lines.views_rows()
        self.app.push_screen(Picker("What is shown?", rows, _VIEW_COLUMNS, empty="Nothing like that."), picked)

    def action_change(self) -> None:
        if self._view == "texts":
            self.on_rows_opened()
        else:
            super().action_change()

    def action_new(self) -> None:
        """A new text; or a draft: of news to those who said yes, or for a class."""
        if self._view == "texts":
            self.kitwright.change_template("")
            return

        def picked(answer: Picked | None) -> None:
            if answer is None:
                return
            if isinstance(answer.row_id, int):
                self.kitwright.draft_message(answer.row_id, None)
            else:
                self.perform(commands.DraftNews())

        classes = (*self.studio.ask(Classes("coming")), *self.studio.ask(Classes("past"))[:20])
        rows = [Row(NEWS, ("News", "to those who said yes to it, and nobody else"))]
        rows += [Row(one.id, (class_lines.named(one), class_lines.when(one, today=self.today))) for one in classes]
        picker: Picker[Row] = Picker("A message about what?", rows, _PICK_COLUMNS, empty="No class is called that.")
        self.app.push_screen(picker, picked)

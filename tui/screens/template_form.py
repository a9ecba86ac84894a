"""The form of a text: its subject and wording, with fields in braces."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scheduling import commands
from scheduling.commands.request import Outcome
from scheduling.queries.messages import Templates
from tui.mail_keys import checked_text
from tui.message_lines import fields_hint
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import YesNoField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form
from tui.widgets.lines_field import LinesField


class TemplateFormScreen(FormPage):
    """Changes one text, or makes a new one where no name is given."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._text_name = name
        self.title_words = f"Text: {name}" if name else "New text"
        self.first_entry = "subject" if name else "name"

    def form(self) -> Form:
        now = {one.name: one for one in self.studio.ask(Templates())}.get(self._text_name)
        fields: list[Field] = [] if now else [TextField("name", "Name", hint="what you call this kind of message")]
        fields += [
            TextField("subject", "Subject", value=now.subject if now else "", read=checked_text),
            LinesField(
                "body", "Text", value=now.body if now else "", lines=10, is_needed=True, hint=fields_hint()
            ),
        ]  # fmt: skip
        if now is None:
            fields.append(YesNoField("is_news", "News", hint="yes: it goes only to those who said yes to news"))
        return Form(*fields, title=f"The text {self._text_name}" if self._text_name else "A new text")

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        return self.studio.do(
            commands.SetTemplate(
                name=self._text_name or values["name"],
                subject=values["subject"],
                body=values["body"],
                is_news=values.get("is_news"),
            )
        )

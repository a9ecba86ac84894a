"""A field for a password: nothing of it is shown, and nothing of it is kept."""

from __future__ import annotations

from tui.widgets.field import TextField


class SecretField(TextField):
    """One line, drawn as dots; its value is what was typed, blanks and all."""

    def __init__(self, entry_name: str, label: str, *, hint: str = "", is_needed: bool = True) -> None:
        super().__init__(entry_name, label, hint=hint, is_needed=is_needed)
        self._entry.password = True

    @property
    def value(self) -> str:
        return self._entry.value

"""One labelled entry of a form: checks as one types, and says beside it what was understood or how to mend it."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, Final, Literal

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from scheduling.errors import SchedulingError
from tui import cells
from tui.widgets.entry import Entry

LABEL_CELLS: Final = 18
INDENT: Final = LABEL_CELLS + 2

State = Literal["hint", "fine", "wrong"]
_MARKS: Final[dict[State, str]] = {"hint": "  ", "fine": "= ", "wrong": "! "}


class Field(Widget):
    """The base of all fields: a label, a note below the entry, and a value that can be loaded and compared.

    entry_name: the name by which the form hands the value on; SchedulingError.field names it too.
    hint: an example or what the entry is for, shown while there is nothing else to say.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {"field--label", "field--lit", "field--hint", "field--fine", "field--wrong"}
    DEFAULT_CSS = """
    Field {
        height: auto; layout: vertical; background: $paper; color: $ink;
        & > .field--label { color: $ink; }
        & > .field--lit { color: $accent; text-style: bold; }
        & > .field--hint { color: $quiet; }
        & > .field--fine { color: $good; }
        & > .field--wrong { color: $bad; text-style: bold; }
    }
    """

    class Changed(Message):
        """The value changed while typing or picking."""

        def __init__(self, field: Field) -> None:
            super().__init__()
            self.field = field

        @property
        def control(self) -> Field:
            return self.field

    class GoOn(Message):
        """Enter: the person is done with this field."""

        def __init__(self, field: Field) -> None:
            super().__init__()
            self.field = field

        @property
        def control(self) -> Field:
            return self.field

    entry_lines = 1

    def __init__(self, entry_name: str, label: str, *, hint: str = "") -> None:
        super().__init__()
        self.entry_name = entry_name
        self.label = label
        self.hint = hint
        self._state: State = "hint"
        self._note = hint
        self._loaded: object = None
        self._is_lit = False  # the typing cursor is in its entry

    # What a form asks of every field

    @property
    def value(self) -> object:
        """What the form hands on."""
        raise NotImplementedError

    @property
    def is_changed(self) -> bool:
        """Whether the value differs from what was loaded."""
        return self.value != self._loaded

    def load(self, value: object) -> None:
        """Put a value in as the one to compare with, and take any note away."""
        raise NotImplementedError

    def check(self) -> bool:
        """Whether the value can be handed on; says beside the field why not."""
        return True

    def take_focus(self) -> None:
        """Put the typing cursor in the field."""
        self.focus()

    def refuse(self, error: SchedulingError) -> None:
        """Show a refusal that names this field, until the value changes."""
        self.say("wrong", f"{error.message} {error.hint}".strip())

    # The note

    @property
    def note(self) -> str:
        """What stands below the entry, with its mark."""
        return f"{_MARKS[self._state]}{self._note}".strip() if self._note else ""

    @property
    def is_wrong(self) -> bool:
        """Whether the note says that something is wrong."""
        return self._state == "wrong"

    def say(self, state: State, text: str) -> None:
        """Put `text` below the entry; the mark before it tells the states apart without colour."""
        if (state, text) == (self._state, self._note):
            return
        self._state, self._note = state, text
        self.refresh(layout=True)

    def say_needed(self) -> None:
        """Say that the entry cannot stay empty, and what it is for."""
        self.say("wrong", f"Needed: {self.hint}" if self.hint else "Needed.")

    def note_lines(self) -> list[str]:
        """The note as it stands on the screen, mark and all."""
        lines = cells.wrap(self._note, max(self.size.width - INDENT - 2, 10)) or [""]
        return [(_MARKS[self._state] if n == 0 else "  ") + line for n, line in enumerate(lines)]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        note = cells.wrap(self._note, max(width - INDENT - 2, 10))
        return self.entry_lines + max(len(note), 1)

    def first_line(self) -> Content:
        """What stands right of the label, for a field without an entry widget."""
        return Content("")

    def render(self) -> Content:
        label = self.get_visual_style("field--lit" if self._is_lit or self.has_focus else "field--label")
        note = self.get_visual_style(f"field--{self._state}")
        named = Content.styled(cells.pad(cells.clean(self.label), LABEL_CELLS), label)
        lines = [named + Content(" " * (INDENT - LABEL_CELLS)) + self.first_line()]
        lines += [Content("")] * (self.entry_lines - 1)
        lines += [Content(" " * (INDENT - 2)) + Content.styled(cells.clean(line), note) for line in self.note_lines()]
        return Content("\n").join(lines)

    def on_descendant_focus(self) -> None:
        self._is_lit = True
        self.refresh()

    def on_descendant_blur(self) -> None:
        self._is_lit = False
        self.refresh()


class TextField(Field):
    """A field typed in one line.

    read: turns what is typed into the words that show what was understood, and raises SchedulingError with message
        and hint where it is not; it is called at every key, so it asks nothing slow.
    is_needed: an empty entry is refused.
    entry_cells: how wide the entry is; 0 takes what there is.
    """

    DEFAULT_CSS = f"""
    TextField > Entry {{ margin: 0 0 0 {INDENT}; width: 1fr; }}
    """

    def __init__(
        self,
        entry_name: str,
        label: str,
        *,
        value: str = "",
        read: Callable[[str], str] | None = None,
        is_needed: bool = True,
        hint: str = "",
        entry_cells: int = 0,
    ) -> None:
        super().__init__(entry_name, label, hint=hint)
        self._read = read
        self._is_needed = is_needed
        self._entry = Entry(value)
        self._loaded = value
        if entry_cells:
            self._entry.styles.max_width = entry_cells

    def compose(self) -> ComposeResult:
        yield self._entry

    def on_mount(self) -> None:
        self._look()

    @property
    def value(self) -> str:
        """What is typed, without blanks at the ends."""
        return self._entry.value.strip()

    @property
    def is_changed(self) -> bool:
        return self.value != str(self._loaded).strip()

    def load(self, value: object) -> None:
        self._loaded = "" if value is None else str(value)
        self._entry.value = self._loaded
        self._entry.cursor_position = len(self._loaded)
        self._look()

    def check(self) -> bool:
        self._look()
        if not self.value and self._is_needed:
            self.say_needed()
        return not self.is_wrong

    def take_focus(self) -> None:
        self._entry.focus()

    def _look(self) -> None:
        """Say what the typed text means."""
        # A sum, a day or a size that stood there is more often replaced than added to; a sentence is added to.
        self._entry.select_on_focus = self._read is not None and not self.is_changed
        if not self.value or self._read is None:
            self.say("hint", self.hint)
            return
        try:
            understood = self._read(self.value)
        except SchedulingError as error:
            self.refuse(error)
        else:
            self.say("fine", understood) if understood else self.say("hint", self.hint)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self._look()
        self.post_message(self.Changed(self))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.post_message(self.GoOn(self))

    def on_entry_lines_dropped(self, event: Entry.LinesDropped) -> None:
        event.stop()
        more = "1 more line was" if event.dropped == 1 else f"{event.dropped} more lines were"
        self.call_after_refresh(self.say, "wrong", f"Only the first line was pasted; {more} left out.")

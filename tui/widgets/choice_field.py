"""Fields that take one of several answers: picked by typing, yes or no."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.geometry import Size
from textual.widgets import Input

from tui import cells
from tui.keys import bindings
from tui.widgets.entry import Entry
from tui.widgets.field import INDENT, Field, State
from tui.widgets.matching import Finder, fold

_MOST_SHOWN = 5


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: `id` is handed on, `text` is shown and typed."""

    id: Hashable
    text: str


class ChoiceField(Field):
    """Pick one by typing some of it; Up and Down choose among what matches, Enter takes it and goes on.

    For up to some hundred choices; for more, open a Picker. An entry that is left takes the choice it names, the one
    stepped to, or the only one that matches. Where nothing is typed, Enter takes the first of a few, but none of more
    than are shown and none where the entry may stay empty: nobody meant the first of a hundred. Typing in an entry
    that holds a choice begins anew.
    """

    BINDINGS = bindings("row_up", "row_down")
    has_all_choices: ClassVar[bool] = True
    """False where what is not listed may still be found by typing."""
    DEFAULT_CSS = f"""
    ChoiceField > Entry {{ margin: 0 0 0 {INDENT}; width: 1fr; }}
    """

    def __init__(
        self,
        entry_name: str,
        label: str,
        choices: Sequence[Choice],
        *,
        value: Hashable | None = None,
        is_needed: bool = True,
        hint: str = "type a few letters",
    ) -> None:
        super().__init__(entry_name, label, hint=hint)
        self._is_needed = is_needed
        self._chosen: Choice | None = None
        self._entry = Entry()
        self._at = 0  # among the hits; -1 for none of them
        self._is_stepped = False  # by Up or Down, to a choice that was not taken yet
        self._hits: Sequence[int] = ()
        self._listed: list[str] = []  # the choices that match, as they stand below the entry
        self.offer(choices)
        self._loaded = value
        self._choose(self._by_id(value))

    def offer(self, choices: Sequence[Choice]) -> None:
        """Other choices from now on; the value stays if it is among them."""
        self._choices = tuple(choices)
        self._find = Finder(self._choices, lambda choice: choice.text, best_first=True)
        if self._chosen not in self._choices:
            self._chosen = None

    def compose(self) -> ComposeResult:
        yield self._entry

    @property
    def value(self) -> Hashable | None:
        """The id of the choice, None when nothing is chosen."""
        return self._chosen.id if self._chosen else None

    @property
    def is_changed(self) -> bool:
        typed = self._entry.value.strip()
        return self.value != self._loaded or (self._chosen is None and bool(typed))

    def load(self, value: object) -> None:
        self._loaded = value
        self._choose(self._by_id(value))

    def check(self) -> bool:
        self._settle()
        if self._chosen is None and (self._is_needed or self._entry.value.strip()):
            typed = self._entry.value.strip()
            says = f"Nothing like {cells.quoted(typed)} is in the list; type" if typed else "Needed: type"
            self.say("wrong", f"{says} a few letters and pick one.")
            return False
        return not self.is_wrong

    def take_focus(self) -> None:
        self._entry.focus()

    def action_row_up(self) -> None:
        self._step(-1)

    def action_row_down(self) -> None:
        self._step(1)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if self._chosen is not None:
            was = self._chosen.text
            if self._entry.value == was:
                return
            if was and self._entry.value.startswith(was):  # typed behind a choice that stood: it is another one
                with self._entry.prevent(Input.Changed):
                    self._entry.value = self._entry.value[len(was) :].lstrip()
                    self._entry.cursor_position = len(self._entry.value)
            self._chosen = None
        self._look_up_typed()
        self._show_hits()
        self.post_message(self.Changed(self))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self._chosen is None:
            self._hits = self._find(self._entry.value)  # keys may be ahead of the message that they changed it
            if self._at < 0 and self._entry.value.strip():
                self._at = 0
            self._take_stepped_to()
        self.post_message(self.GoOn(self))

    def on_descendant_blur(self) -> None:
        super().on_descendant_blur()
        self._settle()

    def on_descendant_focus(self) -> None:
        super().on_descendant_focus()
        if self._chosen is None:
            self._look_up_typed()
            self._show_hits()

    def _look_up_typed(self) -> None:
        """Find what matches, with the first of it to be taken, or none where that is nobody's choice."""
        typed = self._entry.value.strip()
        self._hits = self._find(typed)
        self._is_stepped = False
        self._at = 0 if typed or (self._is_needed and len(self._hits) <= _MOST_SHOWN) else -1

    def _take_stepped_to(self) -> None:
        if self._hits and self._at >= 0:
            self._choose(self._choices[self._hits[min(self._at, len(self._hits) - 1)]])
            self.post_message(self.Changed(self))

    def _by_id(self, value: object) -> Choice | None:
        return next((choice for choice in self._choices if choice.id == value), None)

    def _choose(self, choice: Choice | None) -> None:
        self._chosen = choice
        self._at, self._is_stepped = 0, False
        self._entry.select_on_focus = choice is not None
        self._entry.value = choice.text if choice else ""
        self._entry.cursor_position = len(self._entry.value)
        self.say("hint", "" if choice else self.hint)

    def _settle(self) -> None:
        """Take what the typed text names, or the only choice that it can mean."""
        typed = self._entry.value.strip()
        if self._chosen is None and self._is_stepped:
            self._take_stepped_to()
        if self._chosen is not None or not typed:
            if self._chosen is None:
                self.say("hint", self.hint)
            return
        hits = self._find(typed)
        named = [n for n in hits if fold(self._choices[n].text).strip() == fold(typed)]
        if len(named) == 1 or len(hits) == 1:
            self._choose(self._choices[(named or list(hits))[0]])
            self.post_message(self.Changed(self))
        elif not hits:
            more = " Type a few letters and pick one." if self._choices else ""
            self.say("wrong", f"{self._nothing_found}{more}")

    def _step(self, step: int) -> None:
        if self._chosen is not None:  # from a choice that stands, step to its neighbour
            here = self._choices.index(self._chosen)
            self._choose(self._choices[(here + step) % len(self._choices)])
            self.post_message(self.Changed(self))
        elif self._hits:
            self._at = (max(self._at, -1 if step > 0 else 0) + step) % len(self._hits)
            self._is_stepped = True
            self._show_hits()

    def _show_hits(self) -> None:
        if not self._hits:
            self.say("wrong", self._nothing_found)
            return
        first = max(min(self._at - _MOST_SHOWN + 1, len(self._hits) - _MOST_SHOWN), 0)
        shown = self._hits[first : first + _MOST_SHOWN]
        self._listed = [
            f"{cells.PENCIL.cursor if first + n == self._at else ' '} {cells.clean(self._choices[hit].text)}"
            for n, hit in enumerate(shown)
        ]
        if len(self._hits) > len(shown):
            self._listed.append(f"  and {len(self._hits) - len(shown)} more")
        self._state, self._note = "hint", ""
        self.refresh(layout=True)

    @property
    def _nothing_found(self) -> str:
        """What to say where nothing matches; of a list with nothing in it the hint says what comes first."""
        if self._choices or not self.has_all_choices:
            return "Nothing like that is in the list."
        return f"The list is empty so far; {self.hint}" if self.hint else "The list is empty so far."

    def say(self, state: State, text: str) -> None:
        if self._listed:
            self._listed = []
            self.refresh(layout=True)
        super().say(state, text)

    def note_lines(self) -> list[str]:
        room = max(self.size.width - INDENT, 10)
        return [cells.cut(line, room) for line in self._listed] or super().note_lines()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        if self._listed:
            return self.entry_lines + len(self._listed)
        return super().get_content_height(container, viewport, width)


class YesNoField(Field, can_focus=True):
    """Yes or no; Space or Left and Right change it, Enter goes on."""

    BINDINGS = [
        *bindings("open", pick="change"),
        Binding("left,right", "pick", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = {"field--answer", "field--other"}
    DEFAULT_CSS = """
    YesNoField {
        & > .field--answer { text-style: bold; }
        &:focus > .field--answer { text-style: bold reverse; }
        & > .field--other { color: $quiet; }
    }
    """

    def __init__(self, entry_name: str, label: str, *, value: bool = False, hint: str = "") -> None:
        super().__init__(entry_name, label, hint=hint)
        self._is_yes = value
        self._loaded = value

    @property
    def value(self) -> bool:
        return self._is_yes

    def load(self, value: object) -> None:
        self._loaded = self._is_yes = bool(value)
        self.say("hint", self.hint)
        self.refresh()

    def action_pick(self) -> None:
        self._is_yes = not self._is_yes
        self.say("hint", self.hint)
        self.refresh()
        self.post_message(self.Changed(self))

    def action_open(self) -> None:
        self.post_message(self.GoOn(self))

    def on_click(self, event: events.Click) -> None:
        if event.y == 0:
            self.action_pick()

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.refresh()

    def first_line(self) -> Content:
        on, off = self.get_visual_style("field--answer"), self.get_visual_style("field--other")
        return Content("  ").join(
            Content.styled(f"[{word}]" if is_it else f" {word} ", on if is_it else off)
            for word, is_it in (("yes", self._is_yes), ("no", not self._is_yes))
        )

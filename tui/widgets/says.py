"""The status line: the last result in words."""

from __future__ import annotations

from typing import ClassVar, Final, Literal

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from scheduling.errors import SchedulingError
from tui import cells
from tui.keys import key_for

Kind = Literal["note", "done", "refused", "working"]
_WORDS: Final[dict[Kind, str]] = {"note": "", "done": "Done:", "refused": "Not done:", "working": "Working:"}
_MARKS: Final[dict[Kind, str]] = {"note": " ", "done": "+", "refused": "!", "working": "~"}
_MOST_LINES: Final = 5


class Says(Widget):
    """One to five lines that keep the last result; a refusal differs by mark and word, not only by colour."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"says--note", "says--done", "says--refused", "says--working"}
    DEFAULT_CSS = """
    Says {
        height: auto; background: $paper;
        & > .says--note { color: $ink; }
        & > .says--done { color: $good; text-style: $good-style; }
        & > .says--refused { color: $bad; text-style: $bad-style; }
        & > .says--working { color: $quiet; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._kind: Kind = "note"
        self._text = ""

    @property
    def text(self) -> str:
        """The whole line as it reads, without its mark."""
        return f"{_WORDS[self._kind]} {self._text}".strip()

    def done(self, sentence: str, *, can_undo: bool = True) -> None:
        """A command was kept; names the undo key unless there is nothing to undo."""
        undo = key_for("undo")
        self._say("done", f"{sentence} Press {undo.sign} to {undo.label}." if can_undo else sentence)

    def refuse(self, error: SchedulingError) -> None:
        """A command was refused: what happened, and the next thing to do."""
        self._say("refused", f"{error.message} {error.hint}".strip())

    def note(self, sentence: str) -> None:
        """Anything else worth a line."""
        self._say("note", sentence)

    def working(self, job: str, done: int = 0, whole: int = 0) -> None:
        """A long piece of work goes on: `done` of `whole` steps, when that is known."""
        self._say("working", f"{job}, {done} of {whole}." if whole else f"{job}.")

    def _say(self, kind: Kind, text: str) -> None:
        before = len(self._lines(self.size.width))
        self._kind, self._text = kind, cells.clean(text)
        # A new layout of the whole page is only worth its time when the line grows or shrinks.
        self.refresh(layout=len(self._lines(self.size.width)) != before)

    def _lines(self, width: int) -> list[str]:
        lines = cells.wrap(self.text, max(width - 3, 10))
        if len(lines) > _MOST_LINES:
            lines[_MOST_LINES - 1] = cells.cut(" ".join(lines[_MOST_LINES - 1 :]), max(width - 3, 10))
        return lines[:_MOST_LINES] or [""]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self._lines(width))

    def render(self) -> Content:
        style = self.get_visual_style(f"says--{self._kind}")
        mark = _MARKS[self._kind]
        return Content("\n").join(
            Content.styled(f" {mark if n == 0 else ' '} {line}", style)
            for n, line in enumerate(self._lines(self.size.width))
        )

"""A question with named answers; nothing that destroys is ready under Enter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from tui import cells
from tui.keys import bindings
from tui.widgets.overlay import Overlay, Scroll
from tui.widgets.push import Push


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer: `id` is the result, `label` says what will happen; a grave one cannot easily be taken back."""

    id: str
    label: str
    is_grave: bool = False


class Ask(Overlay[str]):
    """Ask and give the id of the answer, or None when the person steps back.

    The first answer that is not grave has the focus; when all are grave, none has, and Enter does nothing.
    details: what else there is to know, in lines; page keys scroll it when it is long.
    """

    BINDINGS = bindings("row_up", "row_down", "page_up", "page_down")
    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    Ask {
        & .ask--details { height: auto; margin: 1 0 0 0; }
        & .ask--answers { height: auto; margin: 1 0 0 0; }
    }
    """

    def __init__(self, question: str, answers: Sequence[Answer], *, details: str = "") -> None:
        super().__init__()
        self._question = question
        self._answers = tuple(answers)
        self._details = details

    def compose(self) -> ComposeResult:
        with Scroll(classes="sheet"):
            yield Static(Content(cells.lines(self._question)), classes="sheet--title")
            if self._details:
                yield Static(Content(cells.lines(self._details)), classes="ask--details")
            with Vertical(classes="ask--answers"):
                for answer in self._answers:
                    yield Push(answer.label, answer.id, is_grave=answer.is_grave)
            yield Static(Content("Tab or Down: next answer   Enter: take it   Esc: back"), classes="sheet--foot")

    def on_mount(self) -> None:
        for push, answer in zip(self.query(Push), self._answers, strict=True):
            if not answer.is_grave:
                push.focus()
                return

    def on_push_pressed(self, event: Push.Pressed) -> None:
        self.finish(event.answer)

    def action_row_up(self) -> None:
        self.focus_previous(Push)

    def action_row_down(self) -> None:
        self.focus_next(Push)

    def action_page_up(self) -> None:
        self.query_one(Scroll).scroll_page_up(animate=False)

    def action_page_down(self) -> None:
        self.query_one(Scroll).scroll_page_down(animate=False)

"""A question with named answers; nothing that destroys is ready under Enter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from tui.keys import bindings
from tui.widgets.overlay import Overlay
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
    details: what else there is to know, in lines; it scrolls when it is long.
    """

    BINDINGS = bindings("row_up", "row_down")
    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    Ask {
        & .ask--details { height: auto; max-height: 12; scrollbar-size-vertical: 1; margin: 1 0 0 0; }
        & .ask--details Static { height: auto; }
        & .ask--answers { height: auto; margin: 1 0 0 0; }
    }
    """

    def __init__(self, question: str, answers: Sequence[Answer], *, details: str = "") -> None:
        super().__init__()
        self._question = question
        self._answers = tuple(answers)
        self._details = details

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="sheet", can_focus=False):
            yield Static(Content(self._question), classes="sheet--title")
            if self._details:
                with VerticalScroll(classes="ask--details", can_focus=False):
                    yield Static(Content(self._details))
            with VerticalScroll(classes="ask--answers", can_focus=False):
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

"""The list of all actions: type some of a name, Enter does it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from tui.actions_here import Here, actions_here
from tui.cells import Column
from tui.widgets.picker import Picked, Picker
from tui.widgets.row import Cell, Row

if TYPE_CHECKING:
    from tui.app import KitwrightApp

_COLUMNS: Final = (Column("", 22), Column("", share=1, least=20), Column("", 11, align="right", drop=1))


def pick_action(app: KitwrightApp) -> None:
    """Ask for an action that works on the page now shown, and do it there."""
    here = {action.id: action for action in actions_here(app, app.screen)}

    def picked(chosen: Picked | None) -> None:
        if chosen is not None and chosen.row_id is not None:
            app.call_later(here[str(chosen.row_id)].run)  # once the page has its focus back

    app.push_screen(
        Picker(
            "What do you want to do?",
            list(here.values()),
            _COLUMNS,
            empty="No action is called like that. Try another word, or ? for all keys.",
            draw=_line,
            text_of=lambda action: f"{action.name} {action.about} {action.sign}",
        ),
        picked,
    )


def _line(action: Here) -> Row:
    return Row(action.id, (action.name, Cell(action.about, "quiet"), Cell(action.sign, "accent")))

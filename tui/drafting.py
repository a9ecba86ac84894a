"""Drafting a message from any page: which text, then to whom; nothing is sent by it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from scheduling import commands
from scheduling.queries.classes import ClassDate
from scheduling.queries.messages import Templates
from scheduling.queries.settlement import Settlement
from tui import class_lines
from tui.cells import Column
from tui.screens.studio_page import StudioPage
from tui.widgets.ask import Answer, Ask
from tui.widgets.picker import Picked, Picker
from tui.widgets.row import Row

if TYPE_CHECKING:
    from scheduling.commands.messages import Audience

TEXT_COLUMNS: Final = (Column("", 16), Column("", share=1, least=20))
#: To whom a text goes as a rule, first among the answers.
FIRST: Final[dict[str, Audience]] = {"offer": "offered", "cancelled": "all", "moved": "all"}
AUDIENCES: Final[dict[Audience, str]] = {
    "seated": "Those with a seat",
    "waiting": "Those who wait",
    "offered": "Those with an offer",
    "all": "All of them",
}


def start_draft(app: Any, class_date_id: int, booking_id: int | None) -> None:
    """Ask which text; for a class then to whom, one message an address."""
    page = app.screen
    if not isinstance(page, StudioPage):
        return
    texts = [one for one in page.studio.ask(Templates()) if not one.is_news]

    def picked(answer: Picked | None) -> None:
        if answer is None:
            return
        if booking_id is None:
            _ask_to_whom(page, class_date_id, str(answer.row_id))
        else:
            page.perform(
                commands.DraftMessages(
                    template=str(answer.row_id), class_date_id=class_date_id, audience="all", booking_id=booking_id
                )
            )

    if booking_id is None:
        whom = class_lines.named(page.studio.ask(ClassDate(class_date_id)).row)
    else:
        settlement = page.studio.ask(Settlement(booking_id))
        whom = f"{settlement.money.payer} ({settlement.ref})"
    picker: Picker[Row] = Picker(
        f"Which text for {whom}?",
        [Row(one.name, (one.name, one.subject)) for one in texts],
        TEXT_COLUMNS,
        empty="No text is called that; page 0 keeps them.",
    )
    app.push_screen(picker, picked)


def _ask_to_whom(page: StudioPage, class_date_id: int, template: str) -> None:
    first = FIRST.get(template, "seated")
    order = sorted(AUDIENCES, key=lambda one: one != first)
    chosen: dict[str, Audience] = {str(one): one for one in order}

    def answered(answer: str | None) -> None:
        if answer in chosen:
            page.perform(
                commands.DraftMessages(template=template, class_date_id=class_date_id, audience=chosen[answer])
            )

    about = "One message an address; nobody is shown anything of another household. Page 0 holds the drafts."
    answers = [Answer(one, AUDIENCES[one]) for one in order]
    page.app.push_screen(Ask(f"The text {template}: to whom?", answers, details=about), answered)

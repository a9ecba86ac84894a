"""The receipt or the invoice of a booking, as the payer would read it; written into a file."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.errors import SchedulingError
from scheduling.model.refs import ref
from scheduling.queries.person_money import Paper, Receipt
from scheduling.saving import save_file
from tui import cells
from tui.calendar_files import folder_for
from tui.keys import bindings
from tui.paper_lines import paper_text
from tui.screens.studio_page import StudioPage


class ReceiptScreen(StudioPage):
    """One paper; v turns it from receipt to invoice, e writes it beside the studio's file."""

    DEFAULT_CSS = """
    ReceiptScreen > VerticalScroll { height: 1fr; background: $paper; scrollbar-size-vertical: 1; }
    ReceiptScreen > VerticalScroll > Static { width: 76; margin: 1 0 0 4; color: $ink; }
    """
    BINDINGS = bindings("export", "view", "step_back", export="write file", view="invoice or receipt")
    AUTO_FOCUS = "VerticalScroll"

    def __init__(self, booking_id: int) -> None:
        super().__init__()
        self._booking_id = booking_id
        self._as_invoice: bool | None = None
        self._paper: Paper | None = None

    def body(self) -> Iterable[Widget]:
        with VerticalScroll():
            yield Static("", id="paper")

    def reload(self) -> None:
        paper = self.studio.ask(Receipt(self._booking_id, as_invoice=bool(self._as_invoice)))
        if self._as_invoice is None:  # what is still to be paid asks for an invoice
            self._as_invoice = paper.to_pay > 0
            paper = self.studio.ask(Receipt(self._booking_id, as_invoice=self._as_invoice))
        self._paper = paper
        self.title_words = f"{paper.kind.capitalize()} {ref('booking', self._booking_id)}"
        self.query_one("#paper", Static).update(Content(cells.lines(paper_text(paper))))

    def action_view(self) -> None:
        self._as_invoice = not self._as_invoice
        self.refresh_page()

    def action_export(self) -> None:
        paper = self._paper
        if paper is None:
            return
        folder: Path = self.kitwright.calendar_folder or folder_for(self.studio.path)
        path = folder / f"{paper.kind}-{paper.reference}.txt"
        try:
            changed = save_file(path, paper_text(paper).encode("utf-8"), private=True, what=paper.kind)
        except SchedulingError as error:
            self.says.refuse(error)
            return
        said = f"The {paper.kind} is in {path}; it names the payer, so keep it to them."
        self.says.done(said if changed else f"{said} Nothing in it has changed.", can_undo=False)

"""One place to find anything: attendees, classes, bookings, prep, venues, projects, materials, suppliers, orders."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from scheduling.queries.search import FoundRow, Search
from tui.cells import Column
from tui.screens.studio_page import StudioPage
from tui.widgets.lookup import Lookup
from tui.widgets.picker import Picked
from tui.widgets.row import Cell, Row

if TYPE_CHECKING:
    from tui.app import KitwrightApp

AT_MOST: Final = 60
_COLUMNS: Final = (Column("", 9), Column("", share=2, least=18), Column("", share=3, least=20))
_EMPTY: Final = (
    "Nothing found. Type letters of a name, a title, a day such as 18 feb, an e-mail, a phone number, or a reference"
    " such as C05, A12, B231 or M03."
)


def start_search(app: KitwrightApp) -> None:
    """Find something and open it; `app` shows a page of the studio."""
    page = app.screen
    if not isinstance(page, StudioPage):
        return

    def look_up(typed: str) -> tuple[Sequence[FoundRow], int]:
        found = app.studio.ask(Search(typed, AT_MOST))
        return found, len(found)

    def picked(chosen: Picked | None) -> None:
        if chosen is not None and isinstance(chosen.row_id, tuple):
            kind, number, class_date_id = chosen.row_id
            _open(app, kind, number, class_date_id)

    lookup: Lookup[FoundRow] = Lookup(
        "Find anything",
        look_up,
        _COLUMNS,
        empty=_EMPTY,
        draw=_line,
        id_of=_identity,
    )
    app.push_screen(lookup, picked)


def _identity(row: FoundRow) -> tuple[str, int, int]:
    return row.kind, row.id, row.class_date_id


def _line(row: FoundRow) -> Row:
    return Row(_identity(row), (Cell(row.kind, "quiet"), f"{row.ref} {row.title}", Cell(row.about, "quiet")))


def _open(app: KitwrightApp, kind: str, number: int, class_date_id: int) -> None:
    """A booking is shown on its class."""
    if kind in ("class", "booking"):
        app.open_class(class_date_id)
    elif kind == "attendee":
        app.open_person(number)
    elif kind == "task":
        app.open_task(number)
    elif kind == "venue":
        app.change_venue(number)
    elif kind == "material":
        app.open_material(number)
    elif kind == "supplier":
        app.change_supplier(number)
    elif kind == "order":
        app.call_later(app.show_stock, "orders", ("order", number))
    else:
        app.change_project(number)

"""What every key does: those that act where one came from first, then the whole table."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from textual.screen import Screen
from textual.widget import Widget

from tui.actions_here import Here, keys_here
from tui.cells import Column
from tui.keys import Key, bindings, by_place, sign_of
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.listing import Listing
from tui.widgets.row import Cell, Row, Section
from tui.widgets.rows import Rows

_COLUMNS: Final = (Column("Key", 16), Column("Does", 14), Column("", share=1, least=20))
_CAUTIONS: Final = (
    "Blades, heat, glue, solvents, small parts and children: labels, the venue's rules and local codes come first.",
    "The posted occupancy of a room is for the venue and the fire authority to say, not for this program.",
    "Refunds, tax and how long records are kept: local law stands above what is set here; ask an adviser.",
)


class HelpScreen(StudioPage):
    """Made from the one key table, so that it cannot say what is not so."""

    BINDINGS = bindings("find", "step_back")
    AUTO_FOCUS = "Rows"
    title_words = "Help"

    def __init__(self, place: Screen[Any]) -> None:
        """place: the page that help was asked for on."""
        super().__init__()
        self._here = keys_here(place)
        self._place_words = place.title_words if isinstance(place, StudioPage) else "here"
        self._about: dict[str, str] = {}

    def body(self) -> Iterable[Widget]:
        yield Listing(Rows[Any](_COLUMNS, empty="No key does that here."))
        yield Aside()

    def reload(self) -> None:
        rows: list[Row | Section] = [Section(f"Here: {self._place_words}")]
        rows += [self._here_line(here) for here in self._here]
        for heading, keys in by_place():
            rows.append(Section(heading))
            rows += [self._key_line(key) for key in keys]
        rows.append(Section("Cautions"))
        for n, caution in enumerate(_CAUTIONS):
            rows.append(self._line(f"caution {n}", "", "", caution))
        self.query_one(Rows).show(rows)
        self._say_about()

    def _here_line(self, here: Here) -> Row:
        return self._line(f"here {here.id}", here.sign, here.name, here.about)

    def _key_line(self, key: Key) -> Row:
        return self._line(f"table {key.action}", ", ".join(map(sign_of, key.keys)), key.label, key.about)

    def _line(self, row_id: str, sign: str, label: str, about: str) -> Row:
        self._about[row_id] = f"{sign}: {about}" if sign else about
        return Row(row_id, (Cell(sign, "accent"), label, Cell(about, "")))

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._about.get(str(self.query_one(Rows).cursor_id), ""))

    def on_rows_moved(self) -> None:
        self._say_about()

"""A page of one list whose rows stand for things of the stock, with words on the one under the cursor below."""

from __future__ import annotations

from typing import Any

from tui.beside import AsksBeside
from tui.stock_lines import Ground, Lines
from tui.widgets.aside import Aside
from tui.widgets.rows import Rows


class LinesPage(AsksBeside):
    """The page fills `_lines` and shows their rows; its list is the one that has the focus first."""

    def __init__(self) -> None:
        super().__init__()
        self._lines = Lines()

    @property
    def _ground(self) -> Ground:
        facts = self.kitwright.facts
        return Ground(facts.currency, facts.units, self.today)

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(self.AUTO_FOCUS or "Rows", Rows)

    @property
    def _here(self) -> Any:
        """The thing under the cursor: a row of stock, a need with its class, an order, a supplier, a reward."""
        return self._lines.what.get(self._rows.cursor_id)

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(self._rows.cursor_id, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

"""A list of things that classes are made of: make one, change it, retire it or bring it back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, ClassVar

from textual.widget import Widget

from scheduling.commands.request import Outcome, Request
from tui.cells import Column
from tui.keys import bindings
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.listing import Listing
from tui.widgets.row import Row
from tui.widgets.rows import Rows


class ShelfPage(StudioPage):
    """A page with one list; what is retired is shown after v, and x brings it back.

    columns, empty: see Rows. noun: what a row is, such as "venue". stays: what retiring leaves as it is.
    """

    BINDINGS = bindings("find", "new", "change", "step_back", "view", cancel="retire")
    AUTO_FOCUS = "Rows"
    columns: ClassVar[Sequence[Column]] = ()
    empty: ClassVar[str] = ""
    noun: ClassVar[str] = ""
    stays: ClassVar[str] = ""

    def __init__(self) -> None:
        super().__init__()
        self._with_retired = False
        self._items: dict[int, Any] = {}

    # What each shelf says of itself

    def items(self, *, with_retired: bool) -> Sequence[Any]:
        """The things to list, each with `id` and `retired`."""
        raise NotImplementedError

    def draw(self, item: Any) -> Row:
        """The thing as a row under `columns`."""
        raise NotImplementedError

    def name_of(self, item: Any) -> str:
        """What the thing is called in a question."""
        raise NotImplementedError

    def about(self, item: Any) -> str:
        """The thing in one or two sentences, shown while the cursor is on it."""
        return ""

    def retiring(self, item: Any, *, back: bool) -> Request[Outcome]:
        """The command that retires the thing, or brings it back."""
        raise NotImplementedError

    def open_item(self, item: Any) -> None:
        """What Enter does; changing it, where there is no page of its own."""
        self.change_item(item)

    def change_item(self, item: Any) -> None:
        raise NotImplementedError

    # The page

    def body(self) -> Iterable[Widget]:
        yield Listing(Rows[Any](self.columns, empty=self.empty, draw=self._line))
        yield Aside()

    def reload(self) -> None:
        found = self.items(with_retired=self._with_retired)
        self._items = {item.id: item for item in found}
        self._rows.show(list(found))
        self._say_about()

    def was_kept(self, outcome: Outcome | None) -> None:
        """What was made is under the cursor: what is pressed next is meant for it."""
        before = set(self._items)
        super().was_kept(outcome)
        for made in set(self._items) - before:
            self._rows.go_to(made)

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    def _line(self, item: Any) -> Row:
        row = self.draw(item)
        return Row(row.id, row.cells, "x", "quiet") if item.retired else row

    def here(self) -> Any:
        """The thing under the cursor; None, and said so, where there is none."""
        item = self._items.get(self._rows.cursor_id)  # type: ignore[call-overload]  # an id or None
        if item is None:
            self.says.note(f"There is no {self.noun} under the cursor.")
        return item

    def _say_about(self) -> None:
        item = self._items.get(self._rows.cursor_id)  # type: ignore[call-overload]  # an id or None
        retired = "Retired; x brings it back. " if item is not None and item.retired else ""
        self.query_one(Aside).show("" if item is None else retired + self.about(item))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        if (item := self.here()) is not None:
            self.open_item(item)

    def action_change(self) -> None:
        if (item := self.here()) is not None:
            self.change_item(item)

    def action_view(self) -> None:
        self._with_retired = not self._with_retired
        self.reload()
        self.says.note("What is retired is shown too." if self._with_retired else "What is retired is left out.")

    def action_cancel(self) -> None:
        item = self.here()
        if item is None:
            return
        if item.retired:
            self.perform(self.retiring(item, back=True))
            return

        def answered(answer: str | None) -> None:
            if answer == "retire":
                self.perform(self.retiring(item, back=False))

        answers = (Answer("no", "Leave it in the lists"), Answer("retire", "Retire it"))
        about = f"{self.stays} v shows what is retired, x brings it back."
        self.app.push_screen(Ask(f"Take {self.name_of(item)} out of the lists?", answers, details=about), answered)

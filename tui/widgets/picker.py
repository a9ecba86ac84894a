"""Type a few letters, take the one you meant, or make a new one of what you typed."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from functools import partial
from operator import attrgetter
from typing import Any, Final, Generic, TypeVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from tui import cells
from tui.cells import Column
from tui.keys import bindings
from tui.widgets.entry import Entry
from tui.widgets.matching import Finder
from tui.widgets.overlay import Overlay
from tui.widgets.rows import Row, Rows, as_it_is

T = TypeVar("T")

#: Above this many items the typed letter is painted before the list is narrowed.
_MANY: Final = 5_000


@dataclass(frozen=True, slots=True)
class Picked:
    """What was taken: the id of an item, or None to make a new one of `typed`."""

    row_id: Hashable | None
    typed: str


class _MakeNew:
    """Stands last in the list, whatever is typed."""

    id = None


class Picker(Overlay[Picked], Generic[T]):
    """Pick one of up to some 50,000 items; gives `Picked`, or None when the person steps back.

    title: the question, such as "Who is coming?". make_new: label of the last row, such as "New attendee"; without
    it only items can be taken. draw, id_of, text_of, matcher: as for Rows.
    typed: what stands in the entry at first.
    """

    BINDINGS = bindings("row_up", "row_down", "page_up", "page_down")
    DEFAULT_CSS = """
    Picker {
        & > .sheet { height: 100%; max-height: 24; width: 90; }
        & Entry { margin: 0 0 1 0; }
    }
    """

    def __init__(
        self,
        title: str,
        items: Sequence[T],
        columns: Sequence[Column],
        *,
        empty: str,
        make_new: str = "",
        draw: Callable[[T], Row] = as_it_is,
        id_of: Callable[[T], Hashable] = attrgetter("id"),
        text_of: Callable[[T], str] | None = None,
        matcher: Callable[[Sequence[T]], Callable[[str], Sequence[int]]] | None = None,
        typed: str = "",
    ) -> None:
        super().__init__()
        self._title = title
        self._items = items
        self._columns = tuple(columns)
        self._make_new = make_new
        self._draw = draw
        self._id_of = id_of
        self._typed = typed
        text_of = text_of or self._all_cells
        self._find = (matcher or partial(Finder[T], text_of=text_of, best_first=True))(items)
        self._empty = empty

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Content(cells.lines(self._title)), classes="sheet--title")
            yield Entry(self._typed, placeholder="type a few letters")
            rows: Rows[Any] = Rows(
                self._columns,
                empty=self._empty,
                draw=self._row,
                id_of=self._row_id,
                matcher=lambda _items: self._matches,
            )
            rows.can_focus = False
            rows.is_lit = True
            yield rows
            yield Static(Content("Up, Down: choose   Enter: take it   Esc: back"), classes="sheet--foot")

    def on_mount(self) -> None:
        self._show_all()
        if self._typed:
            self._narrow()
        self.query_one(Entry).focus()
        if isinstance(self._find, Finder):
            self.call_after_refresh(self._find.prepare)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if len(self._items) > _MANY:
            self.call_after_refresh(self._narrow)
        else:
            self._narrow()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self._narrow()  # keys may be ahead of the list
        self._take(self._rows.cursor_item)

    def on_rows_opened(self, event: Rows.Opened) -> None:
        event.stop()
        self._take(self._rows.cursor_item)

    def action_row_up(self) -> None:
        self._narrow()
        self._rows.action_row_up()

    def action_row_down(self) -> None:
        self._narrow()
        self._rows.action_row_down()

    def action_page_up(self) -> None:
        self._rows.action_page_up()

    def action_page_down(self) -> None:
        self._rows.action_page_down()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    @property
    def _value(self) -> str:
        return self.query_one(Entry).value.strip()

    def _take(self, item: Any) -> None:
        if isinstance(item, _MakeNew):
            if self._value:
                self.finish(Picked(None, self._value))
        elif item is not None:
            self.finish(Picked(self._id_of(item), self._value))

    def _show_all(self) -> None:
        last = [_MakeNew()] if self._make_new else []
        self._rows.show([*self._items, *last])

    def _narrow(self) -> None:
        if self.is_mounted and self.is_attached:
            self._rows.narrow(self._value, to_top=True)

    def _matches(self, typed: str) -> Sequence[int]:
        hits = self._find(typed)
        return [*hits, len(self._items)] if self._make_new else hits

    def _all_cells(self, item: T) -> str:
        return " ".join(cell if isinstance(cell, str) else cell.text for cell in self._draw(item).cells)

    def _row_id(self, item: Any) -> Hashable:
        return _MakeNew if isinstance(item, _MakeNew) else self._id_of(item)

    def _row(self, item: Any) -> Row:
        if isinstance(item, _MakeNew):
            typed = self._value
            label = f"{self._make_new}: {typed}" if typed else f"{self._make_new}: type a name first"
            return Row(_MakeNew, (label, *("" for _ in self._columns[1:])), mark="+", tone="accent")
        return self._draw(item)

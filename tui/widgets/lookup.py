"""A picker whose rows are asked for at every key: for lists too long to be carried along."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from operator import attrgetter
from typing import Generic, TypeVar

from textual.content import Content
from textual.widgets import Input, Static

from tui import cells
from tui.cells import Column
from tui.widgets.picker import Picker
from tui.widgets.rows import Row, as_it_is

T = TypeVar("T")


class Lookup(Picker[T], Generic[T]):
    """A Picker that asks `look_up` with what is typed and shows the rows that come back, the best first.

    look_up: gives the rows to show and how many match in all.
    remark: what else the typed text means, shown under the list; None shows how many match.
    """

    def __init__(
        self,
        title: str,
        look_up: Callable[[str], tuple[Sequence[T], int]],
        columns: Sequence[Column],
        *,
        empty: str,
        make_new: str = "",
        draw: Callable[[T], Row] = as_it_is,
        id_of: Callable[[T], Hashable] = attrgetter("id"),
        remark: Callable[[str], str] | None = None,
        typed: str = "",
    ) -> None:
        super().__init__(title, (), columns, empty=empty, make_new=make_new, draw=draw, id_of=id_of, typed=typed)
        self._look_up = look_up
        self._remark = remark
        self._asked: str | None = None

    def on_mount(self) -> None:
        self._narrow()
        super().on_mount()

    def on_input_changed(self, event: Input.Changed) -> None:
        """The typed letter is painted first; of keys typed ahead only the last text is asked for."""
        event.stop()
        event.prevent_default()
        self.call_after_refresh(self._narrow)

    def _narrow(self) -> None:
        if not (self.is_mounted and self.is_attached) or self._asked == self._value:
            return
        self._asked = self._value
        self._items, total = self._look_up(self._asked)
        self._show_all()
        self._rows.action_first_row()
        more = f"{total} match; the first {len(self._items)} are shown." if total > len(self._items) else ""
        remark = self._remark(self._asked) if self._remark else ""
        foot = "Up, Down: choose   Enter: take it   Esc: back"
        self.query_one(".sheet--foot", Static).update(
            Content(cells.lines("\n".join(part for part in (remark or more, foot) if part)))
        )

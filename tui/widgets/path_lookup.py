"""Choosing a file by typing its path: Enter goes into a folder, and takes a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Protocol

from tui.cells import Column
from tui.widgets.entry import Entry
from tui.widgets.lookup import Lookup
from tui.widgets.picker import Picked
from tui.widgets.row import Cell, Row


class PlaceLike(Protocol):
    """A folder or file that completes what is typed."""

    @property
    def typed(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def is_folder(self) -> bool: ...
    @property
    def kind(self) -> str: ...


class PathLookup(Lookup[PlaceLike]):
    """Gives `Picked` with the path in `typed`; look_up completes a path, see tui/folders.py."""

    def __init__(
        self, title: str, look_up: Callable[[str], tuple[Sequence[PlaceLike], int]], *, typed: str, empty: str
    ) -> None:
        super().__init__(
            title,
            look_up,
            (Column("", share=1, least=20), Column("", 11)),
            empty=empty,
            draw=lambda place: Row(
                place.typed, (f"{place.name}/" if place.is_folder else place.name, Cell(place.kind, "quiet"))
            ),
            id_of=lambda place: place.typed,
            typed=typed,
        )

    def _take(self, item: Any) -> None:
        if item is None:
            return
        if item.is_folder:
            entry = self.query_one(Entry)
            entry.value = item.typed
            entry.cursor_position = len(item.typed)
        else:
            self.finish(Picked(item.typed, item.typed))

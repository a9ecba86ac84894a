"""A list of any length: draws only the lines in sight, keeps its cursor by id, narrows while typing."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from operator import attrgetter
from typing import Any, ClassVar, Final, Generic, TypeVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui import cells
from tui.cells import Column, Signs
from tui.keys import bindings
from tui.widgets.matching import Finder
from tui.widgets.row import Cell as Cell
from tui.widgets.row import Row as Row
from tui.widgets.row import Section as Section
from tui.widgets.row import Tone as Tone
from tui.widgets.row import as_it_is as as_it_is

T = TypeVar("T")

_GAP: Final = 2
_GUTTER: Final = 4  # cursor sign, mark, margin line, blank


class Rows(ScrollView, Generic[T], can_focus=True, inherit_bindings=False):
    """The list. Its items may be `Row`s, or anything that `draw` turns into one when its line comes in sight.

    columns: see cells.Column; the header is left out when no column has a title.
    draw: makes the Row of an item. id_of: its id without drawing it. text_of: what typing finds; all cells unless
        given. matcher: makes another finder than `Finder` out of the items, called with what is typed and giving
        positions in order.
    empty: what to do next, shown when there is nothing to list.
    """

    BINDINGS = bindings("open", "row_up", "row_down", "page_up", "page_down", "first_row", "last_row")
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "rows--header", "rows--section", "rows--margin", "rows--quiet", "rows--good", "rows--warn", "rows--bad",
        "rows--accent",
    }  # fmt: skip
    DEFAULT_CSS = """
    Rows {
        height: 1fr; background: $paper; color: $ink; overflow-x: hidden; overflow-y: auto;
        scrollbar-size-vertical: 1;
        & > .rows--header { color: $quiet; text-style: underline; }
        & > .rows--section { color: $accent; text-style: bold; }
        & > .rows--margin { color: $margin; }
        & > .rows--quiet { color: $quiet; }
        & > .rows--good { color: $good; text-style: $good-style; }
        & > .rows--warn { color: $warn; text-style: $warn-style; }
        & > .rows--bad { color: $bad; text-style: $bad-style; }
        & > .rows--accent { color: $accent; }
    }
    """

    #: Draw the cursor as if the list had the focus: for a list led from an entry above it.
    is_lit = False

    class Opened(Message):
        """Enter or a double click on a row."""

        def __init__(self, rows: Rows[Any], row_id: Hashable) -> None:
            super().__init__()
            self.rows = rows
            self.row_id = row_id

        @property
        def control(self) -> Rows[Any]:
            return self.rows

    class Moved(Message):
        """The cursor is on another row; row_id is None when there is none."""

        def __init__(self, rows: Rows[Any], row_id: Hashable | None) -> None:
            super().__init__()
            self.rows = rows
            self.row_id = row_id

        @property
        def control(self) -> Rows[Any]:
            return self.rows

    def __init__(
        self,
        columns: Sequence[Column],
        *,
        empty: str,
        draw: Callable[[T], Row] = as_it_is,
        id_of: Callable[[T], Hashable] = attrgetter("id"),
        text_of: Callable[[T], str] | None = None,
        matcher: Callable[[Sequence[T]], Callable[[str], Sequence[int]]] | None = None,
        signs: Signs = cells.PENCIL,
        id: str | None = None,  # noqa: A002  (Textual's own name for it)
        classes: str | None = None,
    ) -> None:
        self._styles: dict[str, Style] = {}
        super().__init__(id=id, classes=classes)
        self._columns = tuple(columns)
        self._draw = draw
        self._id_of = id_of
        self._text_of = text_of or self._all_cells
        self._matcher = matcher or (lambda items: Finder(items, self._text_of))
        self._signs = signs
        self._empty = empty
        self._header = int(any(column.title for column in columns))
        self._items: list[T] = []
        self._before: dict[int, Section] = {}  # section that stands before the item at this position
        self._find: Callable[[str], Sequence[int]] | None = None
        self._typed = ""
        self._lines: Sequence[int | Section] = ()  # what stands on each line: a position in _items, or a section
        self._cursor = -1  # a position in _lines

    # What is shown

    def show(self, items: Sequence[T | Section]) -> None:
        """Show `items` from now on: the cursor stays on its row, or near where it was if that row is gone."""
        kept, near = self.cursor_id, self._cursor
        self._before = {}
        if any(isinstance(item, Section) for item in items):
            plain: list[T] = []
            for item in items:
                if isinstance(item, Section):
                    self._before[len(plain)] = item
                else:
                    plain.append(item)
            self._items = plain
        else:
            self._items = list(items)  # type: ignore[arg-type]  # no section among them
        self._find = None
        self._lay_out(kept, near)

    def take_columns(self, columns: Sequence[Column]) -> None:
        """Draw under other columns from now on; what to show comes next."""
        self._columns, self._header = tuple(columns), int(any(column.title for column in columns))

    def narrow(self, typed: str, *, to_top: bool = False) -> None:
        """Show only the rows that match what is typed; all of them for an empty text.

        The cursor stays on its row while that matches, unless it is to go `to_top`.
        """
        if typed != self._typed:
            kept, self._typed = self.cursor_id, typed
            self._lay_out(None if to_top else kept, 0 if typed or to_top else self._cursor)

    def prepare(self) -> None:
        """Get ready for the first letter: a long list is read through once."""
        if self._find is None:
            self._find = self._matcher(self._items)
            if isinstance(self._find, Finder):
                self._find.prepare()

    def say_empty(self, text: str) -> None:
        """Another text for the empty list, such as after a change of what it shows."""
        self._empty = text
        self.refresh()

    def all_drawn(self) -> list[Row]:
        """Every row, drawn, without sections and without narrowing; its id is the one that `go_to` takes."""
        return [replace(self._draw(item), id=self._id_of(item)) for item in self._items]

    @property
    def columns(self) -> tuple[Column, ...]:
        """What it is drawn under."""
        return self._columns

    @property
    def typed(self) -> str:
        """What the list is narrowed by."""
        return self._typed

    @property
    def count(self) -> int:
        """Rows that match, without sections."""
        return sum(1 for line in self._lines if not isinstance(line, Section)) if self._before else len(self._lines)

    @property
    def whole_count(self) -> int:
        """Rows without narrowing."""
        return len(self._items)

    def _lay_out(self, kept: Hashable | None, near: int) -> None:
        hits: Sequence[int] = range(len(self._items))
        if self._typed:
            self.prepare()
            assert self._find is not None
            hits = self._find(self._typed)
        self._lines = self._with_sections(hits) if self._before else hits
        height = len(self._lines) + self._header
        if self.virtual_size.height != height:
            self.virtual_size = Size(1, height)
        place = self._line_of(kept) if kept is not None else None
        self._cursor = self._settle(near if place is None else place)
        self._keep_in_sight()
        self.refresh()
        if self.cursor_id != kept:
            self._say_moved()

    def _with_sections(self, hits: Sequence[int]) -> list[int | Section]:
        """Every section goes before the first row of it that is left; one with no row left is not shown."""
        starts = sorted(self._before)
        lines: list[int | Section] = []
        n = -1
        for hit in hits:
            here = n
            while n + 1 < len(starts) and starts[n + 1] <= hit:
                n += 1
            if n != here:
                lines.append(self._before[starts[n]])
            lines.append(hit)
        return lines

    def _all_cells(self, item: T) -> str:
        return " ".join(cell if isinstance(cell, str) else cell.text for cell in self._draw(item).cells)

    # The cursor

    @property
    def cursor_id(self) -> Hashable | None:
        """Id of the row under the cursor, None in an empty list."""
        item = self.cursor_item
        return None if item is None else self._id_of(item)

    @property
    def cursor_item(self) -> T | None:
        """The item under the cursor, None in an empty list."""
        line = self._lines[self._cursor] if 0 <= self._cursor < len(self._lines) else None
        return self._items[line] if isinstance(line, int) else None

    def go_to(self, row_id: Hashable) -> bool:
        """Put the cursor on the row; False when it is not among those shown."""
        place = self._line_of(row_id)
        if place is not None:
            self._move(place)
        return place is not None

    def _line_of(self, row_id: Hashable) -> int | None:
        items, id_of = self._items, self._id_of
        return next((y for y, n in enumerate(self._lines) if isinstance(n, int) and id_of(items[n]) == row_id), None)

    def _settle(self, line: int, step: int = 1) -> int:
        """The nearest line with a row, looking on in the direction of `step` first; -1 when there is none."""
        last = len(self._lines) - 1
        line = min(max(line, 0), last)
        for way in (step, -step):
            y = line
            while 0 <= y <= last:
                if not isinstance(self._lines[y], Section):
                    return y
                y += way
        return -1

    def _move(self, line: int, step: int = 1) -> None:
        was, self._cursor = self._cursor, self._settle(line, step)
        if was == self._cursor:
            if self._cursor >= 0:
                self._keep_in_sight(with_section=True)
            return
        before = self.scroll_offset.y
        self._keep_in_sight(with_section=step < 0)
        if self.scroll_offset.y == before:
            for y in (was, self._cursor):
                self.refresh(Region(0, y - before + self._header, self.size.width, 1))
        self._say_moved()

    def _say_moved(self) -> None:
        # From the list itself, whoever led it: the toolkit stops a message at a parent that made it.
        self.post_message(self.Moved(self, self.cursor_id).set_sender(self))

    def _keep_in_sight(self, *, with_section: bool = False) -> None:
        """Scroll as little as shows the cursor, and the section above it when going up."""
        body = self._body_height
        if self._cursor < 0 or body <= 0:
            return
        top = self._cursor
        if with_section and top > 0 and isinstance(self._lines[top - 1], Section):
            top -= 1
        first = self.scroll_offset.y
        if top < first:
            self.scroll_to(y=top, animate=False)
        elif self._cursor >= first + body:
            self.scroll_to(y=self._cursor - body + 1, animate=False)

    @property
    def _body_height(self) -> int:
        return self.scrollable_content_region.height - self._header

    def action_row_up(self) -> None:
        self._move(self._cursor - 1, -1)

    def action_row_down(self) -> None:
        self._move(self._cursor + 1)

    def action_page_up(self) -> None:
        self._move(self._cursor - max(self._body_height - 1, 1), -1)

    def action_page_down(self) -> None:
        self._move(self._cursor + max(self._body_height - 1, 1))

    def action_first_row(self) -> None:
        self._move(0)
        self.scroll_to(y=0, animate=False)

    def action_last_row(self) -> None:
        self._move(len(self._lines) - 1, -1)

    def action_open(self) -> None:
        if (row_id := self.cursor_id) is not None:
            self.post_message(self.Opened(self, row_id))

    def on_click(self, event: events.Click) -> None:
        line = self.scroll_offset.y + event.y - self._header
        if event.y < self._header or line >= len(self._lines) or isinstance(self._lines[line], Section):
            return
        self._move(line)
        if event.chain > 1:
            self.action_open()

    def on_resize(self) -> None:
        self._keep_in_sight()

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.refresh()

    # Drawing

    def render_line(self, y: int) -> Strip:
        width = self.scrollable_content_region.width
        if y < self._header:
            return self._header_strip(width)
        line = self.scroll_offset.y + y - self._header
        if not self._lines:
            return self._empty_strip(y - self._header, width)
        if line >= len(self._lines):
            return self._strip([("", "")], width, "")
        item = self._lines[line]
        if isinstance(item, Section):
            return self._section_strip(item, width)
        return self._row_strip(self._draw(self._items[item]), width, under_cursor=line == self._cursor)

    def notify_style_update(self) -> None:
        self._styles.clear()
        super().notify_style_update()

    def _style(self, tone: str) -> Style:
        """The style of a tone, worked out once: it is asked for many times a line."""
        if tone not in self._styles:
            self._styles[tone] = self.get_component_rich_style(f"rows--{tone}") if tone else self.rich_style
        return self._styles[tone]

    def _strip(self, texts: Sequence[tuple[str, str]], width: int, mark: str, tone: str = "", sign: str = " ") -> Strip:
        """A line from the margin on; texts: (text, tone) in order, cleaned and measured already."""
        segments = [
            Segment(sign, self._style("accent")),
            Segment(cells.pad(mark, 1), self._style(tone)),
            Segment(self._signs.margin + " ", self._style("margin")),
            *(Segment(text, self._style(text_tone)) for text, text_tone in texts),
        ]
        return Strip(segments).adjust_cell_length(width, self.rich_style)

    def _header_strip(self, width: int) -> Strip:
        texts: list[str] = []
        for column, room in zip(self._columns, self._widths(width), strict=True):
            if room:
                texts.append(cells.pad(column.title, room, column.align, more=self._signs.more))
        line = cells.pad(" " * _GUTTER + (" " * _GAP).join(texts), width)
        return Strip([Segment(line, self._style("header"))])

    def _section_strip(self, section: Section, width: int) -> Strip:
        room = max(width - _GUTTER - 1, 0)
        title = cells.cut(cells.clean(section.title), room, more=self._signs.more)
        right = cells.clean(section.right)
        spare = room - cells.width(title) - cells.width(right) - 1
        tail = " " * (spare + 1) + right if right and spare > 0 else ""
        return self._strip([(title, "section"), (tail, "quiet")], width, "")

    def _row_strip(self, row: Row, width: int, *, under_cursor: bool) -> Strip:
        texts: list[tuple[str, str]] = []
        said = [(cell, "") if isinstance(cell, str) else (cell.text, cell.tone) for cell in row.cells]
        shown = [part for part in zip(self._columns, self._widths(width), said, strict=True) if part[1]]
        for n, (column, own, (text, tone)) in enumerate(shown):
            after = shown[n + 1 :]
            # A sentence with nothing after it, such as a warning, takes the room of the empty columns.
            is_last = column.align == "left" and bool(text) and not any(later for _, _, (later, _) in after)
            room = own + sum(later + _GAP for _, later, _ in after) if is_last else own
            texts.append((cells.pad(cells.clean(text), room, column.align, more=self._signs.more), tone))
            texts.append((" " * _GAP, ""))
            if is_last:
                break
        if not under_cursor:
            return self._strip(texts[:-1], width, row.mark, row.tone)
        strip = self._strip(texts[:-1], width, row.mark, row.tone, self._signs.cursor)
        if self.has_focus or self.is_lit:
            lit = self.rich_style + Style(reverse=True)
            return Strip([Segment(segment.text, lit) for segment in strip])
        return strip.apply_style(Style(bold=True))

    def _empty_strip(self, y: int, width: int) -> Strip:
        is_narrowed = bool(self._typed and self._items)
        text = f"Nothing here matches {cells.quoted(self._typed)}." if is_narrowed else self._empty
        lines = cells.wrap(text, max(width - _GUTTER - 1, 4))
        return self._strip([(lines[y - 1], "quiet")] if 0 < y <= len(lines) else [("", "")], width, "")

    def _widths(self, width: int) -> list[int]:
        return cells.layout(self._columns, max(width - _GUTTER - 1, 0), gap=_GAP)

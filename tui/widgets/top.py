"""The top line: whose studio, which page, what day it is, and how much is late or at risk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from tui import cells


@dataclass(frozen=True, slots=True)
class TopFacts:
    """What the line says.

    studio, page: names. today: the day in words. clock: such as "clock stands still"; empty for the real time.
    late, at_risk: counts of prep and classes; 0 is not shown.
    """

    studio: str = ""
    page: str = ""
    today: str = ""
    clock: str = ""
    late: int = 0
    at_risk: int = 0


class Top(Widget):
    """One ruled line; on a narrow window the least needed part goes first, never what is late."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"top--page", "top--quiet", "top--warn", "top--bad"}
    DEFAULT_CSS = """
    Top {
        height: 1; background: $paper; color: $ink; text-style: underline;
        & > .top--page { color: $accent; text-style: bold underline; }
        & > .top--quiet { color: $quiet; text-style: underline; }
        & > .top--warn { color: $warn; text-style: bold underline; }
        & > .top--bad { color: $bad; text-style: bold underline; }
    }
    """

    def __init__(self, facts: TopFacts | None = None) -> None:
        super().__init__()
        self._facts = facts or TopFacts()

    @property
    def facts(self) -> TopFacts:
        return self._facts

    def show(self, facts: TopFacts) -> None:
        """Say this from now on."""
        if facts != self._facts:
            self._facts = facts
            self.refresh()

    def _parts(self, width: int) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
        """Left and right parts that fit, as (text, style)."""
        facts = self._facts
        left = [(cells.clean(facts.page), "page"), (cells.clean(facts.studio), "quiet")]
        right = [
            (f"{facts.late} late" if facts.late else "", "bad"),
            (f"{facts.at_risk} at risk" if facts.at_risk else "", "warn"),
            (cells.clean(facts.today), ""),
            (f"[{cells.clean(facts.clock)}]" if facts.clock else "", "quiet"),
        ]
        left, right = ([part for part in parts if part[0]] for parts in (left, right))

        def needed() -> int:
            return sum(cells.width(text) + 2 for text, _ in (*left, *right)) + 1

        for droppable in (facts.studio and left, facts.clock and right, facts.today and right):
            if needed() > width and droppable and len(droppable) > 1:
                droppable.pop()
        return left, right

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        left, right = self._parts(width)
        spare = width - sum(cells.width(text) + 2 for text, _ in (*left, *right))
        gap = " " * max(spare, 0)
        segments = [Segment(" ", self.rich_style)]
        for n, (text, tone) in enumerate(left):
            segments.append(Segment(f"{text}  {gap if n == len(left) - 1 else ''}", self._style(tone)))
        if not left:
            segments.append(Segment(gap, self.rich_style))
        for n, (text, tone) in enumerate(right):
            segments.append(Segment(f"{text}{' ' if n == len(right) - 1 else '  '}", self._style(tone)))
        return Strip(segments).adjust_cell_length(width, self.rich_style)

    def _style(self, tone: str) -> Style:
        return self.get_component_rich_style(f"top--{tone}") if tone else self.rich_style

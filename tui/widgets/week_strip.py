"""The days ahead at a glance: one narrow column a day with its prep drawn against the limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from tui import cells


@dataclass(frozen=True, slots=True)
class DayFacts:
    """One day: its name ("Mon 1"), planned and limit minutes of prep, how many classes are held.

    closed: a word for a day without work ("blocked"), else empty.
    """

    name: str
    minutes: int
    limit: int
    classes: int = 0
    closed: str = ""


class WeekStrip(Widget):
    """Three lines: day and classes; strokes up to the limit, crosses past it; the minutes or the word."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"strip--day", "strip--quiet", "strip--over"}
    DEFAULT_CSS = """
    WeekStrip {
        height: 3; background: $paper; color: $ink;
        & > .strip--day { color: $accent; text-style: bold; }
        & > .strip--quiet { color: $quiet; }
        & > .strip--over { color: $bad; text-style: $bad-style; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._days: tuple[DayFacts, ...] = ()

    def show(self, days: Sequence[DayFacts]) -> None:
        """Draw these days, at most as many as fit at nine cells each."""
        self._days = tuple(days)
        self.refresh()

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        count = max(min(len(self._days), (width - 1) // 9), 1)
        room = (width - 1) // count
        plain = self.rich_style
        segments = [Segment(" ", plain)]
        for facts in self._days[:count]:
            text, tone = self._part(facts, y, room - 1)
            style = self.get_component_rich_style(f"strip--{tone}") if tone else plain
            segments += [Segment(cells.pad(text, room - 1), style), Segment(" ", plain)]
        return Strip(segments).adjust_cell_length(width, plain)

    @staticmethod
    def _part(facts: DayFacts, y: int, room: int) -> tuple[str, str]:
        drawn = cells.load_strokes(facts.minutes, facts.limit, room)
        if y == 0:
            held = "" if not facts.classes else " class" if facts.classes == 1 else f" {facts.classes} classes"
            name = f"{facts.name}{held}"
            return (name if cells.width(name) <= room else facts.name), "day"
        if y == 1:
            return drawn.drawing, "over" if drawn.is_over else ""
        if drawn.is_over:
            return _first_that_fits(
                room, f"! {drawn.word} {_short(facts.minutes)}/{_short(facts.limit)}",
                f"! over {_short(facts.minutes)}/{_short(facts.limit)}", f"! {_short(facts.minutes)} over", "! over",
            ), "over"  # fmt: skip
        if facts.closed or not facts.limit:
            return facts.closed or "no work", "quiet"
        amount = f"{_short(facts.minutes)}/{_short(facts.limit)}"
        return _first_that_fits(room, f"{amount} {drawn.word}", amount), "quiet" if not facts.minutes else ""


def _short(minutes: int) -> str:
    """Minutes in as few cells as can be: 45, 2h, 3h20."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest}m" if rest else "0"
    return f"{hours}h{rest:02d}" if rest else f"{hours}h"


def _first_that_fits(room: int, *texts: str) -> str:
    return next((text for text in texts if cells.width(text) <= room), texts[-1])

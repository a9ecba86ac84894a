"""The days ahead at a glance: minutes, word and mark when a day is past its limit."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from textual.app import App

from tests.support.screens import screen_lines
from tui import theme
from tui.widgets.week_strip import DayFacts, WeekStrip


class _Strip(App[None]):
    def __init__(self, days: Iterable[DayFacts]) -> None:
        super().__init__()
        theme.wear(self, "light")
        self.days = tuple(days)

    def compose(self) -> Iterable[WeekStrip]:
        yield WeekStrip()

    def on_mount(self) -> None:
        self.query_one(WeekStrip).show(self.days)


async def drawn(*days: DayFacts, width: int = 80) -> list[str]:
    app = _Strip(days)
    async with app.run_test(size=(width, 5)):
        return screen_lines(app)[:3]


def columns(lines: list[str], n: int, count: int, width: int = 80) -> list[str]:
    """The three texts of the day at place `n`."""
    room = (width - 1) // count
    return [line[1 + n * room : (n + 1) * room].strip() for line in lines]


@pytest.mark.parametrize("width", [80, 120])
async def test_a_day_past_its_limit_has_crosses_a_word_and_a_mark(width: int) -> None:
    lines = await drawn(*[DayFacts("Tue 2", 220, 180)] * 7, width=width)
    name, strokes, amount = columns(lines, 0, 7, width)
    assert name == "Tue 2"
    assert "╳" in strokes
    assert amount.startswith("! ")
    assert "over" in amount


async def test_a_day_within_its_limit_says_its_minutes() -> None:
    lines = await drawn(*[DayFacts("Today", 90, 180)] * 7)
    name, strokes, amount = columns(lines, 0, 7)
    assert (name, amount.split()[0]) == ("Today", "1h30/3h")
    assert "╳" not in strokes


async def test_a_blocked_day_says_so_and_a_class_is_named() -> None:
    lines = await drawn(DayFacts("Mon 8", 0, 0, closed="blocked"), DayFacts("Sun 7", 0, 60, classes=1), width=60)
    assert columns(lines, 0, 2, 60)[2] == "blocked"
    assert columns(lines, 1, 2, 60)[0] == "Sun 7 class"


async def test_on_a_narrow_window_fewer_days_are_drawn_each_whole() -> None:
    lines = await drawn(*[DayFacts(f"Day {n}", 30, 60) for n in range(7)], width=40)
    assert [word for word in lines[0].split() if word.isdigit()] == ["0", "1", "2", "3"]

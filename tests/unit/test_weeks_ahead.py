"""The letters on the ruled line of a class: one sign a day, and no step that is not told."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scheduling.queries.weeks_ahead import WeeksAhead, marks_of
from scheduling.words import show_day
from tests.support.kit_studio import demo_studio


def feb(day: int) -> dt.date:
    return dt.date(2028, 2, 26) + dt.timedelta(days=day - 26)  # 30 is 1 March of a leap year


@pytest.mark.parametrize(
    ("steps", "drawn"),
    [
        ([("C", [26]), ("B", [28])], {26: "C", 28: "B"}),
        ([("C", [26, 28]), ("B", [28])], {26: "C", 28: "B"}),
        ([("C", [27, 29, 30]), ("B", [30])], {29: "C", 30: "B"}),
        ([("C", [28]), ("B", [28])], {28: "2"}),
        ([("B", [28]), ("C", [28])], {28: "2"}),
        ([("C", [28]), ("B", [28]), ("P", [28])], {28: "3"}),
        ([("C", [27]), ("B", [27, 28]), ("P", [28])], {27: "C", 28: "2"}),  # B has no day that is free
        ([("C", [26, 27]), ("B", [27]), ("P", [29]), ("P", [30])], {26: "C", 27: "B", 30: "P"}),
        ([("C", [27]), ("C", [25])], {27: "C"}),
        ([], {}),
    ],
)
def test_of_two_steps_on_a_day_the_earlier_stands_on_a_day_of_its_own_or_both_are_counted(
    steps: list[tuple[str, list[int]]], drawn: dict[int, str]
) -> None:
    marks = marks_of([(letter, [feb(day) for day in days]) for letter, days in steps])
    assert marks == {feb(day): sign for day, sign in drawn.items()}


def test_every_step_is_on_the_line_and_the_words_have_its_true_day(tmp_path: Path) -> None:
    with demo_studio(tmp_path) as studio:
        classes = studio.ask(WeeksAhead(98)).classes
    assert any(one.steps for one in classes)
    for one in classes:
        told = sum(int(sign) if sign.isdigit() else 1 for _day, sign in one.marks)
        assert told == len(one.steps), one
        assert {day for day, _sign in one.marks} <= one.work
        for day, letter in one.steps:
            word = {"C": "cut", "B": "bag", "P": "post"}[letter]
            assert f"{word} {show_day(day)}" in one.about

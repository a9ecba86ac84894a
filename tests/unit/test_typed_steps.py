"""A run sheet as it is typed."""

from __future__ import annotations

import pytest

from scheduling.errors import InvalidError
from scheduling.model.day import Step, default_steps
from scheduling.typed_steps import read_step, read_steps, show_steps


def test_a_step_has_its_time_and_what_it_leaves_drying() -> None:
    assert read_step("Glue the spine=20m+1h") == ("Glue the spine", 20, 60)
    assert read_step("  Sew = 1 h 30 min ") == ("Sew", 90, 0)


def test_empty_lines_are_no_steps() -> None:
    assert read_steps("Sew=30m\n\n  \nPress=10m") == (("Sew", 30, 0), ("Press", 10, 0))


@pytest.mark.parametrize("line", ["Sew", "Sew=", "=20m", "Sew=soon"])
def test_a_step_without_words_or_time_is_refused(line: str) -> None:
    with pytest.raises(InvalidError) as refused:
        read_steps(line)
    assert refused.value.field == "steps"


@pytest.mark.parametrize(("minutes", "children"), [(60, True), (150, False), (345, False)])
def test_steps_are_read_back_as_they_are_shown(minutes: int, children: bool) -> None:
    steps = (*default_steps(minutes, children=children), Step("Glue", 20, 90))
    assert read_steps(show_steps(steps)) == tuple((one.what, one.minutes, one.drying_minutes) for one in steps)

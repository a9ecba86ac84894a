"""A recipe line is kept as text and read back the same."""

import pytest

from scheduling.errors import InvalidError
from scheduling.model.default_recipes import DEFAULT_RECIPES
from scheduling.model.prep import Line
from scheduling.model.recipe_text import line_of, line_text


@pytest.mark.parametrize("line", [line for recipe in DEFAULT_RECIPES for line in recipe.lines], ids=lambda one: one.key)
def test_every_default_line_is_read_back_the_same(line: Line) -> None:
    assert line_of(line_text(line)) == line
    assert line_text(line_of(line_text(line))) == line_text(line)


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", '{"key": 1}', line_text(DEFAULT_RECIPES[0].lines[0])[:-9]])
def test_a_damaged_line_is_refused_with_the_mend(text: str) -> None:
    with pytest.raises(InvalidError, match="damaged"):
        line_of(text)

"""Sizes by formula: exact sums of measures and lengths, rounded up to what a rule shows."""

from __future__ import annotations

import pytest

from scheduling.errors import InvalidError
from scheduling.lengths import Length, read_length
from scheduling.model.size_formula import is_formula, worked_out

MEASURES = {
    name: read_length(text)
    for name, text in {"height": "8", "width": "5 1/2", "turn_in": "5/8", "board": "0.080", "square": "1/8"}.items()
}


@pytest.mark.parametrize(
    ("formula", "wanted"),
    [
        ("height + 2*square", "8 1/4"),
        ("height + 2 * square + 2*turn_in", "9 1/2"),
        ("width/2 + 1/8", "2 7/8"),
        ("width - 1/8", "5 3/8"),
        ("2*board", "3/16"),
        ("height + 2*3 mm", "8 1/4"),
        ("height", "8"),
    ],
)
def test_a_formula_is_the_exact_sum_rounded_up_to_a_sixteenth(formula: str, wanted: str) -> None:
    assert worked_out(formula, MEASURES, "in") == read_length(wanted)


def test_in_millimetres_it_is_rounded_up_to_a_half() -> None:
    assert worked_out("board", {"board": read_length("2.03 mm")}, "mm") == Length(25 * 4000, "mm", 1)


@pytest.mark.parametrize(
    ("formula", "said"),
    [
        ("depth + 1", "There is no measure depth"),
        ("square - height", "leaves nothing"),
        ("height + ", "not understood"),
        ("height/0", "divides by nought"),
        ("", "not understood"),
    ],
)
def test_what_is_no_length_is_refused(formula: str, said: str) -> None:
    with pytest.raises(InvalidError, match=said):
        worked_out(formula, MEASURES, "in")


@pytest.mark.parametrize(
    ("text", "formula"),
    [("5 3/8", False), ("137mm", False), ("8 1/2 in", False), ("210 x 297 mm", False), ("height", True)],
)
def test_a_size_as_typed_is_no_formula(text: str, formula: bool) -> None:
    assert is_formula(text) is formula

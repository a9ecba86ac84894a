"""Options that every verb shares may stand before the verb or behind it."""

import pytest

from tui.lines.entry import verb_first


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        (["--file", "x", "week"], ["week", "--file", "x"]),
        (["--json", "--file=x", "week", "--days", "3"], ["week", "--json", "--file=x", "--days", "3"]),
        (["week", "--file", "x"], ["week", "--file", "x"]),
        (["--file", "week"], ["--file", "week"]),
        (["--look", "dark"], ["--look", "dark"]),
        ([], []),
    ],
)
def test_the_verb_is_read_first(typed: list[str], read: list[str]) -> None:
    assert verb_first(typed) == read

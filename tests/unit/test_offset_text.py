"""Offsets of recipe lines as typed and shown."""

from __future__ import annotations

from decimal import Decimal

import pytest

from scheduling.errors import InvalidError
from scheduling.model.default_recipes import FIRST_TIME
from scheduling.model.offset_text import aim_text, effort_text, line_about, offset_text, read_offset
from scheduling.model.prep import Effort, Per, Rate
from scheduling.model.prep_dates import Aim, Anchor, Counting


@pytest.mark.parametrize(
    ("typed", "days"),
    [
        ("7 before", -7),
        ("T-7", -7),
        ("t - 7", -7),
        ("-7 days", -7),
        ("2 days after", 2),
        ("+2", 2),
        ("0", 0),
        ("same day", 0),
        ("−3", -3),
    ],
)
def test_an_offset_is_read_in_the_ways_it_is_written(typed: str, days: int) -> None:
    assert read_offset(typed).value == days


@pytest.mark.parametrize("typed", ["7", "-7 before", "soon", "", "731 before", "7 before after"])
def test_an_offset_that_may_be_either_or_is_too_far_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError) as refused:
        read_offset(typed)
    assert refused.value.field == "days"
    assert refused.value.hint


def test_every_offset_reads_back() -> None:
    for days in range(-730, 731):
        assert read_offset(offset_text(days)).value == days


def test_an_aim_says_what_it_counts_from() -> None:
    assert aim_text(Aim(Anchor.CLASS_START, -7)) == "7 days before class start"
    assert aim_text(Aim(Anchor.GO_NO_GO)) == "same day as go/no-go"
    assert aim_text(Aim(Anchor.POST_BY, -1, counting=Counting.MAILING)) == "1 day before post-by, mailing days"


def test_minutes_say_what_they_are_counted_by() -> None:
    assert effort_text(Effort(Decimal(15), (Rate(Decimal("2.50"), Per.KIT),))) == "15 + 2.5 a kit"
    assert effort_text(Effort(Decimal(0), (Rate(Decimal(3), Per.HEAD),))) == "3 a head"
    assert effort_text(Effort(Decimal(0))) == "0"
    assert effort_text(Effort(Decimal(100))) == "100"


def test_every_default_line_says_for_whom_it_is() -> None:
    for line in FIRST_TIME.lines:
        assert line_about(line).startswith("For: ")

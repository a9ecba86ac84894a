"""Counts, off-cuts and begun lengths as typed and shown back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.errors import InvalidError
from scheduling.lengths import read_length, read_size
from scheduling.typed_stock import (
    begun_lengths_text,
    off_cuts_text,
    read_begun_lengths,
    read_new_count,
    read_off_cuts,
)


@pytest.mark.parametrize(
    ("typed", "new", "shown"),
    [
        ("14", 14, "14 on hand, as it was"),
        ("12", 12, "12 on hand, 2 fewer than the 14 before"),
        ("-2", 12, "12 on hand, 2 fewer than the 14 before"),
        ("+ 3", 17, "17 on hand, 3 more than the 14 before"),
        ("-14", 0, "0 on hand, 14 fewer than the 14 before"),
        ("\N{MINUS SIGN}1", 13, "13 on hand, 1 fewer than the 14 before"),
    ],
)
def test_a_count_is_absolute_or_by_what_went_and_came(typed: str, new: int, shown: str) -> None:
    assert read_new_count(typed, 14) == type(read_new_count("1", 1))(new, shown)


@pytest.mark.parametrize("typed", ["-15", "two", "", "1.5", "--2"])
def test_what_is_no_count_is_refused_with_the_field(typed: str) -> None:
    with pytest.raises(InvalidError) as caught:
        read_new_count(typed, 14)
    assert caught.value.field == "whole"


def test_off_cuts_keep_their_sizes_as_typed_and_show_the_grain_side() -> None:
    found = read_off_cuts("12 x 5 3/8 = 3; 137mm x 20 cm", "in")
    assert found.value == (("12 x 5 3/8", 3), ("137mm x 20 cm", 1))
    assert found.shown == "3 of 12 in along the grain x 5 3/8 in; 1 of 137 mm along the grain x 20 cm"


@pytest.mark.parametrize("typed", ["12", "12 x = 3", "12 x 9 = many", "12 x 9 = -1"])
def test_an_off_cut_that_is_not_understood_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError):
        read_off_cuts(typed, "in")


def test_what_is_shown_of_off_cuts_and_lengths_reads_back_as_it_was() -> None:
    twelve, nine = read_length("12").counts, read_length("5 3/8").counts
    text = off_cuts_text(((twelve, nine, "long", 3),), "in")
    assert text == "12 x 5 3/8 in = 3"
    assert read_off_cuts(text, "in").value == (("12 x 5 3/8 in", 3),)
    assert read_begun_lengths(begun_lengths_text((twelve, nine), "in"), "in").value == ("12 in", "5 3/8 in")
    assert read_begun_lengths("", "in").value == ()


COUNTED = st.integers(1, 200 * 1_016_000) | st.integers(1, 12_800).map(lambda n: n * 15_875)
COUNTED |= st.integers(1, 5_000).map(lambda n: n * 40_000)


@given(along=COUNTED, across=COUNTED, unit=st.sampled_from(["in", "mm"]))
def test_any_off_cut_as_shown_reads_back_to_the_count(along: int, across: int, unit: str) -> None:
    text = off_cuts_text(((along, across, "long", 2),), unit)
    ((size, count),) = read_off_cuts(text, unit).value
    read = read_size(size, unit)
    assert (read[0].counts, read[1].counts, count) == (along, across, 2)


@given(lengths=st.lists(COUNTED, max_size=4), unit=st.sampled_from(["in", "mm"]))
def test_any_begun_length_as_shown_reads_back_to_the_count(lengths: list[int], unit: str) -> None:
    text = begun_lengths_text(tuple(lengths), unit)
    assert [read_length(each, unit).counts for each in read_begun_lengths(text, unit).value] == lengths

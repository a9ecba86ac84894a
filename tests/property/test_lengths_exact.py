"""Lengths are exact: shown and read back, added, parted and rounded, whatever the units."""

from __future__ import annotations

import contextlib

from hypothesis import given
from hypothesis import strategies as st

from scheduling.errors import InvalidError
from scheduling.lengths import COUNTS, MOST_COUNTS, SIXTEENTH, Length, read_length, read_size

FORMS = st.builds(
    lambda unit, places: unit if places is None else f"{unit}.{places}",
    st.sampled_from(sorted(COUNTS)),
    st.none() | st.integers(0, 4),
)
LENGTHS = st.builds(Length.kept, st.integers(0, MOST_COUNTS // 4), FORMS)
BENCH = st.builds(lambda sixty_fourths: Length(sixty_fourths * COUNTS["in"] // 64), st.integers(0, 6400))
ENTRIES = st.lists(
    st.sampled_from([*"0123456789", " ", "/", "-", ".", ",", "in", "mm", '"', "⅜", "x", "yd", "²"]), max_size=9
)


@given(LENGTHS)
def test_a_shown_length_reads_back_as_long_as_it_was(length: Length) -> None:
    assert read_length(length.show()) == length
    assert read_length(length.in_mm()) == length
    assert Length.kept(length.counts, length.form).show() == length.show()


@given(BENCH)
def test_bench_fractions_read_back_and_are_never_decimal(length: Length) -> None:
    text = length.show()
    assert "." not in text
    assert text == length.in_inches()
    assert read_length(text).show() == text


@given(LENGTHS, LENGTHS, LENGTHS)
def test_sums_do_not_depend_on_order_or_units(one: Length, two: Length, three: Length) -> None:
    assert (one + two) + three == three + (two + one)
    assert (one + two) - two == one
    assert (one < two) == (two > one) == (two - one > Length(0))


@given(LENGTHS, LENGTHS.filter(bool))
def test_pieces_and_rest_make_the_whole(length: Length, piece: Length) -> None:
    assert piece * (length // piece) + length % piece == length
    assert Length(0) <= length % piece < piece


@given(LENGTHS)
def test_rounding_up_is_the_least_whole_step_not_shorter(length: Length) -> None:
    rounded = length.rounded_up()
    assert length <= rounded < length + SIXTEENTH
    assert not rounded % SIXTEENTH


@given(st.text(max_size=20) | ENTRIES.map("".join), st.sampled_from(["in", "mm"]))
def test_no_text_raises_anything_but_a_refusal(text: str, unit: str) -> None:
    for reader in (read_length, read_size):
        with contextlib.suppress(InvalidError):
            reader(text, unit)

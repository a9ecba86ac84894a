"""Exact lengths: what is read, what is refused, how they are shown and reckoned."""

from __future__ import annotations

from fractions import Fraction

import pytest

from scheduling.errors import InvalidError
from scheduling.lengths import COUNTS, SIXTEENTH, Length, read_length, read_size

INCH, MM = COUNTS["in"], COUNTS["mm"]


def test_the_count_holds_the_bench_s_units_whole() -> None:
    assert read_length("1/64").counts == 15_875
    assert read_length("0.001 in").counts == 1_016
    assert read_length("1 mm").counts == 40_000
    assert read_length("25.4 mm") == read_length("2.54 cm") == read_length("1 in") == read_length("1/12 ft")


@pytest.mark.parametrize(
    "text",
    [
        "5 3/8",
        "5-3/8",
        "5 3/8 in",
        '5 3/8"',
        "5⅜",
        "5⅜″",
        "5 3\u20448 inches",
        "43/8",
        "5 - 3/8 in.",
        "5 6/16",
        "５ ３/８",
    ],
)
def test_a_fraction_is_read_from_every_usual_form(text: str) -> None:
    length = read_length(text)
    assert length.counts == INCH * 43 // 8
    assert length.show() == "5 3/8 in"


@pytest.mark.parametrize(
    ("text", "shown", "counts"),
    [
        ("5.375", "5.375 in", INCH * 43 // 8),
        (".080", "0.080 in", INCH * 8 // 100),
        ("0,080 in", "0.080 in", INCH * 8 // 100),
        ("137mm", "137 mm", 137 * MM),
        ("13.7 cm", "13.7 cm", 137 * MM),
        ("13,70 CM", "13.70 cm", 137 * MM),
        ("137 1/2 mm", "137.5 mm", 275 * MM // 2),
        ("11", "11 in", 11 * INCH),
        ("0", "0 in", 0),
        ("3/4", "3/4 in", 762_000),
        ("2 1/2 yd", "2 1/2 yd", 90 * INCH),
        ("6 ft", "6 ft", 72 * INCH),
        ("1/3 yd", "12 in", 12 * INCH),
        ("1.2 m", "1.2 m", 1200 * MM),
        ("0.396875 mm", "0.396875 mm", 15_875),
    ],
)
def test_a_length_is_kept_and_shown_as_typed(text: str, shown: str, counts: int) -> None:
    length = read_length(text)
    assert length.counts == counts
    assert length.show() == str(length) == shown
    kept = Length.kept(length.counts, length.form)
    assert kept.show() == shown


def test_the_studio_s_unit_is_taken_where_none_is_typed() -> None:
    assert read_length("137", "mm").show() == "137 mm"
    assert read_length("137", "mm").show(unit=False) == "137"
    assert read_length('5 3/8"', "mm").show() == "5 3/8 in"


@pytest.mark.parametrize(
    ("text", "below", "above"),
    [
        ("1/3", "21/64 in", "11/32 in"),
        ("5 1/128", "5 in", "5 1/64 in"),
        ("0.33333", "0.333 in", "0.334 in"),
        ("1.00001 mm", "1.000 mm", "1.001 mm"),
        ("1/3 mm", "0.333 mm", "0.334 mm"),
    ],
)
def test_what_does_not_fit_is_refused_with_the_nearest_two(text: str, below: str, above: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_length(text, field="along")
    assert refusal.value.hint == f"Use {below} or {above}."
    assert refusal.value.field == "along"
    assert read_length(below) < read_length(above)


@pytest.mark.parametrize(
    "text",
    [
        *("", " ", "in", "abc", "5 3", "5/0", "5 9/8", "5 3/8 furlong", "-5", "5..2", "1,2,3", "1e3", "5²", "nan"),
        *("1001 m", "999999999 yd", "9" * 5000, "5 3/8 3/8", ".", ",", "5 x 8"),
    ],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_length(text)
    assert refusal.value.hint
    assert refusal.value.field == "length"


def test_a_comma_that_may_part_thousands_is_refused_with_both_readings() -> None:
    with pytest.raises(InvalidError, match=r"1200 or 1\.200"):
        read_length("1,200 mm")
    assert read_length("1.200 in").show() == "1.200 in"


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("8 1/2 x 11", ("8 1/2 in", "11 in")),
        ("210 × 297 mm", ("210 mm", "297 mm")),
        ("22 in by 30 in", ("22 in", "30 in")),
        ("25x38", ("25 in", "38 in")),
        ("42 in x 5 yd", ("42 in", "5 yd")),
    ],
)
def test_a_size_is_two_lengths_in_the_order_typed(text: str, sides: tuple[str, str]) -> None:
    one, other = read_size(text)
    assert (one.show(), other.show()) == sides


@pytest.mark.parametrize("text", ["", "8 1/2", "8 x", "x", "1 x 2 x 3", "a x b"])
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_size(text)
    assert refusal.value.field == "size"


def test_lengths_compare_and_hash_by_how_long_they_are() -> None:
    inch, cm = read_length("1 in"), read_length("2.54 cm")
    assert inch == cm
    assert len({inch, cm, read_length("25.4 mm")}) == 1
    assert read_length("5 3/8") < read_length("137 mm") < read_length("5 13/32")
    assert inch != 1_016_000
    with pytest.raises(TypeError):
        _ = inch < 5  # type: ignore[operator]  # the refusal is what is tested


def test_sums_are_exact_and_keep_the_first_form() -> None:
    assert (read_length("5 3/8") + read_length("1/4 in")).show() == "5 5/8 in"
    assert (read_length("137 mm") + read_length("1/64 in")).show() == "137.396875 mm"
    assert (read_length("1 in") - read_length("1 mm")).show() == "24.4 mm"
    assert (read_length("1 yd") - read_length("1 in")).show() == "35 in"
    assert (read_length("1/4") - read_length("3/8")).show() == "-1/8 in"
    assert (3 * read_length("5 3/8")).show() == (read_length("5 3/8") * 3).show() == "16 1/8 in"
    assert not read_length("1 in") - read_length("25.4 mm")


def test_whole_pieces_and_what_is_left() -> None:
    # demo.md, M09 for P2: 20 x 30 boards give 3 x 3 pieces of 8 1/4 x 5 3/8, and 5 1/4 in is left along.
    assert read_length("30") // read_length("8 1/4") == 3
    assert read_length("20") // read_length("5 3/8") == 3
    assert (read_length("30") % read_length("8 1/4")).show() == "5 1/4 in"
    assert read_length("21 1/2 in") // read_length("546.1 mm") == 1


def test_a_piece_of_nothing_is_refused() -> None:
    for length in (Length(0), Length(-5)):
        with pytest.raises(InvalidError):
            _ = Length(5) // length
        with pytest.raises(InvalidError):
            Length(5).rounded_up(length)


@pytest.mark.parametrize("wrong", [1.5, 2.0, True, "2"])
def test_nothing_but_whole_numbers_multiplies_or_makes_a_length(wrong: object) -> None:
    with pytest.raises(TypeError):
        _ = Length(5) * wrong  # type: ignore[operator]  # the refusal is what is tested
    with pytest.raises(InvalidError):
        Length(wrong)  # type: ignore[arg-type]  # the refusal is what is tested


def test_rounding_goes_up_to_the_bench_unit() -> None:
    assert read_length("5 25/64").rounded_up().show() == "5 7/16 in"
    assert read_length("5 3/8").rounded_up().show() == "5 3/8 in"
    assert read_length("137 mm").rounded_up().in_inches() == "5 7/16 in"
    assert read_length("136.2 mm").rounded_up(read_length("0.5 mm")).show() == "136.5 mm"
    assert SIXTEENTH.show() == "1/16 in"


def test_bench_fractions_never_come_as_decimals() -> None:
    assert read_length("5.625").in_inches() == "5 5/8 in"
    assert read_length("142.875 mm").in_inches() == "5 5/8 in"
    assert read_length("137 mm").in_inches() == "about 5 25/64 in"
    assert read_length("137 mm").in_inches(16) == "about 5 3/8 in"
    with pytest.raises(InvalidError):
        Length(5).in_inches(10)


def test_millimetres_are_exact_unless_places_are_asked_for() -> None:
    assert read_length("5 3/8").in_mm() == "136.525 mm"
    assert read_length("5 3/8").in_mm(1) == "about 136.5 mm"
    assert read_length("137 mm").in_mm(1) == "137.0 mm"
    assert read_length("100 mm").in_mm() == "100 mm"


def test_a_form_that_is_not_known_is_refused() -> None:
    for form in ("", "furlong", "in.", "mm.10", "in.x"):
        with pytest.raises(InvalidError):
            Length.kept(5, form)


def test_the_value_of_a_length_is_a_fraction_of_its_unit() -> None:
    assert Fraction(read_length("8 1/4").counts, INCH) == Fraction(33, 4)

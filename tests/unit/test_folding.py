"""Names are found with or without accents, in any script."""

from __future__ import annotations

import pytest

from scheduling.folding import fold_text, typed_text


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("Zoë Müller", "zoe muller"),
        ("Søren Ærø", "soren aero"),
        ("Łukasz Đorđević", "lukasz dordevic"),
        ("Strauß", "strauss"),
        ("İpek Işık", "ipek isik"),
        ("Þórunn", "thorunn"),
        ("O’Brien", "o'brien"),
        ("O'Brien", "OBRIEN"),
        ("Anne\u2011Marie", "anne-marie"),
        ("Anne-Marie", "anne marie"),
        ("  Nguyễn\u00a0 Thị  ", "nguyen thi"),
        ("Ｊｏ", "jo"),
        ("Σοφία Παππάς", "σοφια παππασ"),
        ("Ёлкина", "елкина"),
        ("Zo\u0065\u0308", "zoë"),
        ("Mar\u00adtha", "martha"),
    ],
)
def test_a_name_is_found_as_it_would_be_typed(name: str, typed: str) -> None:
    assert fold_text(name) == fold_text(typed)


def test_different_names_stay_different() -> None:
    names = ["Jo", "Joe", "김하나", "김하니", "山田", "田山", "محمد", "محمود", "ธนา"]
    assert len({fold_text(name) for name in names}) == len(names)


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("１３／３", "13/3"),
        ("١٣", "13"),
        ("10\u201312:30", "10-12:30"),
        ("\u22123", "-3"),
        ("5⅜", "5 3/8"),
        ("5 3\u20448", "5 3/8"),
        (" Sat\u00a013  MAR ", "sat 13 mar"),
    ],
)
def test_typed_signs_of_any_keyboard_become_plain(typed: str, plain: str) -> None:
    assert typed_text(typed) == plain


def test_a_raised_digit_is_not_taken_for_a_digit() -> None:
    assert typed_text("5²") == "5²"

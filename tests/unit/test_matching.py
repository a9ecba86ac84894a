"""What is found while typing: without case or accents, in any script, narrowed key by key."""

from __future__ import annotations

import pytest

from tui.widgets.matching import Finder, fold

NAMES = ["Joanna Smith", "Ann [/] Smith [bold", "Amélie Noé", "木版画", "Søren Łukasz", "Ana María Peña"]


def find(typed: str, *, best_first: bool = False) -> list[str]:
    return [NAMES[n] for n in Finder(NAMES, str, best_first=best_first)(typed)]


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("ame", ["Amélie Noé"]),
        ("AME\u0301LIE", ["Amélie Noé"]),
        ("版", ["木版画"]),
        ("lukasz soren", ["Søren Łukasz"]),
        ("[/]", ["Ann [/] Smith [bold"]),
        ("pena maria", ["Ana María Peña"]),
        ("nobody", []),
        ("   ", NAMES),
        ("", NAMES),
    ],
)
def test_every_typed_word_is_found_anywhere_in_any_order(typed: str, found: list[str]) -> None:
    assert find(typed) == found


def test_names_that_begin_with_what_is_typed_come_first_when_asked() -> None:
    assert find("ann") == ["Joanna Smith", "Ann [/] Smith [bold"]
    assert find("ann", best_first=True) == ["Ann [/] Smith [bold", "Joanna Smith"]


def test_narrowing_letter_by_letter_finds_the_same_as_typing_at_once() -> None:
    finder = Finder(NAMES, str)
    for typed in ("s", "sm", "smi", "smit", "smi", "s", "", "sm"):
        assert list(finder(typed)) == list(Finder(NAMES, str)(typed))


def test_a_longer_entry_whose_words_differ_is_not_searched_in_the_shorter_ones_finds() -> None:
    finder = Finder(["ab cd", "cd"], str)
    assert list(finder("c")) == [0, 1]
    assert list(finder("cd a")) == [0]
    assert list(finder("cd")) == [0, 1]


def test_folding_takes_case_and_accents_away_but_leaves_other_scripts() -> None:
    assert fold("ÅSE Straße") == "ase strasse"
    assert fold("İstanbul ı") == "istanbul i"
    assert fold("木版画") == "木版画"

"""Folding takes any text and is stable."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from scheduling.folding import fold_text, typed_text

ANY_TEXT = st.text(st.characters(codec="utf-16-be", exclude_categories=()), max_size=30)


@given(ANY_TEXT)
def test_folding_twice_changes_nothing(text: str) -> None:
    assert fold_text(fold_text(text)) == fold_text(text)
    assert typed_text(typed_text(text)) == typed_text(text)


@given(ANY_TEXT)
def test_composed_and_decomposed_spellings_fold_alike(text: str) -> None:
    assert fold_text(unicodedata.normalize("NFC", text)) == fold_text(unicodedata.normalize("NFD", text))


@given(ANY_TEXT)
def test_no_accent_and_no_double_space_is_left(text: str) -> None:
    folded = fold_text(text)
    assert not any(unicodedata.combining(letter) for letter in folded)
    assert folded == " ".join(folded.split())

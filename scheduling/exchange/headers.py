"""What a header says: its meaning, by the words of many lands."""

from __future__ import annotations

import re
from functools import lru_cache

from scheduling.exchange.header_words import HEADER_WORDS, WHOLE_HEADERS
from scheduling.exchange.meanings import Meaning
from scheduling.exchange.text import fold, words_of

_EXACT: dict[str, Meaning] = {fold(word): meaning for meaning, words in WHOLE_HEADERS for word in words_of(words)}


def _pattern(words: str) -> re.Pattern[str]:
    parts = []
    for phrase in words_of(words):
        end = "" if phrase.endswith("*") else r"\b"
        start = "" if phrase.startswith("*") else r"\b"
        if phrase.endswith("$"):
            end = "$"
        core = r"\S*".join(re.escape(part) for part in _fold_pieces(phrase.strip("*$")))
        parts.append(f"{start}{core}{end}")
    return re.compile("|".join(parts))


def _fold_pieces(phrase: str) -> list[str]:
    """The folded text between inner stars; outer blanks are kept where a star stood for a word ("class *")."""
    pieces = []
    for piece in phrase.split("*"):
        folded = fold(piece)
        lead = " " if piece[:1] == " " else ""
        tail = " " if piece[-1:] == " " and folded else ""
        pieces.append(f"{lead}{folded}{tail}")
    return pieces


_PATTERNS = tuple((meaning, _pattern(words)) for meaning, words in HEADER_WORDS)


@lru_cache(maxsize=4096)
def meaning_of(header: str) -> Meaning | None:
    """What a column headed so is likely to hold; None when the words are not known."""
    folded = fold(header[:120])
    if not folded:
        return None
    exact = _EXACT.get(folded)
    if exact is not None:
        return exact
    for meaning, pattern in _PATTERNS:
        if pattern.search(folded):
            return meaning
    return None


def has_words_for(header: str, meaning: Meaning) -> bool:
    """Whether a header speaks of `meaning` too, whatever else stands before it in the list."""
    folded = fold(header[:120])
    return any(kind is meaning and pattern.search(folded) for kind, pattern in _PATTERNS)

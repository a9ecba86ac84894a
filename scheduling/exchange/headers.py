"""What a header says: its meaning, by the words of many lands."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from scheduling.exchange.header_words import HEADER_WORDS
from scheduling.exchange.meanings import Meaning
from scheduling.exchange.text import fold, words_of
from scheduling.exchange.whole_headers import WHOLE_HEADERS

_LONGEST = 120
"""Characters of a header that are looked at."""
_EXACT: dict[str, Meaning] = {fold(word): meaning for meaning, words in WHOLE_HEADERS for word in words_of(words)}


@dataclass(slots=True)
class _Words:
    """The vocabulary by how its words fit; each value is the line of HEADER_WORDS that has the word first.

    whole: between word ends; starts, ends: at the start or end of a word; inside: anywhere (compounds, Chinese);
    patterns: the few that need more.
    """

    whole: dict[str, list[int]] = field(default_factory=dict)
    starts: dict[str, list[int]] = field(default_factory=dict)
    ends: dict[str, list[int]] = field(default_factory=dict)
    inside: dict[str, list[int]] = field(default_factory=dict)
    patterns: list[tuple[re.Pattern[str], int]] = field(default_factory=list)

    def add(self, phrase: str, line: int) -> None:
        core = phrase.strip("*$")
        if "*" in core or phrase.endswith("$"):
            self.patterns.append((_pattern(phrase), line))
            return
        left, right = phrase.startswith("*"), phrase.endswith("*")
        kind = self.inside if left and right else self.ends if left else self.starts if right else self.whole
        kind.setdefault(_folded(core), []).append(line)

    def lines(self, text: str) -> set[int]:
        """Every line of the vocabulary that has a word in `text` (folded)."""
        found: set[int] = set()
        bounds = [0, *(at + 1 for at, char in enumerate(text) if char == " ")]
        stops = [*(at for at, char in enumerate(text) if char == " "), len(text)]
        for start in bounds:
            for stop in stops:
                if stop > start:
                    found.update(self.whole.get(text[start:stop], ()))
            for stop in range(start + 1, len(text) + 1):
                found.update(self.starts.get(text[start:stop], ()))
        for stop in stops:
            for start in range(stop):
                found.update(self.ends.get(text[start:stop], ()))
        found.update(line for word, lines in self.inside.items() if word in text for line in lines)
        found.update(line for pattern, line in self.patterns if pattern.search(text))
        return found


def _pattern(phrase: str) -> re.Pattern[str]:
    """An inner star stands for the rest of a word; "$" for the header's end."""
    end = "$" if phrase.endswith("$") else "" if phrase.endswith("*") else r"\b"
    start = "" if phrase.startswith("*") else r"\b"
    core = r"\S*".join(re.escape(_folded(piece)) for piece in phrase.strip("*$").split("*"))
    return re.compile(f"{start}{core}{end}")


def _folded(piece: str) -> str:
    """A folded piece; outer blanks stay where a star stood for a word ("class *")."""
    folded = fold(piece)
    return f"{' ' if piece[:1] == ' ' else ''}{folded}{' ' if piece[-1:] == ' ' and folded else ''}"


_WORDS = _Words()
for _line, (_, _phrases) in enumerate(HEADER_WORDS):
    for _phrase in words_of(_phrases):
        _WORDS.add(_phrase, _line)


@lru_cache(maxsize=4096)
def _lines(folded: str) -> frozenset[int]:
    return frozenset(_WORDS.lines(folded))


def meaning_of(header: str) -> Meaning | None:
    """What a column headed so is likely to hold; None when the words are not known."""
    folded = fold(header[:_LONGEST])
    if not folded:
        return None
    exact = _EXACT.get(folded)
    if exact is not None:
        return exact
    lines = _lines(folded)
    return HEADER_WORDS[min(lines)][0] if lines else None


def has_words_for(header: str, meaning: Meaning) -> bool:
    """Whether a header speaks of `meaning` too, whatever else stands before it in the list."""
    return any(HEADER_WORDS[line][0] is meaning for line in _lines(fold(header[:_LONGEST])))

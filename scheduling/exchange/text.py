"""Text from outside made harmless, and folded for comparing."""

from __future__ import annotations

import re
import unicodedata

# C0 and C1 but tab and line ends; zero-width space, BOM; bidi marks, embeddings, overrides and isolates.
# Joiners (U+200C, U+200D) stay: several scripts and emoji need them.
_UNSEEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u200b\u200e\u200f\u2060\ufeff\u202a-\u202e\u2066-\u2069]"
)
_LINE_ENDS = re.compile("\r\n|[\r\x85\u2028\u2029]")
_NOTHING_WORDS = """
    - -- — – . / n/a na none no nil keine kein nein nichts ohne aucun aucune non ninguno ninguna nada nessuno nessuna
    nenhum nenhuma geen nee ingen inga nej nei brak nie žádné ne нет なし 无 無 없음 null
"""
_NOTHING = frozenset(_NOTHING_WORDS.split())
LIKE_A_FORMULA = re.compile("'*(?:[\\s\u00ad\u200b-\u200f\u2060\ufeff]*[=+\\-@＝＋－＠]|[\\t\\r\\n])")
"""Text that a spreadsheet may evaluate, or that looks as if it had been guarded against that."""


def clean(text: str) -> str:
    """`text` in NFC without control and direction characters, line ends as "\\n", no space at its ends."""
    if text.isascii() and text.isprintable():
        return text.strip()
    text = unicodedata.normalize("NFC", _LINE_ENDS.sub("\n", text))
    return _UNSEEN.sub("", text).strip()


def one_line(text: str) -> str:
    """`clean` text with every run of white space made one space."""
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    return " ".join(clean(text).split())


def fold(text: str) -> str:
    """For comparing words of headers and states: no accents, no case, punctuation as spaces."""
    wide = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(c if c.isalnum() else " " for c in wide if not unicodedata.combining(c))
    return " ".join(kept.split())


def words_of(text: str) -> list[str]:
    """The phrases of a vocabulary text: "|" between them, any line ends."""
    return [" ".join(phrase.split()) for phrase in text.split("|")]


def says_nothing(text: str) -> bool:
    """True for empty cells and for words such as "none", "n/a" or "-"."""
    return not text or text.casefold() in _NOTHING


def without_guard(cell: str) -> str:
    """A cell as it was meant: our export's apostrophe removed, or else a ="030" wrapper undone.

    Source: the reverse of `write.guarded` (interop.md 4).
    """
    if cell[:1] == "'" and LIKE_A_FORMULA.match(cell):
        return cell[1:]
    if cell[:2] == '="' and cell[-1:] == '"' and len(cell) > 2:
        inner = cell[2:-1].replace('""', '"')
        if '"' not in inner:
            return inner
    return cell

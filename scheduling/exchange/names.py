"""Names as typed, as shown and as compared; nothing invents a surname, changes a capital or splits people."""

from __future__ import annotations

import re

from scheduling.exchange.text import one_line

_SUFFIX = re.compile(
    r"(?:jr|sr|jun|sen|junior|senior|ii|iii|iv|phd|ph\. ?d|md|m\. ?d|mba|esq|obe|mbe|dds|rn|cpa)\.?", re.IGNORECASE
)
_TWO_PEOPLE = re.compile(r"\s(?:\+|&|and|und|et|y|en|og|och|ja|и)\s|\s/\s|[+&]", re.IGNORECASE)
_APOSTROPHES = str.maketrans(dict.fromkeys("’‘ʼ`´′＇", "'"))
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—－", "-"))


def shown_name(typed: str) -> str:
    """A name in speaking order: "O'Neill, Siobhán" is Siobhán O'Neill, "Smith, John, Jr." is John Smith Jr.

    Left as typed: one word, no comma, and commas that may stand between people ("Ann Lee, Bob Lee").
    """
    name = one_line(typed)
    if "," not in name:
        return name
    parts = [part.strip() for part in name.split(",")]
    if not all(parts):
        return " ".join(part for part in parts if part) if sum(map(bool, parts)) == 1 else name
    suffixes: list[str] = []
    while len(parts) > 1 and _SUFFIX.fullmatch(parts[-1]):
        suffixes.insert(0, parts.pop())
    if len(parts) == 1:
        return " ".join([parts[0], *suffixes])
    if len(parts) > 2 or may_be_several(name):
        return name
    last, first = parts
    return " ".join([first, last, *suffixes])


def may_be_several(name: str) -> bool:
    """True for a name that may stand for two people: "Kai + Lis Olm", "Ann Lee, Bob Lee"."""
    text = one_line(name)
    if _TWO_PEOPLE.search(text):
        return True
    if "," not in text:
        return False
    parts = [part.split() for part in text.split(",")]
    return len(parts) == 2 and all(len(part) > 1 for part in parts) and parts[0][-1] == parts[1][-1]


def joined_name(first: str, last: str) -> str:
    """First and last name columns as one name; either may be empty."""
    return " ".join(part for part in (one_line(first), one_line(last)) if part)


def folded_name(name: str) -> str:
    """For comparing names of one person: NFC, no case, one kind of space, apostrophe and dash; accents stay."""
    if name.isascii():
        return " ".join(name.replace("`", "'").split()).casefold()
    return one_line(name).translate(_APOSTROPHES).translate(_DASHES).casefold()


def guest_names(cell: str) -> tuple[str, ...]:
    """Names in a guests cell, split at commas, semicolons, line ends and "and"; figures are no names."""
    text = cell.replace("\r", "\n")
    parts = re.split(r"[,;\n]|\s[+&/]\s|\s(?:and|und|et|y|og|och|en)\s", text)
    names = (one_line(part) for part in parts)
    return tuple(name for name in names if name and not re.fullmatch(r"[+\d\s.]+|[-–]", name))

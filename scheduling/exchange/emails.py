"""E-mail addresses out of cells and cards: wrappers taken off, kept as typed, flagged when they cannot be right."""

from __future__ import annotations

import re
from dataclasses import dataclass

from scheduling.exchange.text import clean, says_nothing

_PLAIN = re.compile(r"[A-Za-z0-9._%+\-]+@[A-Za-z0-9\-]+(?:\.[A-Za-z0-9\-]+)+")
_ADDRESS = re.compile(r"[^\s<>()\[\],;:\"'@]+@[^\s<>()\[\],;:\"@]+")
_LONGEST = 1000
"""Characters of a cell that are searched."""
_NAMED = re.compile(r"[\"']?([^\"<@]+?)[\"']?\s*<[^<>\s]+@")
_WHOLE = re.compile(r"[^\s@]+@[^\s@.]+(?:\.[^\s@.]+)+")


@dataclass(frozen=True, slots=True)
class Addresses:
    """What a cell holds: addresses as typed, and what is odd about them (empty when nothing is)."""

    found: tuple[str, ...]
    odd: str = ""


_NONE = Addresses(())


def name_beside(cell: str) -> str:
    """The name in front of a bracketed address ("Cat Tuo <cat@people.example>"), or empty."""
    found = _NAMED.match(clean(cell[:_LONGEST]))
    return found.group(1).strip() if found else ""


def read_emails(cell: str) -> Addresses:
    """All addresses of a cell: "mailto:", display names, brackets and closing punctuation are taken off.

    Case and "+tag" stay (RFC 5321 2.4, RFC 5233). Text without any address is odd, unless it says "none".
    """
    text = cell.strip()
    if _PLAIN.fullmatch(text):
        return Addresses((text,))
    text = clean(text[:_LONGEST])
    if says_nothing(text):
        return _NONE
    if text.casefold().startswith("mailto:"):
        text = text[7:]
    found: list[str] = []
    if "@" not in text:
        return Addresses((), f"“{text[:40]}” is not an e-mail address")
    for match in _ADDRESS.finditer(text.replace("mailto:", " ")):
        address = match.group().split("?")[0].strip(".'’‘`*|\\/").rstrip("!")
        if address.casefold() not in (known.casefold() for known in found):
            found.append(address)
    if not found:
        return Addresses((), f"“{text[:40]}” is not an e-mail address")
    bad = [address for address in found if not _WHOLE.fullmatch(address)]
    return Addresses(tuple(found), f"the e-mail address “{bad[0]}” does not look complete" if bad else "")

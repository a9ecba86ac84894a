"""Contact files cut into cards and properties: vCard 2.1, 3.0 and 4.0, as badly written as they come.

Sources: vCard 2.1 (versit, 1996), RFC 2426 (3.0), RFC 6350 (4.0), RFC 6868 (parameter values), RFC 2045 6.7.
"""

from __future__ import annotations

import codecs
import quopri
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from scheduling.exchange.decode import Text, decode, is_utf_8
from scheduling.exchange.legacy import old_encoding
from scheduling.exchange.sheets import MOST_CELL

_MOST_ODD = 500
"""Values by which an old encoding is told."""
MOST_CARDS = 200_000
_LONGEST_HEAD = 10_000
"""Bytes in which a property's name and parameters end."""
_DROPPED = frozenset(("PHOTO", "LOGO", "SOUND", "KEY", "AGENT", "X-ABCROP-RECTANGLE"))
_NAME = re.compile(rb"(?:[\w-]+\.)?([A-Za-z][\w-]*)\s*(?=[;:])")
_LINE_END = re.compile(rb"\r\n|\n|\r")
_SOFT_BREAK = re.compile(rb"ENCODING=QUOTED-PRINTABLE|;QUOTED-PRINTABLE", re.IGNORECASE)
_ESCAPE = re.compile(r"\\(.)", re.DOTALL)
_RFC6868 = {"^n": "\n", "^^": "^", "^'": '"'}


@dataclass(frozen=True, slots=True)
class Property:
    """One property: its name in capitals, parameters (names in capitals), the value still escaped.

    is_plain: the value was quoted-printable or of version 2.1, where only semicolons are escaped.
    """

    name: str
    params: dict[str, list[str]]
    raw: str
    is_plain: bool = False

    def has_type(self, *types: str) -> bool:
        """Whether TYPE (or a bare parameter, as in 2.1) holds one of `types`, in small letters."""
        return any(kind.casefold() in types for kind in self.params.get("TYPE", ()))

    @property
    def rank(self) -> int:
        """Order among its like: PREF 1 to 100 (4.0), TYPE=pref (2.1, 3.0), then the rest."""
        number = next((text for text in self.params.get("PREF", ()) if text.isdecimal()), "")
        if number:
            return int(number[:4])
        return 1 if self.has_type("pref") else 101

    @property
    def text(self) -> str:
        """The value as one text, un-escaped in one pass from left to right."""
        return _unescaped(self.raw, plain=self.is_plain)

    def parts(self) -> list[str]:
        """The components of a structured value (N, ADR, ORG), each un-escaped."""
        return [_unescaped(part, plain=self.is_plain) for part in _split_at_semicolons(self.raw)]


@dataclass(slots=True)
class Card:
    """One card as it stands: number in the file from 1, properties in order, lines that could not be read."""

    number: int
    properties: list[Property] = field(default_factory=list)
    bad_lines: int = 0
    is_closed: bool = False
    version: str = ""

    def all(self, name: str) -> list[Property]:
        """The properties called `name` with a value, the preferred first."""
        return sorted((p for p in self.properties if p.name == name and p.raw.strip(" ;")), key=lambda p: p.rank)

    def first(self, name: str) -> Property | None:
        return next(iter(self.all(name)), None)


def looks_like_cards(content: bytes) -> bool:
    """Whether a file starts as a contact file does, in any encoding."""
    head = content[:4096].replace(b"\0", b"").upper()
    return re.search(rb"(?:^|[\r\n\xbf\xfe\xff])\s*BEGIN\s*:\s*VCARD", head) is not None


def read_cards(content: bytes) -> tuple[list[Card], str]:
    """All cards of a file, also the unclosed ones; and the old encoding that some text was read in, or empty.

    Lines are un-folded as bytes, since a fold may lie inside a character (RFC 6350 3.2).
    """
    found: Text | None = None
    if content[:3] != codecs.BOM_UTF8 and (content[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in content[:200]):
        found = decode(content)
        content = found.text.encode("utf-8", "replace")
    cards: list[Card] = []
    card: Card | None = None
    depth = 0
    content = content.removeprefix(codecs.BOM_UTF8)
    old, is_old = _old_encoding(content), False
    for line in _logical_lines(content):
        mark = line.strip().upper().replace(b" ", b"")
        if mark == b"BEGIN:VCARD":
            if card is not None and card.properties and card.properties[-1].name == "AGENT":
                depth += 1
                continue
            if len(cards) == MOST_CARDS:
                break
            card = Card(len(cards) + 1)
            cards.append(card)
        elif mark == b"END:VCARD":
            if depth:
                depth -= 1
            elif card is not None:
                card.is_closed = True
                card = None
        elif card is not None and not depth and mark:
            is_old |= _take(card, line, old)
    return cards, old if is_old else ""


def _old_encoding(content: bytes) -> str:
    """The encoding of values that are no UTF-8 and do not say what they are: one for the whole file."""
    odd: list[bytes] = []
    for line in _logical_lines(content):
        head, _, value = line.partition(b":")
        if b"CHARSET" in head.upper() or (value.isascii() and b"=" not in value):
            continue
        value = quopri.decodestring(value) if b"QUOTED-PRINTABLE" in head.upper() else value
        if not value.isascii() and not is_utf_8(value):
            odd.append(value)
            if len(odd) == _MOST_ODD:
                break
    return old_encoding(b"\n".join(odd)) if odd else "cp1252"


def _take(card: Card, line: bytes, old: str) -> bool:
    """Add a line to its card; True when its text was in the old encoding."""
    found, legacy = _property(line, card.version, old)
    if found is None:
        card.bad_lines += 1
    else:
        card.properties.append(found)
        if found.name == "VERSION":
            card.version = found.raw.strip()
    return legacy


def _logical_lines(content: bytes) -> Iterator[bytes]:
    """Un-folded lines: white space at a line's start continues the one before (kept by 2.1, dropped by 3.0 and 4.0);
    in 2.1 a quoted-printable line that ends with "=" goes on without any."""
    held: list[bytes] = []
    keeps_space = is_quoted = False
    for line in _LINE_END.split(content):
        if held and is_quoted and held[-1].endswith(b"="):
            held[-1] = held[-1][:-1]
            held.append(line[1:] if line[:1] in b" \t" and line[:1] else line)
            continue
        if held and line[:1] in (b" ", b"\t"):
            held.append(line if keeps_space else line[1:])
            continue
        if held:
            whole = b"".join(held)
            if whole[:8].upper() == b"VERSION:":
                keeps_space = whole[8:].strip() == b"2.1"
            yield whole
        held = [line]
        is_quoted = _SOFT_BREAK.search(line.partition(b":")[0]) is not None
    if held:
        yield b"".join(held)


def _property(line: bytes, version: str, old: str) -> tuple[Property | None, bool]:
    start = _NAME.match(line.lstrip())
    if not start:
        return None, False
    line = line.lstrip()
    name = start.group(1).decode("ascii", "replace").upper()
    if name in _DROPPED:
        return Property(name, {}, ""), False
    colon = _outside_quotes(line, start.end(), b":")
    if colon < 0:
        return None, False
    head, value = line[start.end() : colon], line[colon + 1 :]
    params = _params(head)
    charset = next(iter(params.get("CHARSET", ())), "")
    encodings = {word.upper() for word in (*params.get("ENCODING", ()), *params.get("TYPE", ()))}
    quoted = "QUOTED-PRINTABLE" in encodings
    if encodings & {"B", "BASE64"} and name not in ("FN", "N", "EMAIL", "TEL", "NOTE", "ADR", "ORG"):
        return Property(name, params, ""), False
    if quoted:
        value = quopri.decodestring(value)
    text, legacy = _decoded(value, charset, old)
    return Property(name, params, text[:MOST_CELL], is_plain=version == "2.1"), legacy


def _outside_quotes(line: bytes, start: int, wanted: bytes) -> int:
    in_quotes = False
    for at in range(start, min(len(line), _LONGEST_HEAD)):
        char = line[at : at + 1]
        if char == b'"':
            in_quotes = not in_quotes
        elif char == wanted and not in_quotes:
            return at
    # An odd quote mark swallowed the rest: take the first one after all.
    return line.find(wanted, start, _LONGEST_HEAD)


def _params(head: bytes) -> dict[str, list[str]]:
    params: dict[str, list[str]] = {}
    text, _ = _decoded(head, "", "cp1252")
    for piece in re.findall(r';((?:"[^"]*"|[^;"])*)', text):
        name, has_value, value = piece.partition("=")
        if not has_value:  # bare, as 2.1 has them: TEL;CELL
            name, value = "TYPE", name
        for word in re.findall(r'"([^"]*)"|([^,"]+)', value):
            plain = re.sub(r"\^[n^']", lambda found: _RFC6868[found.group()], word[0] or word[1])
            params.setdefault(name.strip().upper(), []).extend(part.strip() for part in plain.split(","))
    return params


def _decoded(value: bytes, charset: str, old: str) -> tuple[str, bool]:
    if value.isascii():
        return value.decode("ascii"), False
    try:
        return value.decode("utf-8"), False
    except UnicodeDecodeError:
        pass
    try:
        return value.decode(charset or old), not charset
    except (UnicodeDecodeError, LookupError):
        return value.decode(old, "replace"), True


def _split_at_semicolons(raw: str) -> list[str]:
    parts: list[str] = []
    held: list[str] = []
    for piece in re.findall(r"\\.|[^\\;]+|;|\\$", raw, re.DOTALL):
        if piece == ";":
            parts.append("".join(held))
            held = []
        else:
            held.append(piece)
    return [*parts, "".join(held)]


def _unescaped(raw: str, *, plain: bool) -> str:
    if "\\" not in raw:
        return raw
    if plain:
        return raw.replace("\\;", ";")
    return _ESCAPE.sub(lambda found: "\n" if found.group(1) in "nN" else found.group(1), raw)

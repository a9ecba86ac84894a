"""Text as calendar files carry it: cleaned, escaped, quoted, folded, and back again."""

from __future__ import annotations

import re

from scheduling.errors import InvalidError

LINE_OCTETS = 75
"""The longest physical line in octets, without its line break (RFC 5545 3.1)."""

_UNSAFE_CHARACTERS = (
    "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # control characters, old and new
    "\u202a-\u202e\u2066-\u2069"  # direction overrides: they make text read as what it is not
    "\u2028\u2029"  # line breaks that only some programs see
    "\ufeff\ufffe\uffff\ud800-\udfff"  # marks and half characters
)
_BREAKS = re.compile("\r\n|[\r\x0b\x0c\x1c-\x1e\x85\u2028\u2029]")
_UNSAFE = re.compile(f"[{_UNSAFE_CHARACTERS}]")
_ODD = re.compile(f"[\r{_UNSAFE_CHARACTERS}]")
_SPACES = re.compile(r"\s+")
_ESCAPES = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)
_CARETS = str.maketrans({"^": "^^", "\n": "^n", '"': "^'"})
_NEEDS_QUOTES = re.compile(r"[:;,]")
_SCHEME = re.compile(r"([A-Za-z][A-Za-z0-9+.-]*):.")
_NOT_IN_URI = re.compile(r"[^!#-;=?-\[\]_a-z~]")
_OPENING_SCHEMES = frozenset({"http", "https", "mailto", "tel", "sip", "sips", "xmpp", "urn", "geo"})


def clean_text(text: str) -> str:
    """`text` with every kind of line break as a newline and without controls, overrides and half characters."""
    if _ODD.search(text):
        text = _UNSAFE.sub("", _BREAKS.sub("\n", text))
    return text.replace("\t", " ")


def clean_line(text: str) -> str:
    """`text` cleaned and on one line: each run of spaces and breaks is one space."""
    return _SPACES.sub(" ", clean_text(text)).strip()


def first_unsafe(text: str) -> re.Match[str] | None:
    """The first character that `clean_text` would take out or turn into a newline, LF and CR excepted."""
    return _UNSAFE.search(text)


def escape_text(text: str) -> str:
    """A cleaned text as a TEXT value (RFC 5545 3.3.11)."""
    return text.translate(_ESCAPES)


def unescape_text(value: str) -> str:
    """A TEXT value as text, in one pass from left to right.

    A backslash before another letter or digit is none of an escape and stays, as in a path that nobody escaped; one
    before another mark goes, as some write them before a colon or a quote.
    """
    if "\\" not in value:
        return value
    return _ESCAPED.sub(_unescaped, value)


def _unescaped(match: re.Match[str]) -> str:
    if match[1] in "nN":
        return "\n"
    return match[0] if match[1].isalnum() else match[1]


def split_escaped(value: str, mark: str = ",") -> list[str]:
    """The parts of a list of TEXT values, un-escaped; an escaped `mark` does not part."""
    parts, start, at = [], 0, 0
    while at < len(value):
        if value[at] == "\\":
            at += 2
            continue
        if value[at] == mark:
            parts.append(value[start:at])
            start = at + 1
        at += 1
    parts.append(value[start:])
    return [unescape_text(part) for part in parts]


def quote_parameter(text: str) -> str:
    """A cleaned text as a parameter value, quoted where it must be (RFC 5545 3.2, RFC 6868)."""
    value = text.translate(_CARETS)
    return f'"{value}"' if _NEEDS_QUOTES.search(value) else value


def link(address: str, field: str) -> str:
    """`address` as a URI value (RFC 3986): what may not stand in one is percent-encoded.

    Raises InvalidError (`field`) where the address has no scheme, or one that opens programs or files.
    """
    address = clean_line(address)
    scheme = _SCHEME.match(address)
    if scheme is None or scheme[1].lower() not in _OPENING_SCHEMES:
        raise InvalidError(
            f"{address or 'An empty entry'} is not a web address.",
            hint="Write it whole, as in https://example.org/classes.",
            field=field,
        )
    return _NOT_IN_URI.sub(_percent, address)


def _percent(match: re.Match[str]) -> str:
    return "".join(f"%{octet:02X}" for octet in match[0].encode("utf-8"))


def fold(line: str) -> bytes:
    """A content line as octets with its CRLF, folded between characters and never inside an escape."""
    octets = line.encode("utf-8")
    if len(octets) <= LINE_OCTETS:
        return octets + b"\r\n"
    pieces, start, room = [], 0, LINE_OCTETS
    while len(octets) - start > room:
        cut = start + room
        while octets[cut] & 0xC0 == 0x80:
            cut -= 1
        before = octets[start:cut]
        if (len(before) - len(before.rstrip(b"\\"))) % 2:
            cut -= 1
        pieces.append(octets[start:cut])
        start, room = cut, LINE_OCTETS - 1
    pieces.append(octets[start:])
    return b"\r\n ".join(pieces) + b"\r\n"

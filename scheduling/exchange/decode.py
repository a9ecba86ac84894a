"""Bytes of a text file turned into text: by mark, by pattern, by strict UTF-8, else an old encoding."""

from __future__ import annotations

import codecs
from dataclasses import dataclass

from scheduling.errors import InvalidError
from scheduling.exchange.legacy import old_encoding

MOST_BYTES = 50_000_000

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16 LE, whose mark it starts with
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_OTHER_KINDS = (
    (b"%PDF", "a PDF", "Export the list as CSV instead."),
    (
        b"\xd0\xcf\x11\xe0",
        "an old spreadsheet (.xls) or has a password",
        "Save it as .xlsx without a password, or as CSV.",
    ),
    (b"PK\x03\x04", "a packed file, not text", "Save the list as .xlsx or CSV."),
    (b"\x89PNG", "a picture", "Give a CSV, XLSX or contact file."),
    (b"\xff\xd8\xff", "a picture", "Give a CSV, XLSX or contact file."),
    (b"GIF8", "a picture", "Give a CSV, XLSX or contact file."),
    (b"\x1f\x8b", "a packed file", "Unpack it first."),
)


@dataclass(frozen=True, slots=True)
class Text:
    """Decoded text, the name of its encoding, and whether that was a guess that she should hear of."""

    text: str
    encoding: str
    guessed: bool = False


def decode(content: bytes, encoding: str = "") -> Text:
    """Read `content` as text.

    encoding: hers, where the guess was wrong; it goes before everything.
    Order: byte order mark; NUL pattern of UTF-16; strict UTF-8; an old encoding by `legacy.old_encoding`.
    Raises InvalidError: empty, too big, a known other kind of file, or bytes that are no text.
    """
    if not content.strip():
        raise InvalidError("The file is empty.", hint="Give a file with a header row and people.", field="file")
    if len(content) > MOST_BYTES:
        raise InvalidError(
            f"The file is larger than {MOST_BYTES // 1_000_000} MB.", hint="Split it into parts.", field="file"
        )
    for start, kind, hint in _OTHER_KINDS:
        if content.startswith(start):
            raise InvalidError(f"The file is {kind}.", hint=hint, field="file")
    if encoding:
        return _as_told(content, encoding)
    found = _marked(content) or _sixteen_bit(content) or _eight_bit(content)
    _refuse_binary(found.text)
    return found


def _as_told(content: bytes, encoding: str) -> Text:
    try:
        name = codecs.lookup(encoding).name
        return Text(content.decode(name, "replace").removeprefix("\ufeff"), name)
    except (LookupError, ValueError) as error:
        raise InvalidError(
            f"There is no encoding {encoding!r}.", hint="Use a name such as cp1250 or utf-8.", field="encoding"
        ) from error


def _marked(content: bytes) -> Text | None:
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            body = content[len(mark) :]
            try:
                return Text(body.decode(encoding), encoding)
            except UnicodeDecodeError:
                if encoding == "utf-8":
                    return _eight_bit(body)
                return Text(body.decode(encoding, "replace"), encoding, guessed=True)
    return None


def _sixteen_bit(content: bytes) -> Text | None:
    """UTF-16 without a mark: in text of most scripts the NULs stand on one side only."""
    sample = content[:4000]
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if even + odd < len(sample) / 20 or max(even, odd) < 9 * min(even, odd):
        return None
    encoding = "utf-16-le" if odd > even else "utf-16-be"
    whole = content[: len(content) // 2 * 2]
    try:
        return Text(whole.decode(encoding), encoding)
    except UnicodeDecodeError:
        return None


def _eight_bit(content: bytes) -> Text:
    try:
        return Text(content.decode("utf-8"), "utf-8")
    except UnicodeDecodeError:
        return _mixed(content) or _legacy(content)


def _mixed(content: bytes) -> Text | None:
    """UTF-8 with some lines of another origin, as files pasted together have: line by line, each by what it is.

    Text of another encoding hardly ever makes whole UTF-8 sequences, so twice as many of them as bad bytes tell.
    """
    text = content.decode("utf-8", "surrogateescape")
    bad = sum("\udc80" <= char <= "\udcff" for char in text)
    good = sum(char > "\x7f" for char in text) - bad
    if good < 2 * bad:
        return None
    old = old_encoding(b"\n".join(line for line in content.splitlines() if not is_utf_8(line)))
    lines = [line.decode("utf-8" if is_utf_8(line) else old, "replace") for line in content.splitlines(keepends=True)]
    return Text("".join(lines), f"utf-8 with lines in {old}", guessed=True)


def is_utf_8(line: bytes) -> bool:
    """Whether the bytes are whole UTF-8."""
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _legacy(content: bytes) -> Text:
    encoding = old_encoding(content)
    return Text(content.decode(encoding, "replace"), encoding, guessed=True)


def _refuse_binary(text: str) -> None:
    sample = text[:20_000]
    odd = sum(c < " " and c not in "\t\r\n\x0b\x0c\x1a\x1b" for c in sample)
    if odd > max(2, len(sample) // 100):
        raise InvalidError("The file is not text.", hint="Give a CSV, XLSX or contact file.", field="file")

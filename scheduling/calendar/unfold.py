"""Octets of any calendar file as clean un-folded lines, or a word about what the file is instead."""

from __future__ import annotations

import quopri
import re
from collections.abc import Iterable, Iterator

from scheduling.calendar.found import Notice
from scheduling.calendar.texts import escape_text
from scheduling.errors import InvalidError

LARGEST_FILE = 10_000_000
"""Octets of the largest file that is read (RFC 5545 7 leaves such limits to us)."""

_UTF8_BOM, _UTF16_BOMS = b"\xef\xbb\xbf", (b"\xff\xfe", b"\xfe\xff")
_BEGIN = re.compile(
    rb"^[ \t]*BEGIN[ \t]*:[ \t]*(VCALENDAR|VEVENT|VTODO|VFREEBUSY)[ \t]*$", re.IGNORECASE | re.MULTILINE
)
_ODD = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\u2028\u2029\ufeff\ufffe\uffff]")
_QUOTED = re.compile(rb"^[^:]{0,200};[ \t]*(?:ENCODING[ \t]*=[ \t]*)?QUOTED-PRINTABLE[;:]", re.IGNORECASE)
_CHARSET = re.compile(rb";[ \t]*CHARSET[ \t]*=[ \t]*\"?([A-Za-z0-9_.:-]{1,40})", re.IGNORECASE)
_CP1252 = {code: bytes([code]).decode("cp1252", errors="ignore") or chr(code) for code in range(0x80, 0xA0)}
"""What Windows-1252 has where Latin-1 has controls; five octets are open in both."""
_NOT_CALENDARS = (
    (
        re.compile(rb"<!doctype html|<html|<head|<body", re.IGNORECASE),
        "a web page",
        "The link may have lapsed, or ask for a sign-in first.",
    ),
    (re.compile(rb"<\?xml|<[a-z]", re.IGNORECASE), "a marked-up document", "Ask for the calendar as an .ics file."),
    (re.compile(rb"PK\x03\x04|\x1f\x8b|Rar!|7z\xbc\xaf"), "a packed file", "Unpack it and give the .ics file inside."),
    (re.compile(rb"%PDF"), "a printed document", "Ask for the calendar as an .ics file."),
    (re.compile(rb"BEGIN:VCARD", re.IGNORECASE), "a contact file", "Read it as people."),
    (re.compile(rb"[{\[]"), "data of another program", "Ask for the calendar as an .ics file."),
)


def content_lines(octets: bytes) -> tuple[Iterator[tuple[int, str]], list[Notice]]:
    """The un-folded lines of a calendar file, each with the number of its first physical line, and what was odd.

    Un-folds octets before it decodes them, so that a fold inside a character mends itself (RFC 5545 3.1). Reads any
    line ends, UTF-8 with or without mark, UTF-16, and line by line Windows-1252 where it is not UTF-8. Takes control
    characters and direction overrides out.
    Raises InvalidError with what the file is instead of a calendar.
    """
    if len(octets) > LARGEST_FILE:
        raise InvalidError(
            f"The calendar file has {len(octets) // 1_000_000} MB; {LARGEST_FILE // 1_000_000} MB are read at most.",
            hint="Export a shorter time from the other calendar.",
            field="file",
        )
    octets, notices = _as_utf8(octets)
    octets = octets.removeprefix(_UTF8_BOM)
    if b"\n" in octets:
        octets = octets.replace(b"\r\n", b"\n")
    elif b"\r" in octets:
        octets = octets.replace(b"\r", b"\n")
        notices.append(Notice("Its lines end in the old way, with CR alone."))
    if not _BEGIN.search(octets):
        raise _what_it_is(octets)
    numbers, lines = _unfold(octets)
    texts, bad = _decode(lines)
    del lines  # a large file is held once
    if bad:
        which = "1 line is" if len(bad) == 1 else f"{len(bad)} lines are"
        notices.append(Notice(f"{which} not UTF-8; Windows-1252 was read instead.", line=numbers[bad[0]]))
    odd = [index for index, text in enumerate(texts) if _ODD.search(text)] if _ODD.search("\n".join(texts)) else []
    for index in odd:
        texts[index] = _ODD.sub("", texts[index])
    if odd:
        which = "1 line" if len(odd) == 1 else f"{len(odd)} lines"
        notices.append(Notice(f"Control characters were taken out of {which}.", line=numbers[odd[0]]))
    return zip(numbers, texts, strict=True), notices


def _as_utf8(octets: bytes) -> tuple[bytes, list[Notice]]:
    """UTF-16, with its mark or without, as UTF-8; anything else as it is."""
    codec = ""
    if octets.startswith(_UTF16_BOMS):
        codec = "utf-16"
    elif octets[1:2] == b"\0" and octets[:1].isalpha():
        codec = "utf-16-le"
    elif octets[:1] == b"\0" and octets[1:2].isalpha():
        codec = "utf-16-be"
    if not codec:
        return octets, []
    text = octets.decode(codec, errors="replace")
    return text.encode("utf-8", errors="replace"), [Notice("It is written in UTF-16.")]


def _what_it_is(octets: bytes) -> InvalidError:
    start = octets[:1000].lstrip()
    if not start:
        return InvalidError("The file is empty.", hint="Fetch the calendar again.", field="file")
    for pattern, kind, hint in _NOT_CALENDARS:
        if pattern.match(start):
            return InvalidError(f"The file is {kind}, not a calendar.", hint=hint, field="file")
    return InvalidError(
        "The file is not a calendar: no line says BEGIN:VCALENDAR.", hint="Give an .ics file.", field="file"
    )


def _unfold(octets: bytes) -> tuple[list[int], list[bytes]]:
    """Un-folded lines and the numbers of their first physical lines; empty lines are left out."""
    numbers: list[int] = []
    lines: list[bytes] = []
    folded = bytearray()
    blank = b""
    soft = False
    for number, line in enumerate(octets.split(b"\n"), 1):
        if soft:
            soft = line.endswith(b"=")
            folded += line[:-1] if soft else line
            continue
        if lines and line[:1] in {b" ", b"\t"}:
            if not line.strip():
                blank = line[1:]
                continue
            folded += blank + line[1:]
        elif not line.strip():
            blank = b""
            continue
        else:
            if folded:
                lines[-1] += bytes(folded)
                folded.clear()
            numbers.append(number)
            lines.append(line)
        blank = b""
        if line.endswith(b"=") and lines and _QUOTED.match(lines[-1]):
            soft = True
            if folded:
                del folded[-1:]
            else:
                lines[-1] = lines[-1][:-1]
    if folded:
        lines[-1] += bytes(folded)
    return numbers, [_unquoted(line) if _QUOTED.match(line) else line for line in lines]


def _unquoted(line: bytes) -> bytes:
    """A quoted-printable line of the old 1.0 format as a plain one with TEXT escapes, in UTF-8."""
    head, _, value = line.partition(b":")
    charset = _CHARSET.search(head)
    octets = quopri.decodestring(value)
    try:
        text = octets.decode(charset[1].decode("ascii") if charset else "utf-8")
    except (LookupError, UnicodeDecodeError):
        text = octets.decode("cp1252", errors="replace")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return head.split(b";")[0] + b":" + escape_text(text).encode("utf-8")


def _decode(lines: list[bytes]) -> tuple[list[str], list[int]]:
    """The lines as text, and the indexes of those that were not UTF-8."""
    try:
        return b"\n".join(lines).decode("utf-8").split("\n"), []
    except UnicodeDecodeError:
        pass
    bad: list[int] = []
    return list(_decoded(lines, bad)), bad


def _decoded(lines: Iterable[bytes], bad: list[int]) -> Iterable[str]:
    for index, line in enumerate(lines):
        try:
            yield line.decode("utf-8")
        except UnicodeDecodeError:
            bad.append(index)
            yield line.decode("latin-1").translate(_CP1252)

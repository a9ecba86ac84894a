"""Broken and hostile calendar files: each is read or refused, quickly, and says why; seeded, so a fault comes again."""

from __future__ import annotations

import os
import random

import pytest

from tests.support.watched import LONGEST_SECONDS, MOST_OCTETS, watched

SEED = int(os.environ.get("FUZZ_SEED", "20260509"))
ROUNDS = 1500
ENDLESS_ZONE = (
    b"BEGIN:VTIMEZONE\r\nTZID:X\r\nBEGIN:STANDARD\r\nDTSTART:16010101T000000\r\nTZOFFSETFROM:+0100\r\n"
    b"TZOFFSETTO:-0100\r\nRRULE:FREQ=SECONDLY\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n"
)
PIECES = (
    b"BEGIN:VEVENT\r\n", b"END:VEVENT\r\n", b"BEGIN:VCALENDAR\r\n", b"END:VCALENDAR\r\n", b"BEGIN:VALARM\r\n",
    b"\x00", b"\r", b"\n ", b";", b":", b'"', b"\\", b",", b"\xff", b"\xc3", b"TZID=", b"VALUE=DATE",
    b"RRULE:FREQ=SECONDLY;COUNT=99999999\r\n", b"RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30\r\n", b"RRULE:MP1 1+ MO\r\n",
    b"DURATION:-P9999W\r\n", b"DURATION:P99999DT999999H\r\n", b"00010101", b"99991231T235959Z", b"19000101T000000",
    b"EXDATE:", b"RDATE;VALUE=PERIOD:20260101T000000Z/P1D\r\n", b"RECURRENCE-ID;RANGE=THISANDFUTURE:",
    b"TRIGGER:-P99999D\r\n", b"REPEAT:999999\r\n", b"ENCODING=QUOTED-PRINTABLE:", b"=\r\n", b"20261309T080000Z",
    b"T240000", b"22001231T235959", ENDLESS_ZONE,
)  # fmt: skip


def broken(octets: bytes, chance: random.Random) -> bytes:
    """`octets` with a few cuts, swaps, repeats and foreign pieces."""
    out = bytearray(octets)
    for _ in range(chance.randint(1, 12)):
        at = chance.randrange(len(out) + 1)
        end = min(len(out), at + chance.choice((1, 2, 8, 40, 200)))
        what = chance.randrange(6)
        if what == 0:
            del out[at:end]
        elif what == 1:
            out[at:at] = chance.choice(PIECES)
        elif what == 2:
            out[at:at] = out[at:end] * chance.randint(1, 30)
        elif what == 3 and at < len(out):
            out[at] = chance.randrange(256)
        elif what == 4:
            out[at:end] = bytes(chance.randrange(256) for _ in range(end - at))
        else:
            lines = bytes(out).split(b"\r\n")
            chance.shuffle(lines)
            out = bytearray(b"\r\n".join(lines))
    return bytes(out)


@pytest.mark.all
def test_no_broken_or_heavy_file_faults_hangs_or_fills_the_memory() -> None:
    """In a process of its own: what hangs is broken off there, and the memory is all that the process ever held."""
    found = watched("tests.support.fuzz_calendar", str(SEED), str(ROUNDS))
    assert found["faults"] == []
    assert found["slowest"] < LONGEST_SECONDS
    assert found["peak"] < MOST_OCTETS
    assert found["read"] > ROUNDS // 2
    assert found["refused"] > 0

"""Files made to be slow or large: each is read or refused within seconds."""

from __future__ import annotations

import contextlib
import datetime as dt
import time
from collections.abc import Callable

import pytest

from scheduling.calendar import read_calendar
from scheduling.errors import InvalidError

YEAR = (dt.date(2026, 1, 1), dt.date(2027, 1, 1))
LONGEST_SECONDS = 5.0
"""Of processor time, so that a busy machine makes no fault."""
HEAD = b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nUID:x\r\nDTSTART:20260501T100000Z\r\n"
TAIL = b"END:VEVENT\r\nEND:VCALENDAR\r\n"
HOSTILE: dict[str, Callable[[], bytes]] = {
    "one endless line": lambda: HEAD + b"SUMMARY:" + b"x" * 9_000_000 + b"\r\n" + TAIL,
    "one endless parameter": lambda: HEAD + b"SUMMARY;LANGUAGE=" + b"x" * 9_000_000 + b"\r\n" + TAIL,
    "a quote that never closes": lambda: HEAD + b'DTEND;TZID="' + b"x" * 9_000_000 + b"\r\n" + TAIL,
    "only folds": lambda: HEAD + b"SUMMARY:x" + b"\r\n y" * 2_000_000 + b"\r\n" + TAIL,
    "only line breaks": lambda: HEAD + b"\r\n" * 4_000_000 + TAIL,
    "only spaces": lambda: HEAD + b" \t" * 4_000_000 + b"\r\n" + TAIL,
    "only semicolons": lambda: HEAD + b"DTEND" + b";" * 9_000_000 + b":20260501T110000Z\r\n" + TAIL,
    "only backslashes": lambda: HEAD + b"SUMMARY:" + b"\\" * 9_000_000 + b"\r\n" + TAIL,
    "only BEGIN": lambda: HEAD + b"BEGIN:VEVENT\r\n" * 600_000 + TAIL,
    "nested parts": lambda: HEAD + b"BEGIN:X\r\n" * 900_000 + TAIL,
    "half a million exclusions": lambda: HEAD + b"RRULE:FREQ=DAILY\r\nEXDATE:"
    + b"20260502T100000Z," * 500_000 + b"\r\n" + TAIL,
    "half a million dates": lambda: HEAD + b"RDATE:" + b"20260502T100000Z," * 500_000 + b"\r\n" + TAIL,
    "many rules": lambda: HEAD + b"RRULE:FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30\r\n" * 150_000 + TAIL,
    "many alarms": lambda: HEAD + b"RRULE:FREQ=HOURLY\r\n"
    + b"BEGIN:VALARM\r\nTRIGGER:-PT1H\r\nREPEAT:10\r\nDURATION:PT1M\r\nEND:VALARM\r\n" * 50_000 + TAIL,
    "many series": lambda: b"BEGIN:VCALENDAR\r\n"
    + b"".join(
        b"BEGIN:VEVENT\r\nUID:%d\r\nDTSTART:19000101T000000Z\r\nRRULE:FREQ=HOURLY;COUNT=9999999\r\nEND:VEVENT\r\n"
        % number
        for number in range(19_000)
    ) + b"END:VCALENDAR\r\n",
    "many zones": lambda: b"BEGIN:VCALENDAR\r\n"
    + b"".join(
        b"BEGIN:VTIMEZONE\r\nTZID:Z%d\r\nBEGIN:STANDARD\r\nDTSTART:16010101T000000\r\nTZOFFSETFROM:+0100\r\n"
        b"TZOFFSETTO:+0200\r\nRRULE:FREQ=DAILY\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n"
        b"BEGIN:VEVENT\r\nUID:%d\r\nDTSTART;TZID=Z%d:20260501T000000\r\nEND:VEVENT\r\n" % (number, number, number)
        for number in range(5_000)
    ) + b"END:VCALENDAR\r\n",
    "many unknown zones": lambda: b"BEGIN:VCALENDAR\r\n"
    + b"".join(
        b"BEGIN:VEVENT\r\nUID:%d\r\nDTSTART;TZID=Nowhere %d:20260501T000000\r\nEND:VEVENT\r\n" % (number, number)
        for number in range(19_000)
    ) + b"END:VCALENDAR\r\n",
    "one name for all": lambda: b"BEGIN:VCALENDAR\r\n"
    + b"".join(
        b"BEGIN:VEVENT\r\nUID:same\r\nDTSTART:%d0501T000000Z\r\nEND:VEVENT\r\n" % (1900 + number % 300)
        for number in range(19_000)
    ) + b"END:VCALENDAR\r\n",
    "many changes of one series": lambda: HEAD + b"RRULE:FREQ=HOURLY\r\n" + b"END:VEVENT\r\n"
    + b"".join(
        b"BEGIN:VEVENT\r\nUID:x\r\nRECURRENCE-ID;RANGE=THISANDFUTURE:2026%02d%02dT%02d0000Z\r\n"
        b"DTSTART:20260501T110000Z\r\nEND:VEVENT\r\n" % (number // 480 % 12 + 1, number // 20 % 24 + 1, number % 20)
        for number in range(6_000)
    ) + b"END:VCALENDAR\r\n",
    "half characters": lambda: HEAD + b"SUMMARY:" + b"\xff\xfe\xc3" * 3_000_000 + b"\r\n" + TAIL,
    "wide text": lambda: (
        "\ufeff" + (HEAD + b"SUMMARY:" + b"x" * 4_000_000 + b"\r\n" + TAIL).decode()
    ).encode("utf-16-le"),
    "quoted-printable without end": lambda: HEAD + b"SUMMARY;ENCODING=QUOTED-PRINTABLE:"
    + b"=41=\r\n" * 1_500_000 + TAIL,
    "many entries": lambda: b"BEGIN:VCALENDAR\r\n"
    + b"".join(b"BEGIN:VEVENT\r\nUID:%d\r\nDTSTART:20260501T000000Z\r\nEND:VEVENT\r\n" % n for n in range(120_000))
    + b"END:VCALENDAR\r\n",
    "many series of every minute": lambda: b"BEGIN:VCALENDAR\r\n"
    + b"".join(
        b"BEGIN:VEVENT\r\nUID:%d\r\nDTSTART:20260501T000000Z\r\nRRULE:FREQ=MINUTELY\r\nEND:VEVENT\r\n" % number
        for number in range(400)
    ) + b"END:VCALENDAR\r\n",
    "many guests": lambda: HEAD + b"ATTENDEE:mailto:a@b.example\r\n" * 300_000 + TAIL,
    "many periods": lambda: HEAD + b"RDATE;VALUE=PERIOD:" + b"20260612T080000Z/P1D," * 400_000 + b"\r\n" + TAIL,
    "many quoted parameters": lambda: HEAD + b'X-A;B="' + b'";C="' * 900_000 + b'":x\r\n' + TAIL,
    "many busy spans": lambda: b"BEGIN:VCALENDAR\r\nBEGIN:VFREEBUSY\r\nUID:f\r\nFREEBUSY:"
    + b"20260612T080000Z/PT1M," * 400_000 + b"\r\nEND:VFREEBUSY\r\nEND:VCALENDAR\r\n",
}  # fmt: skip


@pytest.mark.all
@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_costs_seconds_and_no_more(name: str) -> None:
    octets = HOSTILE[name]()
    begun = time.process_time()
    with contextlib.suppress(InvalidError):
        read_calendar(octets, home_zone="Europe/Berlin", window=YEAR, source_name="hostile")
    assert time.process_time() - begun < LONGEST_SECONDS

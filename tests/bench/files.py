"""Calendars read and written, beside the time that the reading library alone takes to parse the file."""

from __future__ import annotations

import argparse
import datetime as dt
import gc
import time
from collections.abc import Callable, Sequence
from typing import Any

from scheduling.calendar import CalendarFile, PublicEvent, public_calendar, read_calendar
from scheduling.clock import WallTime

MOST_TO_READ = 1.5
MOST_TO_WRITE = 1 / 3
EVENTS, CLASSES = 10_000, 2_000
WINDOW = (dt.date(2026, 1, 1), dt.date(2027, 1, 1))
MADE = dt.datetime(2026, 1, 10, 9, tzinfo=dt.UTC)


def busy_file() -> bytes:
    """Somebody's calendar: 10,000 events, one each six hours from 2020 on."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Bench//EN"]
    start = dt.datetime(2020, 1, 1, 8, tzinfo=dt.UTC)
    for number in range(EVENTS):
        begins = start + dt.timedelta(hours=6 * number)
        lines += [
            "BEGIN:VEVENT",
            f"UID:bulk-{number:05d}",
            "DTSTAMP:20260110T090000Z",
            f"DTSTART:{begins:%Y%m%dT%H%M%SZ}",
            "DURATION:PT1H",
            f"SUMMARY:Busy {number}",
            "END:VEVENT",
        ]
    return "\r\n".join([*lines, "END:VCALENDAR", ""]).encode()


def class_dates() -> list[PublicEvent]:
    """Two thousand classes as a studio publishes them."""
    first = dt.datetime.fromisoformat("2026-01-03T10:00")
    return [
        PublicEvent(
            uid=f"c{number:05d}",
            sequence=number % 3,
            created_at=MADE,
            modified_at=MADE,
            title=f"Coptic sketchbook, group {number}",
            starts=WallTime(first + dt.timedelta(hours=11 * number), "America/New_York"),
            ends=WallTime(first + dt.timedelta(hours=11 * number + 3), "America/New_York"),
            location="The Loft, Gantry Steps, Vellimore",
            description="Bring an apron.\nPaper, thread and needle are in the kit; glue is not.",
            url=f"https://example.org/classes/{number}",
            categories=("Books", "Beginners"),
        )
        for number in range(CLASSES)
    ]


def best_of(rounds: int, *actions: Callable[[], object]) -> list[float]:
    """The shortest time of each action in seconds; they take turns, so that a busy machine slows all alike."""
    times: list[list[float]] = [[] for _ in actions]
    for _ in range(rounds):
        for action, taken in zip(actions, times, strict=True):
            gc.collect()
            begun = time.perf_counter()
            action()
            taken.append(time.perf_counter() - begun)
    return [min(taken) for taken in times]


def main(argv: Sequence[str]) -> dict[str, Any]:
    """Measure, print a line for each figure, and give the figures; a ratio over its bound is a False in `ok`."""
    import icalendar

    options = argparse.ArgumentParser(prog="files", description=__doc__)
    options.add_argument("--rounds", type=int, default=5)
    rounds = options.parse_args(list(argv)).rounds
    octets, classes = busy_file(), class_dates()
    head = CalendarFile("bench", "Classes", "America/New_York", source_url="https://example.org/classes.ics")

    def read() -> object:
        return read_calendar(octets, home_zone="Europe/Berlin", window=WINDOW, source_name="bench")

    parse, reading, writing = best_of(
        rounds, lambda: icalendar.Calendar.from_ical(octets), read, lambda: public_calendar(head, classes)
    )
    figures = {
        "calendar_parse_seconds": round(parse, 4),
        "calendar_read_seconds": round(reading, 4),
        "calendar_write_seconds": round(writing, 4),
        "calendar_read_ratio": round(reading / parse, 3),
        "calendar_write_ratio": round(writing / parse, 3),
        "ok": reading / parse <= MOST_TO_READ and writing / parse <= MOST_TO_WRITE,
    }
    print(f"icalendar alone parses {EVENTS} events in {parse:.3f} s")
    print(f"read for a one-year window in {reading:.3f} s: {reading / parse:.2f} of that (at most {MOST_TO_READ})")
    print(f"{CLASSES} classes written in {writing:.3f} s: {writing / parse:.2f} of that (at most {MOST_TO_WRITE:.2f})")
    return figures

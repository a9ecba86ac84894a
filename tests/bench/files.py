"""Calendars read and written beside the reading library alone; sheets of people beside the csv module alone."""

from __future__ import annotations

import argparse
import csv
import datetime as dt
import gc
import io
import time
from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

from scheduling.calendar import CalendarFile, PublicEvent, public_calendar, read_calendar
from scheduling.clock import WallTime
from scheduling.exchange.read import read_people
from scheduling.exchange.write import Cell, csv_bytes

MOST_TO_READ = 1.5
MOST_TO_WRITE = 1 / 3
MOST_TO_READ_ROWS = 40
EVENTS, CLASSES, ROWS = 10_000, 2_000, 50_000
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


def sign_ups() -> bytes:
    """A sheet of 50,000 sign-ups, as it comes out of a form."""
    lines = ["Name,Email,Phone,Class,Date,Tickets,Paid,Note"]
    lines += [
        f'"Person {n}, of {n % 7}",p{n}@example.org,+44 7700 {n:06d},Class {n % 40},2026-{1 + n % 12:02d}-13,'
        f"{1 + n % 2},{n % 90}.50,note {n}"
        for n in range(ROWS)
    ]
    return "\r\n".join([*lines, ""]).encode()


def parsed(octets: bytes) -> int:
    """The baseline: the csv module alone, into dicts."""
    return sum(len(row) for row in csv.DictReader(io.StringIO(octets.decode(), newline="")))


def people_list() -> tuple[list[str], list[tuple[Cell, ...]]]:
    """A list of 50,000 rows to be written."""
    return ["Name", "E-mail", "Paid", "Note"], [
        (f"Person {n}", f"p{n}@example.org", Decimal(n), f"=note {n}") for n in range(ROWS)
    ]


def written(columns: list[str], rows: list[tuple[Cell, ...]]) -> bytes:
    """The baseline: the csv module alone, which lets a formula through."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows([columns, *rows])
    return out.getvalue().encode()


def sheets(rounds: int) -> dict[str, Any]:
    """Reading people and writing lists; the figures."""
    octets, (columns, rows) = sign_ups(), people_list()
    base_read, read, base_write, write = best_of(
        rounds,
        lambda: parsed(octets),
        lambda: read_people(octets, "bench.csv", today=dt.date(2026, 1, 1), zone="Europe/Berlin"),
        lambda: written(columns, rows),
        lambda: csv_bytes(columns, rows),
    )
    print(f"the csv module alone reads {ROWS} rows in {base_read:.3f} s and writes them in {base_write:.3f} s")
    print(
        f"people and sign-ups understood in {read:.3f} s: {read / base_read:.1f} of that (at most {MOST_TO_READ_ROWS})"
    )
    print(f"{ROWS} rows made harmless and written in {write:.3f} s: {write / base_write:.1f} of that")
    return {
        "rows_parse_seconds": round(base_read, 4),
        "rows_read_seconds": round(read, 4),
        "rows_read_ratio": round(read / base_read, 2),
        "rows_write_seconds": round(write, 4),
        "rows_write_ratio": round(write / base_write, 2),
        "rows_ok": read / base_read <= MOST_TO_READ_ROWS,
    }


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
    more = sheets(max(1, rounds - 2))
    return {**figures, **more, "ok": figures["ok"] and more["rows_ok"]}

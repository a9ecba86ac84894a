"""How quick the screens are: each figure beside a bare Textual app, or a bare insert, measured in the same run."""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import select
import signal
import sqlite3
import statistics
import struct
import sys
import tempfile
import termios
import time
from pathlib import Path
from typing import Any

from demo.load import make_demo
from tests.bench.many import make_many

QUIET = 0.04
"""A frame is over when nothing has come for so many seconds."""


class Wire:
    """A program in a pseudo-terminal of 80x24, timed by what it writes."""

    def __init__(self, arguments: list[str]) -> None:
        self.started = time.perf_counter()
        self.pid, self.descriptor = pty.fork()
        if self.pid == 0:
            environ = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor", "TEXTUAL_ANIMATIONS": "none"}
            os.execve(sys.executable, [sys.executable, *arguments], environ)
        fcntl.ioctl(self.descriptor, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))

    def until(self, marker: bytes, seconds: float = 20) -> float:
        """Seconds from the start until `marker` was on the wire."""
        seen, end = b"", time.perf_counter() + seconds
        while time.perf_counter() < end:
            if select.select([self.descriptor], [], [], 0.5)[0]:
                seen += os.read(self.descriptor, 65536)
                if marker in seen:
                    return time.perf_counter() - self.started
        raise TimeoutError(f"{marker!r} did not come; last: {seen[-300:]!r}")

    def settle(self) -> None:
        """Read until nothing more comes."""
        while select.select([self.descriptor], [], [], 0.3)[0]:
            os.read(self.descriptor, 65536)

    def key(self, key: bytes, marker: bytes = b"") -> float:
        """Seconds from a key until its frame is written whole (or until `marker` has come)."""
        begun = time.perf_counter()
        os.write(self.descriptor, key)
        seen, last = b"", begun
        while True:
            if not select.select([self.descriptor], [], [], QUIET if seen and not marker else 5)[0]:
                return last - begun
            seen += os.read(self.descriptor, 65536)
            last = time.perf_counter()
            if marker and marker in seen:
                return last - begun

    def memory_mb(self) -> float:
        """The most memory that the process has held, in MB."""
        status = Path(f"/proc/{self.pid}/status").read_text("utf-8")
        line = next(line for line in status.splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024

    def close(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self.descriptor)


DOWN = b"\x1b[B"

BOUNDS = {
    "start_ratio": 2,
    "start_many_ratio": 2,
    "cursor_key_ratio": 2,
    "cursor_key_many_ratio": 2,
    "booking_ratio": 8,
    "booking_many_ratio": 8,
    "memory_demo_mb": 80,
    "memory_many_mb": 80,
}


def _median_ms(values: list[float]) -> float:
    return round(statistics.median(values) * 1000, 1)


def _start_ms(arguments: list[str], marker: bytes, runs: int) -> float:
    times = []
    for _ in range(runs + 1):
        wire = Wire(arguments)
        times.append(wire.until(marker))
        wire.close()
    return _median_ms(times[1:])


def _keys_ms(wire: Wire, key: bytes, count: int) -> float:
    return _median_ms([wire.key(key) for _ in range(count)])


def _insert_ms(folder: Path, count: int) -> float:
    """A bare insert with full sync: what a booking's save cannot do without."""
    connection = sqlite3.connect(folder / "bare.db", isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("CREATE TABLE t (id INTEGER PRIMARY KEY, text TEXT)")
    times = []
    for n in range(count):
        begun = time.perf_counter()
        connection.execute("INSERT INTO t (text) VALUES (?)", (f"row {n}",))
        times.append(time.perf_counter() - begun)
    connection.close()
    return _median_ms(times)


def _booking_ms(path: Path, count: int) -> float:
    """From the last Enter of a booking to the sentence that it is kept, on the first screen."""
    wire = Wire(["-m", "tui", "--file", str(path)])
    wire.until(b"Pleated")
    wire.settle()
    wire.key(b"2")
    wire.settle()
    for _ in range(5):
        wire.key(DOWN)
    times = []
    names = ("Bettany", "Marek", "Tobin", "Ilse", "Noor", "Delphine", "Cosmo", "Yuna", "Fatou", "Nettie")
    for name in names[:count]:
        wire.key(b"b")
        wire.settle()
        for letter in name:
            wire.key(letter.encode())
        wire.settle()
        times.append(wire.key(b"\r", b"Done"))
        wire.settle()
    wire.close()
    return _median_ms(times)


def main(arguments: list[str]) -> dict[str, Any]:
    """Measure, print a table, give the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench screens")
    parser.add_argument("--runs", type=int, default=7)
    runs = parser.parse_args(arguments).runs
    folder = Path(tempfile.mkdtemp())
    demo, many = folder / "demo.kitwright", folder / "many.kitwright"
    make_demo(demo)
    make_many(many)
    bare_start = _start_ms(["-m", "tests.bench.bare_app"], b"ready", runs)
    start = _start_ms(["-m", "tui", "--file", str(demo)], b"Pleated", runs)
    many_start = _start_ms(["-m", "tui", "--file", str(many)], b"Pleated", runs)
    bare = Wire(["-m", "tests.bench.bare_app"])
    bare.until(b"ready")
    bare.settle()
    bare_key = _keys_ms(bare, DOWN, 40)
    bare.close()
    figures: dict[str, Any] = {}
    for name, path in (("demo", demo), ("many", many)):
        wire = Wire(["-m", "tui", "--file", str(path)])
        wire.until(b"Pleated")
        wire.settle()
        figures[f"cursor_key_week_{name}_ms"] = _keys_ms(wire, DOWN, 20)
        wire.key(b"3")
        wire.settle()
        figures[f"cursor_key_attendees_{name}_ms"] = _keys_ms(wire, DOWN, 40)
        wire.key(b"f")
        wire.settle()
        figures[f"filter_key_attendees_{name}_ms"] = _median_ms(
            [wire.key(letter) for letter in (b"l", b"e", b"n", b"a")]
        )
        figures[f"memory_{name}_mb"] = round(wire.memory_mb(), 1)
        wire.close()
    insert = _insert_ms(folder, 60)
    booking, many_booking = _booking_ms(demo, 8), _booking_ms(many, 8)
    figures |= {
        "start_ms": start,
        "start_many_ms": many_start,
        "bare_start_ms": bare_start,
        "bare_key_ms": bare_key,
        "booking_ms": booking,
        "booking_many_ms": many_booking,
        "bare_insert_ms": insert,
        "start_ratio": round(start / bare_start, 2),
        "start_many_ratio": round(many_start / bare_start, 2),
        "cursor_key_ratio": round(figures["cursor_key_attendees_demo_ms"] / bare_key, 2),
        "cursor_key_many_ratio": round(figures["cursor_key_attendees_many_ms"] / bare_key, 2),
        "booking_ratio": round(booking / insert, 2),
        "booking_many_ratio": round(many_booking / insert, 2),
    }
    for name, value in figures.items():
        print(f"{name:34} {value:10}" + (f"   at most {BOUNDS[name]}" if name in BOUNDS else ""))
    return figures

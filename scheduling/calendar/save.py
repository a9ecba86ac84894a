"""Puts a written calendar into its place on the disk: whole or not at all, and only when it differs."""

from __future__ import annotations

from pathlib import Path

from scheduling.saving import save_file

_LARGEST = 10_000_000


def save_calendar(path: Path, octets: bytes, *, private: bool) -> bool:
    """Write a calendar to `path`, as `save_file` does; True if the file changed."""
    return save_file(path, octets, private=private, what="calendar file")


def written_before(path: Path) -> bytes:
    """The octets of the calendar that a new one is to replace; empty where there is none that can be read."""
    try:
        return path.read_bytes() if path.stat().st_size <= _LARGEST else b""
    except OSError:
        return b""

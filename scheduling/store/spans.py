"""Imported busy times as instants."""

from __future__ import annotations

import datetime as dt
import sqlite3

from scheduling.clock import WallTime


def busy_span(row: sqlite3.Row) -> tuple[dt.datetime, dt.datetime]:
    """The UTC instants between which a row of busy_time lies; whole days run from midnight to midnight there."""
    starts, ends = str(row["starts"]), str(row["ends"])
    if row["all_day"]:
        starts, ends = f"{starts}T00:00", f"{ends}T00:00"
    return (
        WallTime(dt.datetime.fromisoformat(starts), row["zone"], row["starts_fold"]).utc,
        WallTime(dt.datetime.fromisoformat(ends), row["zone"], row["ends_fold"]).utc,
    )

"""Imported times as entries and as instants."""

from __future__ import annotations

import datetime as dt
import sqlite3
from dataclasses import replace

from scheduling.clock import WallTime
from scheduling.model.taking_in import BusyEntry


def kept_entry(row: sqlite3.Row) -> BusyEntry:
    """A row of outside_time; one kept by an earlier version of the file gets its own start as its origin."""
    entry = BusyEntry(
        **{name: row[name] for name in _COLUMNS}, all_day=bool(row["all_day"]), takes_time=bool(row["takes_time"])
    )
    if entry.origin:
        return entry
    return replace(entry, origin=entry.starts if entry.all_day else entry_span(entry)[0].isoformat())


_COLUMNS = (
    "uid",
    "title",
    "starts",
    "ends",
    "zone",
    "starts_fold",
    "ends_fold",
    "status",
    "origin",
    "revision",
    "stamp",
)


def busy_span(row: sqlite3.Row) -> tuple[dt.datetime, dt.datetime]:
    """The UTC instants between which a row of busy_time lies; whole days run from midnight to midnight there."""
    columns = ("uid", "title", "starts", "ends", "zone", "starts_fold", "ends_fold")
    return entry_span(BusyEntry(**{name: row[name] for name in columns}, all_day=bool(row["all_day"])))


def entry_span(entry: BusyEntry) -> tuple[dt.datetime, dt.datetime]:
    """The same of a busy time that is not kept yet."""
    starts, ends = entry.starts, entry.ends
    if entry.all_day:
        starts, ends = f"{starts}T00:00", f"{ends}T00:00"
    return (
        WallTime(dt.datetime.fromisoformat(starts), entry.zone, entry.starts_fold).utc,
        WallTime(dt.datetime.fromisoformat(ends), entry.zone, entry.ends_fold).utc,
    )

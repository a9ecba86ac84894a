"""The time zones that a studio may choose, by IANA name."""

from __future__ import annotations

from functools import lru_cache
from zoneinfo import available_timezones

_NOT_PLACES = ("Etc/", "posix/", "right/", "SystemV/", "US/")


@lru_cache(maxsize=1)
def zone_names() -> tuple[str, ...]:
    """Names such as Europe/Berlin in order, and UTC; without those of no place and the links kept for old systems."""
    places = {name for name in available_timezones() if "/" in name and not name.startswith(_NOT_PLACES)}
    return (*sorted(places), "UTC")

"""The names of weekdays and months, as written and as typed."""

from __future__ import annotations

import datetime as dt

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def weekday_named(word: str) -> int | None:
    """0 for Monday to 6 for Sunday, from two or more first letters of an English name in any case."""
    typed = word.casefold().removesuffix(".")
    if typed == "weds":
        return 2
    return _found(typed.removesuffix("s") if typed.endswith("days") else typed, WEEKDAYS, least=2)


def month_named(word: str) -> int | None:
    """1 to 12, from three or more first letters of an English name in any case."""
    found = _found(word.casefold().removesuffix("."), MONTHS, least=3)
    return None if found is None else found + 1


def _found(typed: str, names: tuple[str, ...], *, least: int) -> int | None:
    if len(typed) < least:
        return None
    places = [place for place, name in enumerate(names) if name.casefold().startswith(typed)]
    return places[0] if len(places) == 1 else None


def day_text(day: dt.date, *, year: bool) -> str:
    """Such as "Sat 13 Mar" or, with the year, "Sat 13 Mar 2027"; the same on every machine."""
    named = f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1][:3]}"
    return f"{named} {day.year}" if year else named

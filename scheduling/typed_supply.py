"""What a form of a supplier, a reward or a material is typed in: weekdays, closed days, bands, grams."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

from scheduling.amounts import read_money
from scheduling.day_names import WEEKDAYS, weekday_named
from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.money import Currency
from scheduling.typed_days import shortened
from scheduling.words import Understood, read_day, show_day

_EVERY = ("", "every day", "any day", "all days", "all")
_SPAN = re.compile(r"([a-z.]+)\s*(?:-|to|through)\s*([a-z.]+)")
_BAND = re.compile(r"(\S+)\s+(.+?)(?:\s+worth\s+(\S+))?")
_GRAMS = re.compile(r"(\d{1,7})(?:[.,](\d{1,3}))?\s*(g|kg)?")
_MG = {"g": 1000, "kg": 1_000_000}


def read_weekdays(text: str, *, field: str = "takes_orders_on") -> Understood[str]:
    """Weekdays as digits, Monday 1, from "mon-fri", "mon, wed, fri" or "every day".

    Raises InvalidError for what is no weekday.
    """
    plain = typed_text(text)
    if plain in _EVERY:
        return Understood("1234567", "every day")
    days: set[int] = set()
    for part in filter(None, re.split(r"[,;]| and |(?<![-o]) (?![-t])", plain)):
        match = _SPAN.fullmatch(part.strip())
        first, last = (match[1], match[2]) if match else (part.strip(), part.strip())
        begins, ends = weekday_named(first), weekday_named(last)
        if begins is None or ends is None:
            raise InvalidError(f"{shortened(part)} is no weekday.", hint="Write mon-fri, or mon, wed.", field=field)
        days |= {(begins + n) % 7 for n in range((ends - begins) % 7 + 1)}
    return Understood("".join(str(day + 1) for day in sorted(days)), weekdays_text(days))


def weekdays_text(days: set[int] | str) -> str:
    """Weekdays (0 for Monday), or digits with Monday 1, in words: "Mon-Fri", "Mon, Wed", "every day"."""
    places = sorted(int(digit) - 1 for digit in days) if isinstance(days, str) else sorted(days)
    if len(places) == len(WEEKDAYS):
        return "every day"
    names = [WEEKDAYS[place][:3] for place in places]
    if len(places) > 2 and places[-1] - places[0] == len(places) - 1:
        return f"{names[0]}-{names[-1]}"
    return ", ".join(names)


def read_days(
    text: str, *, today: dt.date, day_first: bool | None, field: str = "shut"
) -> Understood[tuple[dt.date, ...]]:
    """Days parted by commas or semicolons, as single days are read; raises InvalidError as they do."""
    parts = [part.strip() for part in re.split(r"[,;\n]", text) if part.strip()]
    days = sorted({read_day(part, today=today, day_first=day_first, field=field).value for part in parts})
    return Understood(tuple(days), ", ".join(show_day(day, year=True) for day in days) or "none")


def read_bands(text: str, currency: Currency, *, field: str = "bands") -> Understood[tuple[tuple[int, str, int], ...]]:
    """Bands of a tiered reward as "150 a roll worth 5; 650 two rolls worth 12": from which sum, what, its worth.

    Gives (from, what, worth) in minor units. Raises InvalidError for what is not understood or does not rise.
    """
    found: list[tuple[int, str, int]] = []
    for part in filter(None, (each.strip() for each in re.split(r"[;\n]", text))):
        match = _BAND.fullmatch(part)
        if match is None:
            raise InvalidError(
                f"{shortened(part)} is no band.", hint="Write a sum and what it gives, 150 a roll worth 5.", field=field
            )
        worth = 0 if match[3] is None else read_money(match[3], currency, field=field).value
        found.append((read_money(match[1], currency, field=field).value, match[2].strip(), worth))
    floors = [floor for floor, _, _ in found]
    if floors != sorted(set(floors)):
        raise InvalidError("Bands rise from one to the next.", hint="Write the lowest first.", field=field)
    said = "; ".join(f"from {currency.show(floor)} {what}" for floor, what, _ in found)
    return Understood(tuple(found), said or "no bands")


def bands_text(bands: tuple[tuple[int, str, int], ...], currency: Currency) -> str:
    """Bands as they are typed."""
    return "; ".join(
        f"{currency.show(floor).replace(',', '')} {what}"
        + (f" worth {currency.show(worth).replace(',', '')}" if worth else "")
        for floor, what, worth in bands
    )


def read_grams(text: str, *, field: str = "weight_mg") -> Understood[int]:
    """A weight in milligrams from grams as typed: 12, 4.5 g, 1.2 kg; raises InvalidError."""
    match = _GRAMS.fullmatch(typed_text(text))
    if match is None:
        raise InvalidError(f"{shortened(text)} is no weight.", hint="Write grams, such as 4.5.", field=field)
    exact = Decimal(f"{match[1]}.{match[2] or 0}") * _MG[match[3] or "g"]
    if exact > 10**9:
        raise InvalidError("That is too heavy.", hint="Write grams, such as 4.5.", field=field)
    return Understood(int(exact), grams_text(int(exact)) or "not known")


def grams_text(milligrams: int) -> str:
    """A weight as it is typed, exact to the milligram; empty for a weight that is not known."""
    if not milligrams:
        return ""
    whole, rest = divmod(milligrams, 1000)
    return f"{whole}.{rest:03d}".rstrip("0").rstrip(".") + " g"

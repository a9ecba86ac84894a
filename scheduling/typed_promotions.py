"""What a promotion takes off and when it ends, as she types it: 15% or 12.00; T-21, or a day, or both."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from decimal import Decimal

from scheduling.amounts import read_count, read_money
from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.money import Currency
from scheduling.typed_days import shortened
from scheduling.words import Understood, read_day, show_day

_PERCENT = re.compile(r"(\d{1,3}(?:[.,]\d{1,3})?) ?(?:%|percent)", re.ASCII)
_DAYS_BEFORE = re.compile(r"(?:t ?- ?(\d{1,3})|(\d{1,3}) ?(?:d|days?) before)", re.ASCII)
_PARTS = re.compile(r"[,;]| or ")
MOST_DAYS = 400


@dataclass(frozen=True, slots=True)
class Off:
    """What goes off the fee of a head: percent (0 to 100, three places), or minor units; the other is None."""

    percent: Decimal | None
    minor: int | None


@dataclass(frozen=True, slots=True)
class Ends:
    """The last day, or days before each class; of both the sooner counts, with neither there is no end."""

    day: dt.date | None
    days_before: int | None


def read_off(text: str, currency: Currency, *, field: str = "off") -> Understood[Off]:
    """Such as 15%, 12.5 percent, or a sum in the studio's currency.

    Raises InvalidError for what is not understood, for nothing off and for more than 100 percent.
    """
    match = _PERCENT.fullmatch(typed_text(text)) if len(text) < 40 else None
    if match is None:
        sum_off = read_money(text, currency, field=field)
        if not sum_off.value:
            raise InvalidError("A promotion takes something off.", hint="Write such as 15% or a sum.", field=field)
        off = Off(None, sum_off.value)
    else:
        percent = Decimal(match[1].replace(",", "."))
        if not 0 < percent <= 100:
            raise InvalidError(
                f"{shortened(text)} is not possible.", hint="Take off more than 0 and 100% at most.", field=field
            )
        off = Off(percent, None)
    return Understood(off, f"{off_text(off.percent, off.minor, currency)} off each head")


def off_text(percent: Decimal | None, minor: int | None, currency: Currency) -> str:
    """Such as "15%" or "12.00", as it can be typed."""
    return currency.show(minor or 0) if percent is None else f"{percent.normalize():f}%"


def read_ends(text: str, *, today: dt.date, day_first: bool | None = True, field: str = "ends") -> Understood[Ends]:
    """Such as T-21, 21 days before, mon 1 mar, or "T-21, 1 mar" for the sooner of both; empty has no end.

    Raises InvalidError for what is not understood, and for two of a kind.
    """
    day: dt.date | None = None
    days_before: int | None = None
    for part in filter(None, (part.strip() for part in _PARTS.split(text[:200]))):
        match = _DAYS_BEFORE.fullmatch(typed_text(part))
        if (day if match is None else days_before) is not None:
            raise InvalidError("A promotion ends once.", hint="Write T-21, or a day, or one of each.", field=field)
        if match is None:
            day = read_day(part, today=today, day_first=day_first, field=field).value
        else:
            days_before = read_count(match[1] or match[2], most=MOST_DAYS, field=field).value
    found = Ends(day, days_before)
    return Understood(found, ends_text(day, days_before))


def ends_text(day: dt.date | None, days_before: int | None) -> str:
    """Such as "to the end of T-21", "to the end of Mon 1 Mar 2027", of both "whichever is sooner"."""
    parts = [] if days_before is None else [f"T-{days_before}"]
    parts += [] if day is None else [show_day(day, year=True)]
    if not parts:
        return "without an end"
    return f"to the end of {' or '.join(parts)}{', whichever is sooner' if len(parts) > 1 else ''}"


def ends_typed(day: dt.date | None, days_before: int | None) -> str:
    """The same as it stands in an entry to be changed."""
    parts = [] if days_before is None else [f"T-{days_before}"]
    return ", ".join([*parts, *([] if day is None else [show_day(day, year=True)])])

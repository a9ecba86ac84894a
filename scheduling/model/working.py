"""Her working week as typed and kept: spans of wall time in a day."""

from __future__ import annotations

import datetime as dt
import re
from itertools import pairwise
from typing import Final

from scheduling.errors import InvalidError

Span = tuple[dt.time, dt.time]
DAY_NAMES: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SPAN = re.compile(r"(\d{1,2})[:.]?(\d{2})?\s*(?:-|–|to)\s*(\d{1,2})[:.]?(\d{2})?")


def read_hours(text: str) -> tuple[Span, ...]:
    """Spans such as "9-12 19:00-21:00", in order and apart; empty text means no working time.

    Raises InvalidError when a part is not understood or two spans overlap.
    """
    rest = _SPAN.sub("", text).replace(",", "").replace(";", "").replace("and", "").strip()
    if rest:
        raise InvalidError(
            f"The hours {text.strip()!r} are not understood.", hint="Write 09:00-12:00 19:00-21:00.", field="hours"
        )
    spans = sorted(_span(match) for match in _SPAN.finditer(text))
    for (_, end), (start, _) in pairwise(spans):
        if start < end:
            raise InvalidError("Two spans of hours overlap.", hint="Write each hour once.", field="hours")
    return tuple(spans)


def _span(match: re.Match[str]) -> Span:
    try:
        start = dt.time(int(match[1]), int(match[2] or 0))
        end = dt.time(int(match[3]), int(match[4] or 0))
    except ValueError as error:
        raise InvalidError(
            f"{match[0]} is no span of a day.", hint="Hours go from 0:00 to 23:59.", field="hours"
        ) from error
    if end <= start:
        raise InvalidError(f"{match[0]} ends before it starts.", hint="Give the start first.", field="hours")
    return start, end


def hours_text(spans: tuple[Span, ...]) -> str:
    """The kept form: "09:00-12:00 19:00-21:00"."""
    return " ".join(f"{start:%H:%M}-{end:%H:%M}" for start, end in spans)

"""A recurring date: local wall-time starts that an RFC 5545 rule proposes."""

from __future__ import annotations

import datetime as dt
from itertools import islice

from scheduling.clock import wall_time
from scheduling.errors import InvalidError
from scheduling.repeat_rules import rule_parts, rule_text

MOST_DATES = 400


def proposed_starts(rule: str, first: dt.datetime, through: dt.date, *, zone: str = "UTC") -> list[dt.datetime]:
    """Naive local starts from `first` (a lower bound; it counts only where the rule hits it) through a day.

    rule: RFC 5545 3.3.10 text, with or without "RRULE:"; expanded in wall time, so 18:30 stays 18:30.
    zone: where the wall time is, for an UNTIL in UTC; one that is a day lasts to the end of that day.
    Raises InvalidError for a rule that is not understood or gives more than 400 dates.
    """
    from dateutil.rrule import rrulestr  # slow to import and rarely wanted

    parts = rule_parts(rule)
    most = int(parts.pop("COUNT", MOST_DATES + 1))
    # Bounded by its end even where the rule has none: one that never comes true would be looked for to the year 9999.
    last = dt.datetime.combine(through, dt.time.max)
    until = _until(parts.pop("UNTIL"), zone) if "UNTIL" in parts else last
    parts["UNTIL"] = f"{min(until, last):%Y%m%dT%H%M%S}"
    try:
        dates = rrulestr(rule_text(parts), dtstart=first)
    except (ValueError, TypeError, KeyError) as error:
        raise InvalidError(f"The rule {rule!r} is not understood.", hint="Say third Thursday.", field="rule") from error
    found = list(islice(dates, min(most, MOST_DATES + 1)))
    if len(found) > MOST_DATES:
        raise InvalidError(f"The rule gives more than {MOST_DATES} dates.", hint="Choose fewer months.", field="rule")
    return found


def _until(text: str, zone: str) -> dt.datetime:
    """The last naive local moment that an UNTIL allows."""
    if len(text) == 8:
        return dt.datetime.combine(dt.date.fromisoformat(text), dt.time.max)
    moment = dt.datetime.fromisoformat(text.removesuffix("Z"))
    return wall_time(moment.replace(tzinfo=dt.UTC), zone).local if text.endswith("Z") else moment

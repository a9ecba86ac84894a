"""A recurring date: local wall-time starts that an RFC 5545 rule proposes."""

from __future__ import annotations

import datetime as dt

from scheduling.errors import InvalidError

MOST_DATES = 400


def proposed_starts(rule: str, first: dt.datetime, through: dt.date) -> list[dt.datetime]:
    """Naive local starts from `first` (a lower bound; it counts only where the rule hits it) through a day.

    rule: RFC 5545 3.3.10 text without "RRULE:"; expanded in wall time, so 18:30 stays 18:30.
    Raises InvalidError for a rule that is not understood or gives more than 400 dates.
    """
    from dateutil.rrule import rrulestr  # slow to import and rarely wanted

    body = rule.strip().upper().removeprefix("RRULE:")
    if "FREQ=" not in body or any(f"FREQ={often}" in body for often in ("SECONDLY", "MINUTELY", "HOURLY")):
        raise InvalidError(
            "A recurring date is daily, weekly, monthly or yearly.", hint="Say third Thursday.", field="rule"
        )
    try:
        dates = rrulestr(body, dtstart=first, ignoretz=True)
    except (ValueError, TypeError, KeyError) as error:
        raise InvalidError(f"The rule {rule!r} is not understood.", hint="Say third Thursday.", field="rule") from error
    found: list[dt.datetime] = []
    for moment in dates:
        if moment.date() > through:
            break
        found.append(moment)
        if len(found) > MOST_DATES:
            raise InvalidError(
                f"The rule gives more than {MOST_DATES} dates.", hint="Choose fewer months.", field="rule"
            )
    return found

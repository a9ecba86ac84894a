"""What a screen key waits for, on 50,000 bookings over 2,000 classes: each query beside one plain scan of the bookings.

A query is asked five times with nothing kept from the time before; the figure is processor time of the quickest. The
plan is left out: it is worked out beside the screens (tests/bench/planner.py).
"""

from __future__ import annotations

import argparse
import datetime as dt
import tempfile
import time
from pathlib import Path
from typing import Any

from scheduling.queries.cash import CashDates, MoneyMoved
from scheduling.queries.class_deadlines import ClassDeadlines
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.classes import ClassDate, Classes
from scheduling.queries.day import Day
from scheduling.queries.decisions import DecisionsDue
from scheduling.queries.history import History
from scheduling.queries.owed import Owed
from scheduling.queries.people import FindPeople, Person
from scheduling.queries.person_money import PersonMoney, Receipt
from scheduling.queries.promotions import Promotions
from scheduling.queries.roster import Roster
from scheduling.queries.standing import Standing
from scheduling.queries.waitlist import Waitlist
from scheduling.queries.week import Week
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.bench.many import make_many

BUDGET = 50.0
"""Milliseconds that a key may take."""


class Scan:
    """The plain thing to compare with: every booking and its price read once."""

    def fetch(self, reader: Reader) -> int:
        return int(reader.value("SELECT sum(fee_minor + id % 2) FROM booking"))


QUERIES: dict[str, Any] = {
    "top line": Standing(with_prep=False),
    "week": Week(with_prep=False),
    "classes to come": Classes("coming"),
    "classes past": Classes("past"),
    "a class": ClassDate(5),
    "its roster": Roster(5),
    "its dates": ClassDeadlines(5),
    "its money": ClassMoney(5),
    "its waitlist": Waitlist(5),
    "its day": Day(4),
    "a decision": DecisionsDue(class_date_id=9),
    "decisions": DecisionsDue(),
    "waitlists": Waitlist(),
    "owed": Owed(),
    "cash dates": CashDates(),
    "a month's money": MoneyMoved(dt.date(2027, 1, 1), dt.date(2027, 1, 31)),
    "promotions": Promotions(),
    "find an attendee": FindPeople("ros"),
    "an attendee": Person(1),
    "their money": PersonMoney(1),
    "a receipt": Receipt(35),
    "history": History(),
}


def measured(studio: Studio, query: Any) -> float:
    """Milliseconds of processor time, the least of five."""
    times = []
    for _ in range(5):
        again = studio.again()
        again.ask(ClassDate(1))  # the file is open, nothing worked out is kept
        begun = time.process_time()
        again.ask(query)
        times.append((time.process_time() - begun) * 1000)
        again.close()
    return min(times)


def main(arguments: list[str]) -> dict[str, float]:
    """Print a line for each query and say which are past the budget; gives milliseconds by name."""
    argparse.ArgumentParser(prog="python -m tests.bench queries", description=__doc__).parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "many.kitwright"
        make_many(path)
        with Studio(str(path)) as studio:
            plain = measured(studio, Scan())
            found = {name: measured(studio, query) for name, query in QUERIES.items()}
    print(f"{'a plain scan of the bookings':28}{plain:8.1f} ms")
    for name, took in found.items():
        over = "  past the budget" if took > BUDGET else ""
        print(f"{name:28}{took:8.1f} ms {took / plain:8.1f} x the scan{over}")
    return {"plain scan": plain, **found}

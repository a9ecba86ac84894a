"""A child of tests/unit/test_calendar_fuzz.py: `python -m tests.support.fuzz_calendar SEED ROUNDS`."""

from __future__ import annotations

import datetime as dt
import random
import sys
import time
from base64 import b64encode

from scheduling.calendar import calendar_answer, read_calendar
from scheduling.errors import InvalidError
from tests.support.calendars import everything
from tests.support.cases import cases_of
from tests.support.watched import HangError, at_most, limit_memory, report
from tests.unit.test_calendar_fuzz import broken
from tests.unit.test_calendar_hostile import HOSTILE

YEAR = (dt.date(2026, 1, 1), dt.date(2027, 1, 1))


def main() -> None:
    limit_memory()
    chance, rounds = random.Random(int(sys.argv[1])), int(sys.argv[2])
    seeds = [case.octets() for case in cases_of(".ics")] + [everything()]
    faults: list[str] = []
    slowest, read, refused = 0.0, 0, 0

    def one(octets: bytes, name: str) -> None:
        nonlocal slowest, read, refused
        begun = time.process_time()
        try:
            with at_most():
                found = read_calendar(octets, home_zone="Europe/Berlin", window=YEAR, source_name="fuzz")
                calendar_answer(found)
        except InvalidError:
            refused += 1
        except (Exception, HangError) as error:  # noqa: BLE001  any fault is what is looked for
            faults.append(f"{name}: {error!r} {b64encode(octets[:300]).decode()}")
        else:
            read += 1
            if odd := [notice.text for notice in found.notices if "could not be read (" in notice.text]:
                faults.append(f"{name}: {odd} {b64encode(octets[:300]).decode()}")
        slowest = max(slowest, time.process_time() - begun)

    for number in range(rounds):
        one(broken(chance.choice(seeds), chance), f"round {number}")
    for name, make in HOSTILE.items():
        one(make(), name)
    report(read=read, refused=refused, slowest=slowest, faults=faults[:5])


if __name__ == "__main__":
    main()

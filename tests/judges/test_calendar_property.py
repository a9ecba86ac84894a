"""Any class calendar that is written is read the same by us and by each judge: seeded, over odd zones and all dates.

JUDGED_SEED gives another row of classes.
"""

from __future__ import annotations

import datetime as dt
import os
import random
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduling.calendar import CalendarEvent, public_calendar
from scheduling.calendar.texts import clean_line
from scheduling.clock import WallTime
from tests.judges.readers import JUDGES, Seen, read_by_ourselves, utc
from tests.judges.test_calendar_judges import ask
from tests.judges.test_calendar_judges import server as server
from tests.property.test_calendar_round_trip import change_days
from tests.support.calendars import calendar_file, event

pytestmark = pytest.mark.all

SEED = int(os.environ.get("JUDGED_SEED", "20270206"))
FILES, A_FILE = 24, 60
ZONES = ("Africa/Casablanca", "Australia/Lord_Howe", "Asia/Kolkata", "America/New_York")
FIRST, DAYS = dt.date(2020, 1, 1), 25 * 365
EDGES = [dt.date(year, month, day) for year in (2024, 2027, 2028, 2099) for month, day in ((1, 1), (2, 28), (12, 31))]
EDGES += [dt.date(2024, 2, 29), dt.date(2028, 2, 29)]
WORDS = (
    "Reed, bast; rush", "C:\\new\\nave", 'the "small" room: left', "竹かご 🧺", "Štítky – “x”", "a" * 90, "ÄÖÜ" * 30,
    "x\\\\; y\\,", "1+1=2 & <b>", "ligne d’eau",
)  # fmt: skip


def moment(chance: random.Random, zone: str) -> WallTime:
    """A wall time; most lie on the days about a change of the clocks, many of these by night."""
    near = change_days(zone)
    if near and chance.random() < 0.6:
        day = chance.choice(near) + dt.timedelta(days=chance.randint(-1, 2))
    elif chance.random() < 0.2:
        day = chance.choice([edge for edge in EDGES if edge.year < 2045])
    else:
        day = FIRST + dt.timedelta(days=chance.randrange(DAYS))
    minutes = chance.choice((chance.randrange(4 * 60), chance.randrange(24 * 60)))
    return WallTime(dt.datetime.combine(day, dt.time()) + dt.timedelta(minutes=minutes), zone, chance.randint(0, 1))


def a_class(uid: str, chance: random.Random, zone: str) -> CalendarEvent:
    starts = moment(chance, zone)
    until = (starts.utc + dt.timedelta(minutes=chance.choice((30, 150, 24 * 60, 3000)))).astimezone(ZoneInfo(zone))
    return event(
        uid,
        title=" ".join(chance.sample(WORDS, chance.randint(1, 3))),
        location=chance.choice(("", *WORDS)),
        starts=starts,
        ends=WallTime(until.replace(tzinfo=None, fold=0), zone, until.fold),
        status=chance.choice(("TENTATIVE", "CONFIRMED", "CANCELLED")),
    )


@pytest.fixture(scope="module")
def calendars() -> list[list[CalendarEvent]]:
    """One file in four is of several zones, the others of one each."""
    chance = random.Random(SEED)
    return [
        [
            a_class(f"f{number}-{n}", chance, chance.choice(ZONES) if number % 4 == 0 else ZONES[number // 4 % 4])
            for n in range(A_FILE)
        ]
        for number in range(FILES)
    ]


def right(events: list[CalendarEvent]) -> Seen:
    found: Seen = {}
    for one in events:
        assert isinstance(one.starts, WallTime)
        assert isinstance(one.ends, WallTime)
        title, place = clean_line(one.title), clean_line(one.location)
        found[one.uid] = (utc(one.starts.utc), utc(one.ends.utc), title, place, one.status)
    return found


def written(events: list[CalendarEvent]) -> bytes:
    return public_calendar(calendar_file(), [one.published() for one in events])


@pytest.mark.parametrize("judge", JUDGES)
def test_every_judge_reads_what_was_written(judge: str, calendars: list[list[CalendarEvent]], tmp_path: Path) -> None:
    read: Callable[..., Seen] = JUDGES[judge]
    seen = read([written(events) for events in calendars], tmp_path)
    wanted = {uid: row for events in calendars for uid, row in right(events).items()}
    assert len(wanted) == len(seen) == FILES * A_FILE
    odd = {uid: (seen[uid], wanted[uid]) for uid in wanted if seen[uid] != wanted[uid]}
    assert odd == {}


def test_a_caldav_server_gives_back_what_was_written_and_finds_each_by_its_time(
    server: str, calendars: list[list[CalendarEvent]], tmp_path: Path
) -> None:
    for number in (0, 4, 9, 14):
        events, path = calendars[number], f"/teacher/judged-{number}/"
        kind = "text/calendar; charset=utf-8"
        assert ask(server, "PUT", path, written(events), Content_Type=kind)[0] == 201
        status, octets = ask(server, "GET", path)
        assert status == 200
        assert read_by_ourselves([octets], tmp_path) == right(events)
        for one in random.Random(SEED).sample(events, 8):
            assert isinstance(one.starts, WallTime)
            first, until = (f"{at:%Y%m%dT%H%M%SZ}" for at in (one.starts.utc, one.starts.utc + dt.timedelta(minutes=1)))
            query = (
                '<?xml version="1.0"?><C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><D:prop>'
                '<C:calendar-data/></D:prop><C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="VEVENT">'
                f'<C:time-range start="{first}" end="{until}"/></C:comp-filter></C:comp-filter></C:filter>'
                "</C:calendar-query>"
            )
            status, answer = ask(server, "REPORT", path, query.encode(), Depth="1", Content_Type="text/xml")
            assert status == 207
            assert f"UID:{one.uid}\r\n".encode() in answer.replace(b"&#13;", b"\r").replace(b"\r\r", b"\r") or (
                f"UID:{one.uid}\n".encode() in answer.replace(b"\r", b"")
            ), one

"""Calendars of ours before independent judges: two libraries in other languages, one in ours, and a CalDAV server."""

from __future__ import annotations

import datetime as dt
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from scheduling.calendar import CalendarEvent, private_calendar, public_calendar
from scheduling.clock import WallTime
from tests.judges.readers import forget_zones, libical, miss, read_by_ical_js, vobject
from tests.support.calendars import calendar_file, event, everything

pytestmark = pytest.mark.all

ZONES = (
    "Africa/Casablanca",
    "Australia/Lord_Howe",
    "Asia/Kolkata",
    "America/New_York",
    "Europe/London",
    "America/Santiago",
)
DAYS = ("2027-02-28", "2027-03-14", "2027-03-28", "2027-04-04", "2027-09-05", "2027-10-03", "2027-10-31", "2027-11-07")


def classes() -> list[CalendarEvent]:
    """Classes at noon and by night, in each zone, on the days on which some clocks change."""
    found = []
    for zone in ZONES:
        for day in DAYS:
            for hour in (0, 4, 12, 23):
                local = dt.datetime.fromisoformat(f"{day}T{hour:02d}:15")
                ends = WallTime(local + dt.timedelta(hours=6), zone)
                found.append(
                    event(f"{zone}-{day}-{hour}", starts=WallTime(local, zone), ends=ends, title=f"{zone} 🧶, {day}")
                )
    return found


def right_starts(events: list[CalendarEvent]) -> list[str]:
    return sorted(one.starts.utc.strftime("%Y-%m-%dT%H:%M:%SZ") for one in events if isinstance(one.starts, WallTime))


EXPORTS: dict[str, Callable[[], bytes]] = {
    "everything": everything,
    "zones": lambda: public_calendar(calendar_file(), [one.published() for one in classes()]),
    "empty": lambda: public_calendar(calendar_file(), []),
    "one class": lambda: private_calendar(calendar_file(uid="", name=""), [event()]),
}


@pytest.mark.parametrize("name", EXPORTS)
def test_vobject_finds_nothing_wrong(name: str) -> None:
    for component in vobject().readComponents(EXPORTS[name]().decode("utf-8")):
        assert component.validate(raiseException=True)
        assert component.serialize()


def test_vobject_reads_the_same_starts() -> None:
    forget_zones()
    read = vobject().readOne(EXPORTS["zones"]().decode("utf-8"))
    starts = [one.dtstart.value.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ") for one in read.vevent_list]
    assert sorted(starts) == right_starts(classes())


@pytest.mark.parametrize("name", EXPORTS)
def test_libical_finds_nothing_wrong(name: str) -> None:
    library = libical()
    component = library.icalparser_parse_string(EXPORTS[name]())
    assert component
    # The check writes what it finds into the component, so the errors are counted after it.
    keeps_rules = library.icalrestriction_check(component)
    assert library.icalcomponent_count_errors(component) == 0
    assert keeps_rules
    library.icalcomponent_free(component)


def test_ical_js_reads_the_same_starts(tmp_path: Path) -> None:
    read = read_by_ical_js([EXPORTS["zones"]()], tmp_path)
    assert sorted(start for start, *_ in read.values()) == right_starts(classes())


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a CalDAV server of this test's own, with an empty store."""
    if find_spec("radicale") is None:
        miss("Radicale", fails_in_ci=True)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    store = tmp_path_factory.mktemp("caldav")
    command = [
        sys.executable, "-m", "radicale", "--config", "", "--server-hosts", f"127.0.0.1:{port}", "--auth-type", "none",
        "--rights-type", "authenticated", "--storage-filesystem-folder", str(store),
    ]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        address = f"http://127.0.0.1:{port}"
        try:
            for _ in range(150):
                try:
                    ask(address, "GET", "/.web/")
                    break
                except urllib.error.URLError:
                    time.sleep(0.1)
            yield address
        finally:
            process.terminate()
            process.wait(10)


def ask(address: str, method: str, path: str, body: bytes | None = None, **headers: str) -> tuple[int, bytes]:
    request = urllib.request.Request(address + path, body, method=method)
    request.add_header("Authorization", "Basic dGVhY2hlcjp4")
    for name, value in headers.items():
        request.add_header(name.replace("_", "-"), value)
    try:
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.read()


@pytest.mark.parametrize("name", ["everything", "zones", "one class"])
def test_a_caldav_server_takes_the_whole_calendar(server: str, name: str) -> None:
    path = f"/teacher/{name.replace(' ', '-')}/"
    assert ask(server, "PUT", path, EXPORTS[name](), Content_Type="text/calendar; charset=utf-8")[0] == 201
    status, octets = ask(server, "GET", path)
    assert status == 200
    assert octets.count(b"BEGIN:VEVENT") == EXPORTS[name]().count(b"BEGIN:VEVENT")


def test_a_caldav_server_takes_one_class_as_an_item_and_finds_it_by_its_time(server: str) -> None:
    assert ask(server, "MKCALENDAR", "/teacher/items/")[0] == 201
    one = private_calendar(calendar_file(uid="", name=""), [event()])
    assert ask(server, "PUT", "/teacher/items/c10-s1.ics", one, Content_Type="text/calendar; charset=utf-8")[0] == 201
    for first, until, count in (
        ("20270314T170000Z", "20270314T220000Z", 1),
        ("20270314T120000Z", "20270314T170000Z", 0),
        ("20270314T220000Z", "20270315T000000Z", 0),
    ):
        query = (
            '<?xml version="1.0"?><C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><D:prop>'
            '<D:getetag/></D:prop><C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="VEVENT">'
            f'<C:time-range start="{first}" end="{until}"/></C:comp-filter></C:comp-filter></C:filter>'
            "</C:calendar-query>"
        )
        status, answer = ask(server, "REPORT", "/teacher/items/", query.encode(), Depth="1", Content_Type="text/xml")
        assert status == 207
        assert answer.count(b"c10-s1.ics") == count

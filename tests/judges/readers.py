"""Calendar files as other programs read them: each gives (start, end, title, place, status) by UID, times in UTC."""

from __future__ import annotations

import ctypes
import ctypes.util
import datetime as dt
import json
import os
import shutil
import subprocess
from collections.abc import Callable, Sequence
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

import pytest

from scheduling.calendar import read_calendar

ROOT: Final = Path(__file__).resolve().parents[2]
Seen = dict[str, tuple[str, str, str, str, str]]
_EVENT: Final = 4  # ICAL_VEVENT_COMPONENT
_LONG_AGO, _FAR_AHEAD = dt.date(2000, 1, 1), dt.date(2060, 1, 1)


def miss(what: str, *, fails_in_ci: bool) -> None:
    """Skip without a judge, with its name; in CI those that install with the package must be there."""
    if fails_in_ci and os.environ.get("CI"):
        pytest.fail(f"{what} is missing in CI")
    pytest.skip(f"{what} is not installed")


def utc(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def vobject() -> Any:
    if find_spec("vobject") is None:
        miss("vobject", fails_in_ci=True)
    return import_module("vobject")


def forget_zones() -> None:
    """vobject takes the first definition of a zone that it meets for every later file of the same process."""
    zones = vars(vobject().icalendar)["__tzidMap"]
    for name in [name for name in zones if name != "UTC"]:
        del zones[name]


def libical() -> ctypes.CDLL:
    path = os.environ.get("LIBICAL") or ctypes.util.find_library("ical")
    if path is None:
        miss("libical (Debian package libical3)", fails_in_ci=False)
    library = ctypes.CDLL(path)
    library.icalparser_parse_string.restype = ctypes.c_void_p
    library.icalparser_parse_string.argtypes = [ctypes.c_char_p]
    for name in ("icalrestriction_check", "icalcomponent_count_errors", "icalcomponent_free"):
        getattr(library, name).argtypes = [ctypes.c_void_p]
    for name in ("icalcomponent_get_first_component", "icalcomponent_get_next_component"):
        getattr(library, name).argtypes, getattr(library, name).restype = (
            [ctypes.c_void_p, ctypes.c_int],
            ctypes.c_void_p,
        )
    for name in ("icalcomponent_get_uid", "icalcomponent_get_summary", "icalcomponent_get_location"):
        getattr(library, name).argtypes, getattr(library, name).restype = [ctypes.c_void_p], ctypes.c_char_p
    for name in ("icalcomponent_get_dtstart", "icalcomponent_get_dtend"):
        getattr(library, name).argtypes, getattr(library, name).restype = [ctypes.c_void_p], _Time
    library.icalcomponent_get_status.argtypes = [ctypes.c_void_p]
    library.icaltime_as_timet_with_zone.argtypes = [_Time, ctypes.c_void_p]
    library.icaltime_as_timet_with_zone.restype = ctypes.c_long
    return library


class _Time(ctypes.Structure):
    """struct icaltimetype of libical 3."""

    _fields_ = [
        *((name, ctypes.c_int) for name in ("year", "month", "day", "hour", "minute", "second", "is_date", "is_dst")),
        ("zone", ctypes.c_void_p),
    ]


def node_with_ical_js() -> tuple[str, dict[str, str]]:
    """The program and its environment."""
    node = shutil.which("node")
    if node is None:
        miss("node", fails_in_ci=False)
    assert node
    modules = os.pathsep.join(filter(None, (str(ROOT / ".judges" / "node_modules"), os.environ.get("NODE_PATH"))))
    environment = {**os.environ, "NODE_PATH": modules}
    probe = [node, "-e", "require('ical.js')"]
    if subprocess.run(probe, env=environment, capture_output=True, timeout=60).returncode:
        miss("ical.js (npm, in .judges)", fails_in_ci=False)
    return node, environment


def read_by_ourselves(files: Sequence[bytes], folder: Path) -> Seen:
    found: Seen = {}
    for octets in files:
        read = read_calendar(octets, home_zone="Asia/Tokyo", window=(_LONG_AGO, _FAR_AHEAD), source_name="own")
        assert read.notices == ()
        for one in read.occurrences:
            assert isinstance(one.start, dt.datetime)
            assert isinstance(one.end, dt.datetime)
            found[one.uid] = (utc(one.start), utc(one.end), one.title, one.place, one.status)
    return found


def read_by_vobject(files: Sequence[bytes], folder: Path) -> Seen:
    found: Seen = {}
    for octets in files:
        forget_zones()
        for one in vobject().readOne(octets.decode("utf-8")).vevent_list:
            place = one.location.value if "location" in one.contents else ""
            found[one.uid.value] = (
                utc(one.dtstart.value), utc(one.dtend.value), one.summary.value, place, one.status.value,
            )  # fmt: skip
    return found


def read_by_libical(files: Sequence[bytes], folder: Path) -> Seen:
    library, found = libical(), Seen()
    statuses = {
        name: library.icalproperty_string_to_status(name.encode()) for name in ("TENTATIVE", "CONFIRMED", "CANCELLED")
    }
    names = {number: name for name, number in statuses.items()}
    for octets in files:
        root = library.icalparser_parse_string(octets)
        part = library.icalcomponent_get_first_component(root, _EVENT)
        while part:
            start, end = library.icalcomponent_get_dtstart(part), library.icalcomponent_get_dtend(part)
            seconds = [library.icaltime_as_timet_with_zone(time, time.zone) for time in (start, end)]
            times = [utc(dt.datetime.fromtimestamp(one, dt.UTC)) for one in seconds]
            texts = [
                (getattr(library, f"icalcomponent_get_{name}")(part) or b"").decode()
                for name in ("uid", "summary", "location")
            ]
            status = names[library.icalcomponent_get_status(part)]
            found[texts[0]] = (times[0], times[1], texts[1], texts[2], status)
            part = library.icalcomponent_get_next_component(root, _EVENT)
        library.icalcomponent_free(root)
    return found


def read_by_ical_js(files: Sequence[bytes], folder: Path) -> Seen:
    node, environment = node_with_ical_js()
    paths = []
    for number, octets in enumerate(files):
        paths.append(str(folder / f"{number}.ics"))
        Path(paths[-1]).write_bytes(octets)
    command = [node, str(Path(__file__).parent / "entries.cjs"), *paths]
    run = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=300)
    assert run.returncode == 0, run.stderr
    return {uid: (start, end, title, place, status) for uid, start, end, title, place, status in json.loads(run.stdout)}


JUDGES: Final[dict[str, Callable[[Sequence[bytes], Path], Seen]]] = {
    "ourselves": read_by_ourselves,
    "vobject": read_by_vobject,
    "libical": read_by_libical,
    "ical.js": read_by_ical_js,
}

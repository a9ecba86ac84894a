"""Further files of the kinds of the cases, invented for this test: none of them is a case.

tests/data/calendar-kinds.toml holds them, one [[file]] each: `kind` of which case; `body` the lines between the head
and the end of a calendar, or `whole` a file; and what it means: `spans` "start/end" of each occurrence in UTC or as
days, with " free" behind one that takes no time; `titles`, `places`, `alarms` of the occurrences, `categories` of the
first; `notices` words that stand in one notice each; `todos`; `name` of the calendar; `asked` zone names that nothing
explains; `zone`, `window` where they are not the usual ones.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import pytest

from scheduling.calendar import CalendarRead, read_calendar
from scheduling.calendar.rules import rule_in
from scheduling.errors import InvalidError
from tests.unit.test_importing_busy import FAIR, TRIP, Importer, calendar, event, whats

FILES: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "calendar-kinds.toml").read_text("utf-8")
)["file"]
YEAR = ("2026-01-01", "2027-01-01")
PLAIN = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:e1\r\nDTSTAMP:20260101T000000Z\r\n"
    "SUMMARY:@\r\nDTSTART;TZID=Europe/Athens:20260612T183000\r\nDTEND;TZID=Europe/Athens:20260612T200000\r\n"
    "END:VEVENT\r\nEND:VCALENDAR\r\n"
)
SPAN = "2026-06-12T15:30:00Z/2026-06-12T17:00:00Z"


def titled(title: str | bytes) -> bytes:
    """A calendar of one entry with that title."""
    return PLAIN.encode().replace(b"@", title if isinstance(title, bytes) else title.encode())


#: Octets that cannot stand in a text file as they are: what they mean is one entry at SPAN, of this title.
OCTETS: dict[str, tuple[bytes, str]] = {
    "attach-binary": (titled("A\r\nATTACH;ENCODING=BASE64;VALUE=BINARY:" + "QUJD" * 30_000), "A"),
    "blank-lines": (titled("A").replace(b"\r\n", b"  \r\n\r\n\t\r\n"), "A"),
    "bom-utf8": (b"\xef\xbb\xbf" + titled("Färben"), "Färben"),
    "bom-utf8, in UTF-16": (titled("Łódź").decode().encode("utf-16"), "Łódź"),
    "bom-utf8, in UTF-16 the other way": (b"\xfe\xff" + titled("Łódź").decode().encode("utf-16-be"), "Łódź"),
    "cr-only": (titled("Up to\r\n  you").replace(b"\r\n", b"\r"), "Up to you"),
    "lf-only": (titled("Up to\r\n  you").replace(b"\r\n", b"\n"), "Up to you"),
    "lf-only, in part": (titled("A").replace(b"\r\n", b"\n", 3), "A"),
    "fold-emoji-cjk": (titled("竹\r\n かごを編む 🧺\r\n 👩🏽\u200d\r\n 🎨 会"), "竹かごを編む 🧺👩🏽\u200d🎨 会"),
    "fold-mid-utf8": (titled("Bast\u0119".encode() + b"\xf0\r\n \x9f\xa7\r\n \xb5rd"), "Bastę🧵rd"),
    "fold-mid-utf8, by a tab": (titled(b"K\xc3\n\t\xa4l"), "Käl"),
    "fold-with-tab": (titled("Rush\r\n\t and\r\n \treed"), "Rush and reed"),
    "fold-with-tab, in names": (titled("A").replace(b"Athens:2026", b"Ath\r\n\tens:20\r\n 26"), "A"),
    "fold-inside-escape": (titled("Reed\\\r\n , bast\\\r\n \\\r\n n and rush"), "Reed, bast\\n and rush"),
    "latin1-bytes": (titled("Fête à Zoë").decode().encode("cp1252"), "Fête à Zoë"),
    "latin1-bytes, quotes": (titled("“Atelier” – 12 €").decode().encode("cp1252"), "“Atelier” – 12 €"),
    "nul-byte": (titled("Re\x00ed\x07 and\x1b[31m bast"), "Reed and[31m bast"),
    "terminal-escape-in-summary": (titled("[/] [b]x[/b] \u202eevil\u2066 \x9b31m"), "[/] [b]x[/b] evil 31m"),
}


def text(moment: dt.datetime | dt.date | None) -> str:
    if isinstance(moment, dt.datetime):
        return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return str(moment)


def read(octets: bytes, zone: str = "Europe/Berlin", window: tuple[str, str] | list[str] = YEAR) -> CalendarRead:
    first, until = map(dt.date.fromisoformat, window)
    return read_calendar(octets, home_zone=zone, window=(first, until), source_name="kind.ics")


def spans(found: CalendarRead) -> list[str]:
    return [f"{text(one.start)}/{text(one.end)}{'' if one.is_busy else ' free'}" for one in found.occurrences]


def octets_of(file: dict[str, Any]) -> bytes:
    if "whole" in file:
        return str(file["whole"]).replace("\n", "\r\n").encode()
    return f"BEGIN:VCALENDAR\nVERSION:2.0\n{file['body']}END:VCALENDAR\n".replace("\n", "\r\n").encode()


@pytest.mark.parametrize("file", FILES, ids=lambda file: file["kind"])
def test_a_file_of_the_kind_means_what_it_says(file: dict[str, Any]) -> None:
    found = read(octets_of(file), file.get("zone", "Europe/Berlin"), file.get("window", YEAR))
    assert spans(found) == file["spans"]
    assert found.is_whole == file.get("is_whole", True)
    todos = [f"{one.title} {text(one.due)} {'open' if one.is_open else 'done'}" for one in found.todos]
    seen = {
        "titles": [one.title for one in found.occurrences],
        "places": [one.place for one in found.occurrences],
        "alarms": [text(ring) for one in found.occurrences for ring in one.alarms],
        "categories": [word for one in found.occurrences[:1] for word in one.categories],
        "name": found.name,
    }
    assert {key: seen[key] for key in seen if key in file} == {key: file[key] for key in seen if key in file}
    assert todos == file.get("todos", [])
    assert list(found.zones_to_ask) == file.get("asked", [])
    if "notices" in file:
        notices = [notice.text for notice in found.notices]
        assert len(notices) == len(file["notices"]), notices
        assert all(any(words in notice for notice in notices) for words in file["notices"]), notices


@pytest.mark.parametrize("name", OCTETS)
def test_octets_of_the_kind_are_one_entry_of_its_title(name: str) -> None:
    octets, title = OCTETS[name]
    found = read(octets)
    assert [(*spans(found), one.title) for one in found.occurrences] == [(SPAN, title)]
    assert bool(found.notices) == any(kind in name for kind in ("latin1", "nul", "terminal", "UTF-16", "cr-only"))


@pytest.mark.parametrize("cut", [3, 20, 60, 150])
def test_a_file_cut_anywhere_keeps_what_is_whole_and_says_so(cut: int) -> None:
    second = titled("Second").replace(b"UID:e1", b"UID:e2").partition(b"PRODID:-//t//EN\r\n")[2]
    whole = titled("First").replace(b"END:VCALENDAR\r\n", b"") + second
    found = read(whole[:-cut])
    assert "First" in [one.title for one in found.occurrences]
    assert not found.is_whole
    assert any("The file ends early" in notice.text for notice in found.notices)


@pytest.mark.parametrize(
    ("octets", "said"),
    [
        (b"\xef\xbb\xbf\n\n<HTML><HEAD><TITLE>Sign in", "web page"),
        (b"<!DOCTYPE html>\n<html>", "web page"),
        (b"<?xml version='1.0'?><d:error xmlns:d='DAV:'/>", "marked-up document"),
        (b'{"error": "not found"}', "data of another program"),
        (b"%PDF-1.7\n", "printed document"),
        (b"PK\x03\x04\x14\x00", "packed file"),
        (b"\x1f\x8b\x08\x00", "packed file"),
        (b"", "empty"),
        (b" \r\n\r\n", "empty"),
        (b"404 not found", "no line says BEGIN:VCALENDAR"),
        (b"BEGIN:VCARD\r\nVERSION:3.0\r\nFN:x\r\nEND:VCARD\r\n", "contact file"),
    ],
)
def test_what_is_no_calendar_is_refused_by_what_it_is(octets: bytes, said: str) -> None:
    with pytest.raises(InvalidError, match=said):
        read(octets)


# --- read a second time


@pytest.fixture
def importer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Importer:
    return Importer(tmp_path, capsys)


@pytest.mark.parametrize(
    "hurt",
    [
        event("trip", "20271301", "Trip", sequence=1),
        event("trip", "20270310", "Trip", sequence=1).replace("DTSTART", "DTSTRT"),
        event("trip", "20270310", "Trip", sequence=1).replace(";VALUE=DATE:2027", ";VALUE=DATE:0027"),
        event("trip", "20270310", "Trip", sequence=1).replace("20270310", "2027-03-10"),
    ],
)
def test_an_entry_that_cannot_be_read_any_more_is_not_gone(importer: Importer, hurt: str) -> None:
    importer.take(calendar(FAIR, TRIP))
    answer = importer.take(calendar(FAIR, hurt))
    assert whats(answer) == [("same", "Fair"), ("same", "Trip")]
    assert importer.kept() == [("2027-03-06", "Fair"), ("2027-03-10", "Trip")]
    assert whats(importer.take(calendar(FAIR))) == [("gone", "Trip"), ("same", "Fair")], "without it, it is gone"


@pytest.mark.parametrize("rule", ["FREQ=WEEKLY;COUNT=three", "FREQ=EVERYDAY;COUNT=3", "FREQ=WEEKLY;COUNT=3;BYDAY=XX"])
def test_the_dates_of_a_rule_that_cannot_be_read_any_more_are_not_gone(importer: Importer, rule: str) -> None:
    importer.take(calendar(FAIR, event("w", "20270301", "Choir", more="RRULE:FREQ=WEEKLY;COUNT=3\n")))
    importer.take(calendar(FAIR, event("w", "20270301", "Choir", sequence=1, more=f"RRULE:{rule}\n")))
    assert [day for day, _ in importer.kept()] == ["2027-03-01", "2027-03-06", "2027-03-08", "2027-03-15"]
    importer.take(calendar(FAIR, event("w", "20270301", "Choir", sequence=2, more="RRULE:FREQ=WEEKLY;COUNT=2\n")))
    assert [day for day, _ in importer.kept()] == ["2027-03-01", "2027-03-06", "2027-03-08"]


def test_a_called_off_entry_goes_even_where_something_in_it_cannot_be_read(importer: Importer) -> None:
    importer.take(calendar(FAIR, TRIP))
    importer.take(calendar(event("trip", "2027????", "Trip", sequence=1), method="CANCEL"))
    assert importer.kept() == [("2027-03-06", "Fair")]


@pytest.mark.parametrize("part", ["X-MADE-BY=1", "RSCALE=GREGORIAN", "SKIP=OMIT", "RSCALE=GREGORIAN;SKIP=OMIT"])
def test_parts_of_a_rule_that_change_nothing_are_passed_over(part: str) -> None:
    assert rule_in(f"FREQ=DAILY;COUNT=2;{part}") == rule_in("FREQ=DAILY;COUNT=2")


@pytest.mark.parametrize("part", ["SKIP=FORWARD", "RSCALE=CHINESE", "BYEASTER=0", "COUNT=3"])
def test_a_part_that_changes_the_days_and_is_not_known_is_refused(part: str) -> None:
    with pytest.raises(InvalidError):
        rule_in(f"FREQ=DAILY;COUNT=2;{part}")

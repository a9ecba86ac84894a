"""Each kind of broken calendar is caught by the check that stands before every export."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from scheduling.calendar import problems_in, public_calendar, require_strict
from scheduling.errors import SchedulingError
from tests.support.calendars import calendar_file, event, everything

Change = Callable[[bytes], bytes]


def swap(old: bytes, new: bytes) -> Change:
    def change(octets: bytes) -> bytes:
        assert old in octets, f"{old!r} is not in the calendar"
        return octets.replace(old, new, 1)

    return change


def add(line: bytes, after: bytes = b"BEGIN:VEVENT\r\n") -> Change:
    return swap(after, after + line + b"\r\n")


def drop(line: bytes) -> Change:
    return swap(line + b"\r\n", b"")


def without(name: bytes) -> Change:
    return lambda octets: re.sub(rb"\r\n" + name + rb"[:;][^\r]*(\r\n [^\r]*)*", b"", octets, count=1)


BROKEN: dict[str, tuple[Change, str]] = {
    "a byte order mark": (lambda octets: b"\xef\xbb\xbf" + octets, "byte order mark"),
    "LF alone": (lambda octets: octets.replace(b"\r\n", b"\n"), "CRLF"),
    "one lone CR": (swap(b"SUMMARY:Closed", b"SUMMARY:Clo\rsed"), "CRLF"),
    "no last line break": (lambda octets: octets[:-2], "no CRLF"),
    "a line of 200 octets": (swap(b"SUMMARY:Closed", b"SUMMARY:" + b"x" * 192), "75 octets"),
    "a control character": (swap(b"SUMMARY:Closed", b"SUMMARY:Clo\x07sed"), "control character"),
    "a delete character": (swap(b"SUMMARY:Closed", b"SUMMARY:Clo\x7fsed"), "control character"),
    "a C1 control": (swap(b"SUMMARY:Closed", "SUMMARY:Clo\x9bsed".encode()), "U+009B"),
    "a direction override": (swap(b"SUMMARY:Closed", "SUMMARY:Clo\u202esed".encode()), "U+202E"),
    "a line separator": (swap(b"SUMMARY:Closed", "SUMMARY:Clo\u2028sed".encode()), "U+2028"),
    "Latin-1": (swap(b"SUMMARY:Closed", b"SUMMARY:Ferm\xe9"), "not UTF-8"),
    "a fold inside a character": (swap(b"SUMMARY:Closed", b"SUMMARY:Ferm\xc3\r\n \xa9"), "splits a character"),
    "a fold inside an escape": (swap(b"SUMMARY:Closed", b"SUMMARY:Now\\\r\n , closed"), "splits an escape"),
    "an empty line": (swap(b"SUMMARY:Closed\r\n", b"SUMMARY:Closed\r\n\r\n"), "is empty"),
    "a line without a colon": (add(b"THIS IS NO LINE"), "not a content line"),
    "an end that fits nothing": (swap(b"END:VEVENT", b"END:VTODO"), "closes nothing"),
    "a component left open": (lambda octets: octets.replace(b"END:VCALENDAR\r\n", b""), "not closed"),
    "two calendars": (lambda octets: octets + octets, "exactly one VCALENDAR"),
    "an event without UID": (
        lambda octets: re.sub(rb"(BEGIN:VEVENT\r\n)UID:[^\r]*\r\n", rb"\1", octets, count=1), "VEVENT has no UID"),
    "an event without DTSTAMP": (without(b"DTSTAMP"), "VEVENT has no DTSTAMP"),
    "no VERSION": (drop(b"VERSION:2.0"), "VCALENDAR has no VERSION"),
    "another VERSION": (swap(b"VERSION:2.0", b"VERSION:1.0"), "VERSION is '1.0'"),
    "no PRODID": (without(b"PRODID"), "VCALENDAR has no PRODID"),
    "SUMMARY twice": (add(b"SUMMARY:Again"), "SUMMARY stands twice"),
    "an unknown status": (swap(b"STATUS:CONFIRMED", b"STATUS:DONE"), "STATUS is 'DONE'"),
    "a to-do's status on an event": (swap(b"STATUS:CONFIRMED", b"STATUS:COMPLETED"), "STATUS is 'COMPLETED'"),
    "an event's status on a to-do": (swap(b"STATUS:IN-PROCESS", b"STATUS:CONFIRMED"), "STATUS is 'CONFIRMED'"),
    "a bare comma in NAME": (swap(b"NAME:Book & Lantern Room\\,", b"NAME:Book & Lantern Room,"), "NAME has a comma"),
    "a bare semicolon in SUMMARY": (swap(b"SUMMARY:Closed", b"SUMMARY:Clo;sed"), "SUMMARY has a comma"),
    "a stray backslash": (swap(b"SUMMARY:Closed", b"SUMMARY:Clo\\sed"), "SUMMARY has a comma"),
    "REFRESH-INTERVAL without VALUE": (swap(b"REFRESH-INTERVAL;VALUE=DURATION", b"REFRESH-INTERVAL"), "VALUE=DURATION"),
    "SOURCE without VALUE": (swap(b"SOURCE;VALUE=URI", b"SOURCE"), "VALUE=URI"),
    "names that differ": (swap(b"X-WR-CALNAME:Book", b"X-WR-CALNAME:Look"), "NAME and X-WR-CALNAME differ"),
    "an alarm without TRIGGER": (without(b"TRIGGER"), "VALARM has no TRIGGER"),
    "an alarm without DESCRIPTION": (drop(b"DESCRIPTION:Class tomorrow"), "VALARM has no DESCRIPTION"),
    "an absolute trigger in local time": (
        swap(b"TRIGGER;VALUE=DATE-TIME:20270120T163000Z", b"TRIGGER;VALUE=DATE-TIME:20270120T163000"),
        "TRIGGER is not a time in UTC",
    ),
    "an alarm that repeats without a gap": (add(b"REPEAT:2", b"BEGIN:VALARM\r\n"), "REPEAT and DURATION"),
    "an alarm before a start that is not there": (
        swap(b"TRIGGER;RELATED=END:-PT15H", b"TRIGGER:-PT15H"), "DTSTART that is not there"),
    "an end before its start": (
        swap(b"DTEND;TZID=America/New_York:20270314T180000", b"DTEND;TZID=America/New_York:20270314T120000"),
        "DTEND is not after DTSTART",
    ),
    "an end in another zone before its start": (
        swap(b"DTEND:20270210T120000Z", b"DTEND:20270210T090000Z"), "DTEND is not after DTSTART"),
    "a day that starts and a time that ends": (
        swap(b"DTEND;VALUE=DATE:20270330", b"DTEND:20270330T000000Z"), "another kind than DTSTART"),
    "a floating end": (
        swap(b"DTEND;TZID=America/New_York:20270314T180000", b"DTEND:20270314T180000"), "another kind than DTSTART"),
    "an exclusion of another kind": (add(b"EXDATE;VALUE=DATE:20270314"), "EXDATE is of another kind"),
    "a month 13": (swap(b"DTSTART;VALUE=DATE:20270326", b"DTSTART;VALUE=DATE:20271326"), "not a date or time"),
    "29 February of a common year": (
        swap(b"DTSTART;VALUE=DATE:20270326", b"DTSTART;VALUE=DATE:20270229"), "not a date or time"),
    "a date without VALUE=DATE": (swap(b"DUE;VALUE=DATE:20270301", b"DUE:20270301"), "not of the kind"),
    "a zone beside Z": (
        swap(b"DTEND:20270210T120000Z", b"DTEND;TZID=Africa/Casablanca:20270210T120000Z"), "needs none"),
    "DTEND and DURATION": (add(b"DURATION:PT1H"), "stand together"),
    "DTSTAMP in local time": (swap(b"DTSTAMP:20270120T163000Z", b"DTSTAMP:20270120T163000"), "not a time in UTC"),
    "COUNT and UNTIL": (add(b"RRULE:FREQ=DAILY;COUNT=2;UNTIL=20270401T000000Z"), "COUNT and UNTIL"),
    "UNTIL of another kind": (add(b"RRULE:FREQ=DAILY;UNTIL=20270401T000000"), "UNTIL is of another kind"),
    "a weekday that is none": (add(b"RRULE:FREQ=WEEKLY;BYDAY=XX"), "the part BYDAY=XX"),
    "a rule without FREQ": (add(b"RRULE:COUNT=2"), "has no FREQ"),
    "a METHOD": (add(b"METHOD:PUBLISH", b"VERSION:2.0\r\n"), "METHOD may not stand in VCALENDAR"),
    "an unknown property": (add(b"FLAVOUR:mint"), "FLAVOUR may not stand in VEVENT"),
    "an unknown component": (
        swap(b"BEGIN:VEVENT", b"BEGIN:VJOURNAL\r\nEND:VJOURNAL\r\nBEGIN:VEVENT"), "VJOURNAL may not stand here"),
    "a component in the wrong place": (
        swap(b"BEGIN:VALARM", b"BEGIN:VEVENT\r\nEND:VEVENT\r\nBEGIN:VALARM"), "VEVENT may not stand here"),
    "one UID twice": (swap(b"UID:x1", b"UID:c11"), "stands in two entries"),
    "a place off the Earth": (swap(b"GEO:42.500000;", b"GEO:142.500000;"), "not a place on Earth"),
    "a place with a comma": (swap(b"GEO:42.500000;", b"GEO:42.500000,"), "not a place on Earth"),
    "a colour of no name": (swap(b"COLOR:navy", b"COLOR:#000080"), "not a colour name"),
    "more than all done": (swap(b"PERCENT-COMPLETE:40", b"PERCENT-COMPLETE:140"), "whole number from 0 to 100"),
    "done but open": (swap(b"STATUS:COMPLETED", b"STATUS:NEEDS-ACTION"), "to-do that is not done"),
    "a link with a space": (swap(b"URL:https://example.org/c10", b"URL:https://example.org/c 10"), "not a URI"),
    "a zone that is not defined": (
        swap(b"DTSTART;TZID=Africa/Casablanca", b"DTSTART;TZID=Africa/Tunis"), "not defined before it is used"),
    "a zone that is not used": (
        swap(b"DTSTART;TZID=Africa/Casablanca:", b"DTSTART;TZID=America/New_York:"), "defined and not used"),
    "a zone of no IANA name": (swap(b"TZID:Africa/Casablanca", b"TZID:Africa/Nowhere"), "no IANA name"),
    "a spring onset an hour late": (
        swap(b"DTSTART:20260308T020000", b"DTSTART:20260308T030000"), "changes its clocks at another time"),
    "an onset on another Sunday": (swap(b"BYMONTH=3;BYDAY=2SU", b"BYMONTH=3;BYDAY=3SU"), "clocks at another time"),
    "a zone without its summer": (
        lambda octets: re.sub(rb"BEGIN:DAYLIGHT.*?20260308.*?END:DAYLIGHT\r\n", b"", octets, flags=re.DOTALL),
        "clocks at another time",
    ),
    "a change of the clocks that is missing": (
        lambda octets: re.sub(rb"BEGIN:STANDARD\r\nDTSTART:20270207.*?END:STANDARD\r\n", b"", octets, flags=re.DOTALL),
        "Africa/Casablanca is wrong on",
    ),
    "a zone that begins too late": (
        lambda octets: re.sub(rb"(New_York\r\n)BEGIN:STANDARD.*?END:STANDARD\r\n", rb"\1", octets, flags=re.DOTALL)
        .replace(b"DTSTART:20260308", b"DTSTART:20270314").replace(b"DTSTART:20261101", b"DTSTART:20271107"),
        "America/New_York begins after its first use",
    ),
    "a zone half an hour off": (swap(b"TZOFFSETTO:-0500", b"TZOFFSETTO:-0530"), "begins with another offset"),
    "a time that no clock shows": (
        swap(b"DTSTART;TZID=America/New_York:20270314T130000", b"DTSTART;TZID=America/New_York:20270314T023000"),
        "jump over",
    ),
    "changed before it was made": (swap(b"CREATED:2027", b"CREATED:2028"), "changed before it was made"),
    "nothing at all": (
        lambda octets: b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nEND:VCALENDAR\r\n", "holds nothing"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_calendar_is_caught(name: str) -> None:
    change, words = BROKEN[name]
    whole = everything()
    broken = change(whole)
    assert broken != whole
    assert [problem for problem in problems_in(broken, public=False) if words in problem.text]


@pytest.mark.parametrize(
    "line",
    [
        b"ATTENDEE:mailto:ada@example.org",
        b"ORGANIZER:mailto:ada@example.org",
        b"CONFERENCE;VALUE=URI:https://meet.example.org/k3",
        b"COMMENT:paid in cash",
        b"CLASS:PRIVATE",
        b"BEGIN:VALARM\r\nACTION:DISPLAY\r\nTRIGGER:-P1D\r\nDESCRIPTION:Soon\r\nEND:VALARM",
    ],
)
def test_what_is_private_is_caught_in_a_public_calendar(line: bytes) -> None:
    octets = public_calendar(calendar_file(), [event().published()])
    assert problems_in(octets, public=True) == []
    assert problems_in(add(line, b"TRANSP:OPAQUE\r\n")(octets), public=True)


def test_a_to_do_is_caught_in_a_public_calendar() -> None:
    assert [p for p in problems_in(everything(), public=True) if "VTODO may not stand in the public" in p.text]


def test_the_refusal_names_the_line() -> None:
    broken = swap(b"STATUS:CONFIRMED", b"STATUS:DONE")(everything())
    number = broken.split(b"\r\n").index(b"STATUS:DONE") + 1
    with pytest.raises(SchedulingError, match=f"line {number} would be wrong"):
        require_strict(broken, public=False)


def test_lines_are_counted_as_they_stand_in_the_file() -> None:
    whole = everything()
    broken = swap(b"PERCENT-COMPLETE:40", b"PERCENT-COMPLETE:x")(whole)
    (problem,) = problems_in(broken, public=False)
    assert broken.split(b"\r\n")[problem.line - 1] == b"PERCENT-COMPLETE:x"

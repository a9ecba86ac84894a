"""What a written class calendar says, and what never gets into one."""

from __future__ import annotations

import dataclasses
import datetime as dt
import subprocess
import sys

import pytest

from scheduling.calendar import CalendarEvent, Conference, PublicEvent, private_calendar, problems_in, public_calendar
from scheduling.errors import InvalidError, SchedulingError
from tests.support.calendars import CHANGED, at, block, calendar_file, event, everything, lines_of, todo


def test_a_class_is_written_in_local_time_with_its_zone() -> None:
    lines = lines_of(public_calendar(calendar_file(), [event().published()]))
    assert "DTSTART;TZID=America/New_York:20270314T130000" in lines
    assert "DTEND;TZID=America/New_York:20270314T180000" in lines
    assert lines.count("BEGIN:VTIMEZONE") == 1


def test_every_kind_of_line_passes_the_strict_check() -> None:
    assert problems_in(everything(), public=False) == []


def test_the_same_entries_in_another_order_give_the_same_octets() -> None:
    events = [event(f"c{i}", starts=at(f"2027-04-0{i}T10:00"), ends=at(f"2027-04-0{i}T12:00")) for i in range(1, 8)]
    todos = [todo(f"t{i}") for i in range(5)]
    forward = private_calendar(calendar_file(), events, todos, [block()])
    assert forward == private_calendar(calendar_file(), events[::-1], todos[::-1], [block()])


def test_dtstamp_is_the_time_of_the_last_change() -> None:
    lines = lines_of(public_calendar(calendar_file(), [event().published()]))
    assert {"DTSTAMP:20270120T163000Z", "LAST-MODIFIED:20270120T163000Z", "CREATED:20270105T090000Z"} <= set(lines)


def test_a_cancelled_class_stays_in_the_file_and_takes_no_time() -> None:
    lines = lines_of(public_calendar(calendar_file(), [event(status="CANCELLED", sequence=3).published()]))
    assert {"STATUS:CANCELLED", "SEQUENCE:3", "TRANSP:TRANSPARENT"} <= set(lines)


def test_whole_days_end_on_the_first_free_day() -> None:
    closed = event(starts=dt.date(2028, 2, 28), ends=dt.date(2028, 3, 1))
    lines = lines_of(private_calendar(calendar_file(), [closed]))
    assert "DTSTART;VALUE=DATE:20280228" in lines
    assert "DTEND;VALUE=DATE:20280301" in lines


def test_a_time_that_the_clocks_jump_over_is_written_as_they_then_show_it() -> None:
    lines = lines_of(private_calendar(calendar_file(), [event(starts=at("2027-03-14T02:30"))]))
    assert "DTSTART;TZID=America/New_York:20270314T033000" in lines


def test_the_second_pass_of_a_repeated_hour_is_written_in_utc() -> None:
    twice = event(starts=at("2027-11-07T01:30", fold=1), ends=at("2027-11-07T03:00"))
    assert "DTSTART:20271107T063000Z" in lines_of(private_calendar(calendar_file(), [twice]))


def test_utc_times_need_no_zone_definition() -> None:
    online = event(starts=at("2027-03-14T13:00", "Etc/UTC"), ends=at("2027-03-14T14:00", "UTC"))
    lines = lines_of(private_calendar(calendar_file(), [online]))
    assert "DTSTART:20270314T130000Z" in lines
    assert "BEGIN:VTIMEZONE" not in lines


def test_an_empty_calendar_is_a_right_calendar() -> None:
    octets = public_calendar(calendar_file(), [])
    assert problems_in(octets, public=True) == []
    assert b"BEGIN:VEVENT" not in octets


def test_the_name_is_written_twice_and_escaped() -> None:
    lines = lines_of(public_calendar(calendar_file(name="Spring classes, 2026; all"), []))
    assert "NAME:Spring classes\\, 2026\\; all" in lines
    assert "X-WR-CALNAME:Spring classes\\, 2026\\; all" in lines


def test_a_source_is_asked_again_twice_a_day() -> None:
    lines = lines_of(public_calendar(calendar_file(source_url="https://example.org/c.ics"), []))
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT12H" in lines
    assert "SOURCE;VALUE=URI:https://example.org/c.ics" in lines


def test_a_title_cannot_add_lines() -> None:
    evil = "Felt\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:Free beer\rX-EVIL:1\u2028X-EVIL:2\x85X-EVIL:3"
    full = event(title=evil, location=evil, description=evil, contact=evil, categories=(evil,))
    octets = private_calendar(calendar_file(name=evil, description=evil), [full])
    lines = lines_of(octets)
    assert lines.count("BEGIN:VEVENT") == 1
    assert not [line for line in lines if line.startswith("X-EVIL")]
    assert octets.count(b"\r") == octets.count(b"\n") == octets.count(b"\r\n")


@pytest.mark.parametrize("field", ["url", "image_url"])
def test_an_address_cannot_add_lines(field: str) -> None:
    octets = private_calendar(calendar_file(), [event(**{field: "https://example.org/a b\r\nX-EVIL:1"})])
    assert b"\r\nX-EVIL" not in octets.replace(b"\r\n ", b"")


def test_the_guards_do_not_hang_on_assert() -> None:
    code = (
        "from tests.support.calendars import *\n"
        "octets = private_calendar(calendar_file(name='a\\rX-EVIL:1'), [event(title='a\\nX-EVIL:1')])\n"
        "raise SystemExit(0 if b'\\nX-EVIL' not in octets else 1)"
    )
    assert subprocess.run([sys.executable, "-O", "-c", code], timeout=60).returncode == 0


def test_controls_and_direction_overrides_are_left_out() -> None:
    lines = lines_of(private_calendar(calendar_file(), [event(title="Wax\x00 \x1b[2Jresist\x07 \u202eclass\u2066")]))
    assert "SUMMARY:Wax [2Jresist class" in lines


@pytest.mark.parametrize("text", ["x" * 200, "\\" * 90, "é" * 90, "🧶" * 50, "ab,;\n" * 40])
def test_long_text_is_folded_at_75_octets_between_characters_and_outside_escapes(text: str) -> None:
    for shift in range(4):
        octets = private_calendar(calendar_file(), [event(description="x" * shift + text)])
        assert problems_in(octets, public=False) == []
        for line in octets.split(b"\r\n"):
            assert len(line) <= 75
            line.decode("utf-8")


def test_a_joining_link_is_a_conference_of_the_private_file_only() -> None:
    live = event(conference=Conference("https://meet.example.org/k3", 'The "live" room: C10'))
    lines = lines_of(private_calendar(calendar_file(), [live]))
    assert "CONFERENCE;VALUE=URI;FEATURE=VIDEO;LABEL=\"The ^'live^' room: C10\":https://meet.example.org/k3" in lines
    assert b"meet.example.org" not in public_calendar(calendar_file(), [live.published()])


def test_the_public_kind_of_event_has_no_field_for_what_is_private() -> None:
    private = {field.name for field in dataclasses.fields(CalendarEvent)}
    public = {field.name for field in dataclasses.fields(PublicEvent)}
    assert private - public == {"conference", "private_note", "is_public", "alarms"}


def test_the_public_calendar_takes_public_events_only() -> None:
    with pytest.raises(InvalidError, match="Only public events"):
        public_calendar(calendar_file(), [event()])  # type: ignore[list-item]  # the wrong kind is the test


def test_a_private_party_is_not_published() -> None:
    with pytest.raises(InvalidError, match="is private"):
        event(is_public=False).published()


def test_a_public_uid_may_not_look_like_an_e_mail_address() -> None:
    with pytest.raises(InvalidError) as caught:
        public_calendar(calendar_file(), [event("ada@example.org").published()])
    assert caught.value.field == "uid"


def test_no_private_word_is_in_the_public_octets() -> None:
    full = event(private_note="Nora Ashlin, nuts", conference=Conference("https://meet.example.org/k3"))
    octets = public_calendar(calendar_file(), [full.published()])
    for word in (b"Nora", b"nuts", b"meet.", b"ATTENDEE", b"ORGANIZER", b"VALARM", b"VTODO", b"CONFERENCE"):
        assert word not in octets


def test_a_to_do_is_due_by_the_end_of_its_day() -> None:
    lines = lines_of(private_calendar(calendar_file(), [], [todo(related_uid="c10-s1", percent=40, priority=1)]))
    assert {"DUE;VALUE=DATE:20270301", "RELATED-TO:c10-s1", "PERCENT-COMPLETE:40", "PRIORITY:1"} <= set(lines)
    assert not [line for line in lines if line.startswith("DURATION")]


def test_a_done_to_do_says_when_in_utc() -> None:
    lines = lines_of(private_calendar(calendar_file(), [], [todo(status="COMPLETED", completed_at=CHANGED)]))
    assert {"STATUS:COMPLETED", "COMPLETED:20270120T163000Z"} <= set(lines)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"title": " \n\x00"}, "title"),
        ({"uid": ""}, "uid"),
        ({"uid": "a\nb"}, "uid"),
        ({"ends": at("2027-03-14T13:00")}, "ends"),
        ({"ends": dt.date(2027, 3, 15)}, "ends"),
        ({"modified_at": dt.datetime(2027, 1, 1)}, "modified_at"),  # noqa: DTZ001 - the missing zone is the test
        ({"url": "example.org"}, "url"),
        ({"url": "javascript:alert(1)"}, "url"),
        ({"image_url": "file:///etc/hosts"}, "image_url"),
    ],
)
def test_an_entry_that_cannot_be_written_names_its_field(wrong: dict[str, object], field: str) -> None:
    with pytest.raises(InvalidError) as caught:
        private_calendar(calendar_file(), [dataclasses.replace(event(), **wrong)])  # type: ignore[arg-type]  # wrong on purpose
    assert caught.value.field == field


@pytest.mark.parametrize(
    "wrong",
    [
        {"status": "DONE"},
        {"sequence": -1},
        {"color": "mauvish"},
        {"geo": (91.0, 0.0)},
        {"created_at": CHANGED + dt.timedelta(days=1)},
        {"uid": "u" * 300},
    ],
)
def test_a_file_that_fails_the_strict_check_is_not_handed_out(wrong: dict[str, object]) -> None:
    with pytest.raises(SchedulingError, match=r"not written: line \d+"):
        private_calendar(calendar_file(), [dataclasses.replace(event(), **wrong)])  # type: ignore[arg-type]  # wrong on purpose


def test_two_entries_with_one_uid_are_refused() -> None:
    with pytest.raises(SchedulingError, match="two entries"):
        private_calendar(calendar_file(), [event(), event()])


def test_writing_calendars_does_not_load_the_reading_library() -> None:
    code = "import sys, scheduling.calendar; raise SystemExit('icalendar' in sys.modules or 'dateutil' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], timeout=60).returncode == 0

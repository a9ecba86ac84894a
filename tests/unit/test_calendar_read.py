"""Calendars as others write them are read right, or said to be odd: more kinds than the cases have."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.calendar import CalendarRead, calendar_answer, read_calendar
from scheduling.calendar.again import read_again
from scheduling.errors import InvalidError

YEAR = (dt.date(2026, 1, 1), dt.date(2027, 1, 1))


def file_of(*lines: str, head: tuple[str, ...] = ()) -> bytes:
    """A calendar with these lines inside."""
    return "\r\n".join(
        ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//x//x//EN", *head, *lines, "END:VCALENDAR", ""]
    ).encode()


def event_of(*lines: str) -> tuple[str, ...]:
    return ("BEGIN:VEVENT", "UID:e1", "DTSTAMP:20260101T000000Z", "SUMMARY:Fair", *lines, "END:VEVENT")


def read(octets: bytes, *, home: str = "Europe/Berlin", window: tuple[dt.date, dt.date] = YEAR) -> CalendarRead:
    return read_calendar(octets, home_zone=home, window=window, source_name="fairs")


def starts(octets: bytes, *, home: str = "Europe/Berlin", window: tuple[dt.date, dt.date] = YEAR) -> list[str]:
    return [one["start"] for one in calendar_answer(read(octets, home=home, window=window))["occurrences"]]


def spans(octets: bytes) -> list[tuple[str, str]]:
    return [(one["start"], one["end"]) for one in calendar_answer(read(octets))["occurrences"]]


WEEKLY = ("DTSTART;TZID=Europe/Berlin:20260321T100000", "RRULE:FREQ=WEEKLY;COUNT=3")


@pytest.mark.parametrize(
    "line",
    [
        "EXDATE;TZID=Europe/Berlin:20260328T100000",
        "EXDATE:20260328T090000Z",
        "EXDATE:20260328T100000",
        "EXDATE;VALUE=DATE:20260328",
        "EXDATE;TZID=Europe/London:20260328T090000",
        "EXDATE:20260328T090000Z,20260328T090000Z,",
    ],
)
def test_an_exclusion_is_met_however_it_is_written(line: str) -> None:
    assert starts(file_of(*event_of(*WEEKLY, line))) == ["2026-03-21T09:00:00Z", "2026-04-04T08:00:00Z"]


def test_an_exclusion_of_another_time_of_day_excludes_nothing() -> None:
    assert len(starts(file_of(*event_of(*WEEKLY, "EXDATE:20260328T100000Z")))) == 3


@pytest.mark.parametrize(
    ("until", "count"),
    [
        ("20260404T080000Z", 3),
        ("20260404T075959Z", 2),
        ("20260404T100000", 3),
        ("20260404", 3),
        ("20260403", 2),
        ("99991231T000000Z", 41),
    ],
)
def test_until_is_met_in_the_zone_of_the_start(until: str, count: int) -> None:
    rule = f"RRULE:FREQ=WEEKLY;UNTIL={until}"
    assert len(starts(file_of(*event_of("DTSTART;TZID=Europe/Berlin:20260321T100000", rule)))) == count


@pytest.mark.parametrize("until", ["20260503", "20260503T000000Z", "20260503T220000Z"])
def test_until_of_whole_days_is_the_day_as_written(until: str) -> None:
    octets = file_of(*event_of("DTSTART;VALUE=DATE:20260501", f"RRULE:FREQ=DAILY;UNTIL={until}"))
    assert starts(octets) == ["2026-05-01", "2026-05-02", "2026-05-03"]


def test_an_until_that_cannot_be_read_leaves_the_first_date_and_a_notice() -> None:
    found = read(file_of(*event_of("DTSTART:20260501T100000Z", "RRULE:FREQ=DAILY;UNTIL=soon")))
    assert len(found.occurrences) == 1
    assert found.notices


@pytest.mark.parametrize(
    "rule", ["FREQ=SOMETIMES", "FREQ=DAILY;BYDAY=XX", "FREQ=DAILY;COUNT=0", "RSCALE=HEBREW;FREQ=DAILY", "COUNT=2", ""]
)
def test_a_rule_that_is_not_understood_leaves_the_first_date_and_a_notice(rule: str) -> None:
    found = read(file_of(*event_of("DTSTART:20260501T100000Z", f"RRULE:{rule}")))
    assert len(found.occurrences) == 1
    assert found.notices


def test_a_count_includes_a_start_that_is_not_on_the_rule() -> None:
    octets = file_of(*event_of("DTSTART:20260501T100000Z", "RRULE:FREQ=WEEKLY;BYDAY=MO;COUNT=3"))
    assert starts(octets) == ["2026-05-01T10:00:00Z", "2026-05-04T10:00:00Z", "2026-05-11T10:00:00Z"]


def test_a_series_from_long_ago_is_read_for_the_window_alone() -> None:
    octets = file_of(*event_of("DTSTART;TZID=Europe/Berlin:19700105T183000", "RRULE:FREQ=WEEKLY;INTERVAL=2"))
    found = starts(octets, window=(dt.date(2026, 3, 20), dt.date(2026, 4, 20)))
    assert found == ["2026-03-30T16:30:00Z", "2026-04-13T16:30:00Z"]


def test_all_later_dates_move_from_one_on() -> None:
    change = event_of(
        "RECURRENCE-ID;RANGE=THISANDFUTURE:20260328T090000Z",
        "DTSTART;TZID=Europe/Berlin:20260329T110000",
        "DTEND;TZID=Europe/Berlin:20260329T120000",
    )
    found = spans(file_of(*event_of(*WEEKLY), *change))
    assert found == [
        ("2026-03-21T09:00:00Z", "2026-03-21T09:00:00Z"),
        ("2026-03-29T09:00:00Z", "2026-03-29T10:00:00Z"),
        ("2026-04-05T09:00:00Z", "2026-04-05T10:00:00Z"),
    ]


@pytest.mark.parametrize("origin", ["RECURRENCE-ID;VALUE=DATE:20260328", "RECURRENCE-ID:20260328T090000Z"])
def test_a_moved_date_leaves_its_old_place(origin: str) -> None:
    change = event_of(origin, "DTSTART:20260401T090000Z")
    found = starts(file_of(*event_of(*WEEKLY), *change))
    assert found == ["2026-03-21T09:00:00Z", "2026-04-01T09:00:00Z", "2026-04-04T08:00:00Z"]


def test_a_cancelled_date_of_a_series_is_free() -> None:
    change = event_of("RECURRENCE-ID:20260328T090000Z", "DTSTART:20260328T090000Z", "STATUS:CANCELLED")
    found = read(file_of(*event_of(*WEEKLY), *change))
    assert [one.is_busy for one in found.occurrences] == [True, False, True]


def test_a_date_moved_into_the_window_is_seen() -> None:
    change = event_of("RECURRENCE-ID:20260328T090000Z", "DTSTART:20260620T090000Z")
    window = (dt.date(2026, 6, 1), dt.date(2026, 7, 1))
    assert starts(file_of(*event_of(*WEEKLY), *change), window=window) == ["2026-06-20T09:00:00Z"]


def test_the_same_hour_twice_means_the_first_pass() -> None:
    octets = file_of(*event_of("DTSTART;TZID=Europe/Berlin:20261025T023000", "DURATION:PT1H"))
    assert spans(octets) == [("2026-10-25T00:30:00Z", "2026-10-25T01:30:00Z")]


def test_an_end_in_another_zone_is_met() -> None:
    lines = ("DTSTART;TZID=Europe/London:20260509T100000", "DTEND;TZID=America/New_York:20260509T080000")
    assert spans(file_of(*event_of(*lines))) == [("2026-05-09T09:00:00Z", "2026-05-09T12:00:00Z")]


@pytest.mark.parametrize(
    "name",
    [
        "Europe/Berlin", '"Europe/Berlin"', "europe/berlin", "/example.org/20260101_1/Europe/Berlin",
        "W. Europe Standard Time", "GMT+02:00", "UTC+2", "Europe/Berlin ",
    ],
)  # fmt: skip
def test_a_zone_is_known_by_its_usual_names(name: str) -> None:
    found = read(file_of(*event_of(f"DTSTART;TZID={name}:20260509T100000")), home="America/New_York")
    assert calendar_answer(found)["occurrences"][0]["start"] == "2026-05-09T08:00:00Z"
    assert found.zones_to_ask == ()


def test_a_zone_written_with_a_bare_colon_is_looked_up_in_the_file() -> None:
    zone = ("BEGIN:VTIMEZONE", "TZID:(UTC+03:30) Studio", "BEGIN:STANDARD", "DTSTART:19700101T000000",
            "TZOFFSETFROM:+0330", "TZOFFSETTO:+0330", "END:STANDARD", "END:VTIMEZONE")  # fmt: skip
    octets = file_of(*zone, *event_of("DTSTART;TZID=(UTC+03:30) Studio:20260509T100000"))
    assert starts(octets) == ["2026-05-09T06:30:00Z"]


def test_an_unknown_zone_is_asked_once_and_the_answer_is_used() -> None:
    octets = file_of(*event_of("DTSTART;TZID=Our Town:20260509T100000", "DTEND;TZID=Our Town:20260509T120000"))
    found = read(octets)
    assert found.zones_to_ask == ("Our Town",)
    assert len(found.notices) == 1
    told = read_calendar(
        octets, home_zone="Europe/Berlin", window=YEAR, source_name="x", zones={"Our Town": "America/New_York"}
    )
    assert told.zones_to_ask == ()
    assert calendar_answer(told)["occurrences"][0]["start"] == "2026-05-09T14:00:00Z"


def test_names_that_depend_on_the_machine_are_no_zones() -> None:
    assert read(file_of(*event_of("DTSTART;TZID=localtime:20260509T100000"))).zones_to_ask == ("localtime",)


def test_an_entry_without_an_end_does_not_take_its_neighbours_along() -> None:
    octets = file_of("BEGIN:VEVENT", "UID:open", "DTSTART:20260501T100000Z", *event_of("DTSTART:20260502T100000Z"))
    found = read(octets)
    assert [one.uid for one in found.occurrences] == ["e1"]
    assert not found.is_whole
    assert [notice.line for notice in found.notices] == [4]


def test_events_outside_a_calendar_are_read() -> None:
    assert starts("\n".join(event_of("DTSTART:20260501T100000Z")).encode()) == ["2026-05-01T10:00:00Z"]


def test_parts_nested_without_end_are_left_out_with_a_notice() -> None:
    nested = ["BEGIN:X-A"] * 500 + ["END:X-A"] * 500
    found = read(file_of(*event_of("DTSTART:20260501T100000Z", *nested), *event_of("DTSTART:20260501T100000Z")))
    assert len(found.occurrences) == 1
    assert [notice for notice in found.notices if "nested deeper" in notice.text]


@pytest.mark.parametrize(
    "rule",
    ["FREQ=MINUTELY", "FREQ=SECONDLY", "FREQ=SECONDLY;BYHOUR=3", "FREQ=HOURLY;BYMINUTE=0,1,2,3,4,5,6,7,8,9"],
)
def test_a_rule_without_measure_is_cut_and_said(rule: str) -> None:
    found = read(file_of(*event_of("DTSTART:20200101T000000Z", f"RRULE:{rule}")))
    assert len(found.occurrences) == 5000
    assert not found.is_whole
    assert [notice for notice in found.notices if "repeats too often" in notice.text]


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=HOURLY;BYMONTHDAY=31;BYMONTH=4",
        "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=MONTHLY;BYMONTHDAY=31;BYMONTH=2,4,6,9,11",
        "FREQ=WEEKLY;INTERVAL=999999999",
    ],
)
def test_a_rule_that_matches_nothing_costs_little(rule: str) -> None:
    found = read(file_of(*event_of("DTSTART:19000101T000000Z", f"RRULE:{rule}")))
    assert found.occurrences == ()
    assert found.is_whole


def test_many_rules_without_measure_end_by_the_budget() -> None:
    rule = "RRULE:FREQ=SECONDLY;BYSECOND=1;COUNT=999999999"
    lines = [line for number in range(300) for line in event_of(f"UID:{number}", "DTSTART:19000101T000000Z", rule)]
    found = read(file_of(*lines))
    assert not found.is_whole


def test_a_file_of_too_many_entries_is_cut_and_said() -> None:
    lines = [
        line
        for number in range(20_003)
        for line in ("BEGIN:VEVENT", f"UID:{number}", "DTSTART:20260501T100000Z", "END:VEVENT")
    ]
    found = read(file_of(*lines))
    assert len(found.occurrences) == 20_000
    assert found.entries == 20_003
    assert not found.is_whole
    assert [notice for notice in found.notices if "3 more were left out" in notice.text]


@pytest.mark.parametrize(
    ("octets", "words"),
    [
        (b"", "empty"),
        (b" \r\n\r\n", "empty"),
        (b"<!DOCTYPE html><html>BEGIN:VCALENDAR", "web page"),
        (b"PK\x03\x04rest", "packed"),
        (b"%PDF-1.7", "printed"),
        (b'{"a": 1}', "another program"),
        (b"BEGIN:VCARD\r\nEND:VCARD\r\n", "contact"),
        (b"Name,E-mail\r\nAda,ada@example.org\r\n", "no line says BEGIN:VCALENDAR"),
        (b"x" * 10_000_001, "10 MB"),
    ],
)
def test_what_is_no_calendar_is_called_what_it_is(octets: bytes, words: str) -> None:
    with pytest.raises(InvalidError, match=words) as caught:
        read(octets)
    assert caught.value.hint


def test_a_window_of_no_days_is_refused() -> None:
    with pytest.raises(InvalidError, match="no days"):
        read(file_of(), window=(YEAR[0], YEAR[0]))


def test_an_empty_calendar_says_so() -> None:
    found = read(file_of())
    assert (found.entries, found.is_whole) == (0, True)
    assert [notice.text for notice in found.notices] == ["The calendar holds no entries."]


@pytest.mark.parametrize("codec", ["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "cp1252"])
def test_any_usual_encoding_is_read(codec: str) -> None:
    octets = file_of(*event_of("DTSTART:20260501T100000Z")).decode().replace("Fair", "Töpfermarkt").encode(codec)
    assert [one.title for one in read(octets).occurrences] == ["Töpfermarkt"]


def test_one_line_that_is_not_utf8_leaves_the_others_as_they_are() -> None:
    octets = file_of(*event_of("LOCATION:Räume", "DTSTART:20260501T100000Z")).replace(b"Fair", b"Caf\xe9")
    (one,) = read(octets).occurrences
    assert (one.title, one.place) == ("Café", "Räume")


@pytest.mark.parametrize("mark", ["PRIVATE", "CONFIDENTIAL", "X-SECRET", "private"])
def test_what_is_not_public_shows_as_busy_only(mark: str) -> None:
    found = read(
        file_of(*event_of("DTSTART:20260501T100000Z", "LOCATION:Clinic", "CATEGORIES:Health", f"CLASS:{mark}"))
    )
    (one,) = found.occurrences
    assert (one.title, one.place, one.categories, one.is_private) == ("Busy", "", (), True)


def test_nothing_of_people_comes_in() -> None:
    lines = ("ATTENDEE;CN=Ada North:mailto:ada@example.org", "ORGANIZER:mailto:bo@example.org", "DESCRIPTION:Call 0301",
             "ATTACH:https://example.org/x", "CONTACT:Ada", "COMMENT:owes 20")  # fmt: skip
    text = repr(read(file_of(*event_of("DTSTART:20260501T100000Z", *lines))))
    for word in ("Ada", "example.org", "0301", "owes"):
        assert word not in text


def test_a_large_attachment_is_passed_over() -> None:
    attachment = "ATTACH;ENCODING=BASE64;VALUE=BINARY:" + "QUJD" * 75_000
    assert starts(file_of(*event_of("DTSTART:20260501T100000Z", attachment))) == ["2026-05-01T10:00:00Z"]


def test_ten_thousand_events_are_read_for_one_year() -> None:
    first = dt.datetime(2020, 1, 1, 8)  # noqa: DTZ001 - written with Z below
    lines = [
        line
        for number in range(10_000)
        for line in (
            "BEGIN:VEVENT",
            f"UID:bulk-{number}",
            f"DTSTART:{first + dt.timedelta(hours=6 * number):%Y%m%dT%H%M%SZ}",
            "DURATION:PT1H",
            "END:VEVENT",
        )
    ]
    found = starts(file_of(*lines))
    assert (len(found), found[0], found[-1]) == (1233, "2026-01-01T02:00:00Z", "2026-11-05T02:00:00Z")


def test_one_uid_without_revisions_may_stand_for_several_entries() -> None:
    octets = file_of(*event_of("DTSTART:20260501T100000Z"), *event_of("DTSTART:20260502T100000Z"))
    assert len(starts(octets)) == 2


def test_the_higher_sequence_wins_wherever_it_stands() -> None:
    new, old = event_of("DTSTART:20260501T100000Z", "SEQUENCE:2"), event_of("DTSTART:20260502T100000Z", "SEQUENCE:1")
    assert starts(file_of(*new, *old)) == starts(file_of(*old, *new)) == ["2026-05-01T10:00:00Z"]


@pytest.mark.parametrize(
    ("lines", "right"),
    [
        (("DTSTART;VALUE=DATE:20251231", "DURATION:P1D"), []),
        (("DTSTART;VALUE=DATE:20251231", "DTEND;VALUE=DATE:20260102"), ["2025-12-31"]),
        (("DTSTART;VALUE=DATE:20261231",), ["2026-12-31"]),
        (("DTSTART;VALUE=DATE:20270101",), []),
        (("DTSTART:20251231T220000Z", "DTEND:20251231T230000Z"), []),
        (("DTSTART:20251231T220000Z", "DTEND:20251231T230001Z"), ["2025-12-31T22:00:00Z"]),
        (("DTSTART:20251231T230000Z",), ["2025-12-31T23:00:00Z"]),
        (("DTSTART:20261231T225959Z",), ["2026-12-31T22:59:59Z"]),
        (("DTSTART:20261231T230000Z", "DURATION:PT1H"), []),
        (("DTSTART;VALUE=DATE:20240229", "RRULE:FREQ=YEARLY", "DURATION:P900D"), ["2024-02-29"]),
        (("DTSTART;VALUE=DATE:20200229", "DURATION:P8W", "RRULE:FREQ=MONTHLY;BYMONTHDAY=-1;BYMONTH=2"),
         ["2026-02-28"]),
    ],
)  # fmt: skip
def test_the_window_holds_what_overlaps_it(lines: tuple[str, ...], right: list[str]) -> None:
    assert starts(file_of(*event_of(*lines))) == right


@pytest.mark.parametrize(
    ("old", "right"),
    [
        ("D2 #3", ["2026-05-04", "2026-05-06", "2026-05-08"]),
        ("W1 MO WE #3", ["2026-05-04", "2026-05-06", "2026-05-11"]),
        ("MP1 1+ MO #2", ["2026-05-04", "2026-06-01"]),
        ("MD1 4 LD #3", ["2026-05-04", "2026-05-31", "2026-06-04"]),
        ("D1 20260506", ["2026-05-04", "2026-05-05", "2026-05-06"]),
        ("D1", ["2026-05-04", "2026-05-05"]),
        ("Q7 ??", ["2026-05-04"]),
    ],
)
def test_a_rule_of_the_old_format_is_read(old: str, right: list[str]) -> None:
    octets = file_of(*event_of("DTSTART:20260504", f"RRULE:{old}")).replace(b"VERSION:2.0", b"VERSION:1.0")
    assert starts(octets) == right


def test_soft_line_breaks_of_the_old_format_are_joined() -> None:
    octets = file_of(*event_of("DTSTART:20260504T100000Z")).replace(
        b"SUMMARY:Fair", b"SUMMARY;CHARSET=ISO-8859-1;ENCODING=QUOTED-PRINTABLE:Caf=E9, =\r\nBEGIN; tea"
    )
    assert [one.title for one in read(octets).occurrences] == ["Café, BEGIN; tea"]


def test_a_bare_cr_inside_a_value_cannot_end_the_line() -> None:
    octets = file_of(*event_of("DTSTART:20260504T100000Z")).replace(b"Fair", b"Fair\rEND:VEVENT")
    assert [one.title for one in read(octets).occurrences] == ["FairEND:VEVENT"]


def test_a_failed_or_cut_reading_makes_nothing_gone() -> None:
    whole = file_of(*event_of("DTSTART:20260501T100000Z"), *event_of("UID:e2", "DTSTART:20260502T100000Z"))
    before = read(whole).occurrences
    for octets in (whole[:200], file_of()):
        again = read_again(before, read(octets))
        assert again.gone == ()
        assert again.kept == before


def test_a_whole_reading_says_what_is_new_changed_and_gone() -> None:
    def other(uid: str, day: int) -> tuple[str, ...]:
        return ("BEGIN:VEVENT", f"UID:{uid}", f"DTSTART:202605{day:02d}T100000Z", "END:VEVENT")

    first = file_of(*event_of("DTSTART:20260501T100000Z"), *other("e2", 2))
    second = file_of(*event_of("DTSTART:20260501T100000Z", "LOCATION:Hall"), *other("e3", 3))
    again = read_again(read(first).occurrences, read(second))
    assert [[one.uid for one in found] for found in (again.new, again.changed, again.gone)] == [["e3"], ["e1"], ["e2"]]


@pytest.mark.parametrize(
    ("lines", "due", "is_open"),
    [
        (("DTSTART:20260501T080000Z", "DURATION:PT2H"), "2026-05-01T10:00:00Z", True),
        (("DUE;TZID=Europe/Berlin:20260501T120000", "STATUS:NEEDS-ACTION"), "2026-05-01T10:00:00Z", True),
        (("DUE;VALUE=DATE:20260501", "STATUS:completed"), "2026-05-01", False),
        (("PERCENT-COMPLETE:100",), None, False),
        (("DUE:tomorrow",), None, True),
    ],
)
def test_a_to_do_has_its_due_time_and_state(lines: tuple[str, ...], due: str | None, is_open: bool) -> None:
    (todo,) = calendar_answer(read(file_of("BEGIN:VTODO", "UID:t", "SUMMARY:Cut", *lines, "END:VTODO")))["todos"]
    assert todo == {"title": "Cut", "due": due, "open": is_open}


def test_notices_name_the_line_and_the_value() -> None:
    found = read(file_of(*event_of("DTSTART:20261309T100000Z")))
    (notice,) = found.notices
    assert (notice.line, notice.uid) == (8, "e1")
    assert "20261309T100000Z" in notice.text


def test_parts_of_a_day_say_nothing_about_whole_days() -> None:
    octets = file_of(*event_of("DTSTART;VALUE=DATE:20260501", "RRULE:FREQ=DAILY;BYHOUR=3,9;COUNT=3"))
    assert starts(octets) == ["2026-05-01", "2026-05-02", "2026-05-03"]


def test_whole_days_that_repeat_each_hour_are_one_day_and_a_notice() -> None:
    found = read(file_of(*event_of("DTSTART;VALUE=DATE:20260501", "RRULE:FREQ=HOURLY")))
    assert [one.start for one in found.occurrences] == [dt.date(2026, 5, 1)]
    assert found.notices


ALARM = ("BEGIN:VALARM", "ACTION:DISPLAY", "DESCRIPTION:x")


@pytest.mark.parametrize(
    ("trigger", "rings"),
    [
        (("TRIGGER:PT15M",), ["2026-03-29T01:15:00Z"]),
        (("TRIGGER:-P1D",), ["2026-03-28T02:00:00Z"]),
        (("TRIGGER:-PT24H",), ["2026-03-28T01:00:00Z"]),
        (("TRIGGER;RELATED=END:PT0S",), ["2026-03-29T03:00:00Z"]),
        (("TRIGGER;VALUE=DATE-TIME:20260301T080000Z",), ["2026-03-01T08:00:00Z"]),
        (("TRIGGER:-PT0S", "REPEAT:99999", "DURATION:PT1M"), [f"2026-03-29T01:{m:02d}:00Z" for m in range(11)]),
        (("TRIGGER:-PT0S", "REPEAT:3"), ["2026-03-29T01:00:00Z"]),
        ((), []),
        (("TRIGGER:soon",), []),
    ],
)
def test_an_alarm_rings_by_the_clock_and_across_its_change(trigger: tuple[str, ...], rings: list[str]) -> None:
    lines = ("DTSTART;TZID=Europe/Berlin:20260329T030000", "DURATION:PT2H", *ALARM, *trigger, "END:VALARM")
    (one,) = read(file_of(*event_of(*lines))).occurrences
    assert [ring.strftime("%Y-%m-%dT%H:%M:%SZ") for ring in one.alarms] == rings


def test_an_alarm_of_a_to_do_counts_from_its_due_day_at_home() -> None:
    lines = ("DUE;VALUE=DATE:20260501", *ALARM, "TRIGGER;RELATED=END:-PT15H", "END:VALARM")
    (todo,) = read(file_of("BEGIN:VTODO", "UID:t", "SUMMARY:Cut", *lines, "END:VTODO")).todos
    assert todo.alarms == (dt.datetime(2026, 4, 30, 7, tzinfo=dt.UTC),)


def test_an_overnight_class_keeps_its_exact_length_across_the_change() -> None:
    lines = ("DTSTART;TZID=Europe/Berlin:20260327T220000", "DTEND;TZID=Europe/Berlin:20260328T060000")
    found = spans(file_of(*event_of(*lines, "RRULE:FREQ=DAILY;COUNT=2")))
    assert found == [
        ("2026-03-27T21:00:00Z", "2026-03-28T05:00:00Z"),
        ("2026-03-28T21:00:00Z", "2026-03-29T05:00:00Z"),
    ]


def test_the_clock_of_the_machine_plays_no_part(monkeypatch: pytest.MonkeyPatch) -> None:
    octets = file_of(*event_of("DTSTART:20260509T100000", "RRULE:FREQ=DAILY;COUNT=2"))
    monkeypatch.setenv("TZ", "America/St_Johns")
    assert starts(octets) == ["2026-05-09T08:00:00Z", "2026-05-10T08:00:00Z"]

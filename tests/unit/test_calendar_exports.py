"""The calendars of a studio: her own, one class, and one attendee's; what each says and keeps to itself."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import icalendar
import pytest

from scheduling.clock import FixedClock
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.settings import CloseDays
from scheduling.commands.undoing import Undo
from scheduling.errors import NotFoundError
from scheduling.queries.calendars import AttendeeCalendar, ClassCalendar, PrivateCalendar
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, book, class_date, local, person, venue
from tui.lines import entry

LINK = "https://meet.example.org/room-7"
LATER = dt.timedelta(days=2)


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(NOW)


@pytest.fixture
def studio(clock: FixedClock) -> Studio:
    return a_studio(clock=clock)


def parts(octets: bytes, kind: str = "VEVENT") -> list[Any]:
    return list(icalendar.Calendar.from_ical(octets).walk(kind))


def titled(octets: bytes, start: str, kind: str = "VEVENT") -> Any:
    (found,) = [part for part in parts(octets, kind) if str(part["SUMMARY"]).startswith(start)]
    return found


def alarms(part: Any) -> list[tuple[str, dt.timedelta]]:
    return [(str(one["DESCRIPTION"]), one["TRIGGER"].dt) for one in part.walk("VALARM")]


def test_her_calendar_rings_a_day_before_a_class_and_when_it_is_time_to_go(studio: Studio) -> None:
    hall = venue(studio, name="Hall", own_room=False, travel_minutes=40, set_up_minutes=50)
    class_date(studio, venue_id=hall, title="Album")
    event = titled(studio.ask(PrivateCalendar()), "Album")
    assert alarms(event) == [
        ("Tomorrow: Album", dt.timedelta(days=-1)),
        ("Time to go to Hall: Album", dt.timedelta(minutes=-90)),
    ]


def test_deadlines_are_whole_days_that_take_no_time_and_ring_that_morning(studio: Studio) -> None:
    class_date(studio, "2027-03-13", title="Album", mailed_kit=True)
    octets = studio.ask(PrivateCalendar())
    post = titled(octets, "Post the kits: C01")
    assert post["DTSTART"].dt == dt.date(2027, 3, 3)
    assert post["DTEND"].dt == dt.date(2027, 3, 4)
    assert post["TRANSP"] == "TRANSPARENT"
    assert alarms(post) == [("Today: Post the kits: C01 Album", dt.timedelta(hours=9))]
    assert {str(one["SUMMARY"]).partition(":")[0] for one in parts(octets)} >= {"Sign-up closes", "Post the kits"}


def test_a_deadline_keeps_its_identity_and_rises_when_the_class_moves(studio: Studio, clock: FixedClock) -> None:
    number = class_date(studio, "2027-03-13", title="Album")
    before = titled(studio.ask(PrivateCalendar()), "Sign-up closes")
    clock.set_forward(NOW + LATER)
    studio.do(
        MoveClassDate(class_date_id=number, sessions=((local("2027-03-20", "10:00"), local("2027-03-20", "12:30")),))
    )
    after = titled(studio.ask(PrivateCalendar()), "Sign-up closes")
    assert after["UID"] == before["UID"]
    assert after["DTSTART"].dt == before["DTSTART"].dt + dt.timedelta(days=7)
    assert after["SEQUENCE"] > before["SEQUENCE"]
    assert after["DTSTAMP"].dt > before["DTSTAMP"].dt


def test_a_deadline_moved_by_a_closed_day_rises_and_rises_again_when_that_is_taken_back(
    studio: Studio, clock: FixedClock
) -> None:
    class_date(studio, "2027-03-13", mailed_kit=True)
    stamps = [titled(studio.ask(PrivateCalendar()), "Post the kits")]
    clock.set_forward(NOW + LATER)
    studio.do(CloseDays(first=dt.date(2027, 3, 5), last=dt.date(2027, 3, 5), kind="closure"))
    stamps.append(titled(studio.ask(PrivateCalendar()), "Post the kits"))
    clock.set_forward(NOW + 2 * LATER)
    studio.do(Undo())
    stamps.append(titled(studio.ask(PrivateCalendar()), "Post the kits"))
    days = [one["DTSTART"].dt for one in stamps]
    assert days[1] < days[0] == days[2]
    assert stamps[0]["SEQUENCE"] < stamps[1]["SEQUENCE"] < stamps[2]["SEQUENCE"]


def test_deadlines_of_a_cancelled_class_stay_as_cancelled_without_a_reminder(studio: Studio) -> None:
    number = class_date(studio)
    before = titled(studio.ask(PrivateCalendar()), "Sign-up closes")
    studio.do(Decide(class_date_id=number, choice="call off"))
    after = titled(studio.ask(PrivateCalendar()), "Sign-up closes")
    assert after["UID"] == before["UID"]
    assert after["STATUS"] == "CANCELLED"
    assert alarms(after) == []


def test_prep_is_busy_time_only_when_asked_for(studio: Studio) -> None:
    class_date(studio)
    without, with_blocks = studio.ask(PrivateCalendar()), studio.ask(PrivateCalendar(blocks=True))
    assert not [one for one in parts(without) if str(one["SUMMARY"]).startswith("Prep:")]
    blocks = [one for one in parts(with_blocks) if str(one["SUMMARY"]).startswith("Prep:")]
    assert blocks
    assert {str(one["TRANSP"]) for one in blocks} == {"OPAQUE"}
    todos = {str(one["UID"]) for one in parts(with_blocks, "VTODO")}
    assert {str(one["RELATED-TO"]) for one in blocks} <= todos
    assert len({str(one["UID"]) for one in blocks}) == len(blocks)


def test_the_same_studio_gives_the_same_octets(studio: Studio) -> None:
    book(studio, class_date(studio), person(studio, "Ada Wren"))
    for query in (ClassCalendar(), PrivateCalendar(blocks=True), AttendeeCalendar(1)):
        assert studio.ask(query) == studio.ask(query)


def test_parts_of_the_private_calendar_can_be_left_out(studio: Studio) -> None:
    class_date(studio, title="Album")
    octets = studio.ask(PrivateCalendar(prep=False, deadlines=False, alarms=False))
    assert [str(one["SUMMARY"]) for one in parts(octets)] == ["Album"]
    assert parts(octets, "VTODO") == parts(octets, "VALARM") == []


def test_an_attendee_gets_their_own_classes_and_nobody_elses_data(studio: Studio) -> None:
    online = venue(studio, name="Online", online=True, joining_link=LINK)
    theirs = class_date(studio, title="Album", venue_id=online, private_note="Ada snores")
    other = class_date(studio, "2027-03-20", title="Lantern")
    ada = person(studio, "Ada Wren", email="ada@example.org", health_note="nuts")
    book(studio, theirs, ada, heads=2)
    book(studio, theirs, person(studio, "Bea Finch", email="bea@example.org"))
    book(studio, other, person(studio, "Cid Rook"))
    octets = studio.ask(AttendeeCalendar(ada))
    (event,) = parts(octets)
    assert str(event["SUMMARY"]) == "Album"
    assert event["CONFERENCE"] == LINK
    assert "Booking B01, 2 heads" in str(event["DESCRIPTION"])
    for secret in (b"Bea", b"Finch", b"bea@", b"Cid", b"Lantern", b"snores", b"nuts", b"ada@", b"ATTENDEE"):
        assert secret not in octets


def test_the_class_has_one_identity_in_every_calendar(studio: Studio) -> None:
    ada = person(studio)
    book(studio, class_date(studio, title="Album"), ada)
    found = [
        titled(studio.ask(query), "Album")["UID"]
        for query in (ClassCalendar(), ClassCalendar(1), PrivateCalendar(), AttendeeCalendar(ada))
    ]
    assert len(set(found)) == 1


def test_somebody_who_waits_sees_a_tentative_class_without_the_joining_link(studio: Studio) -> None:
    online = venue(studio, online=True, joining_link=LINK)
    number = class_date(studio, title="Album", venue_id=online)
    ada = person(studio)
    book(studio, number, ada, state="waitlist")
    (event,) = parts(studio.ask(AttendeeCalendar(ada)))
    assert (str(event["SUMMARY"]), event["STATUS"]) == ("Waitlist: Album", "TENTATIVE")
    assert "CONFERENCE" not in event


def test_a_place_given_up_stays_as_cancelled_and_each_change_rises(studio: Studio, clock: FixedClock) -> None:
    number, ada = class_date(studio), person(studio)
    made = book(studio, number, ada)
    seen = [parts(studio.ask(AttendeeCalendar(ada)))[0]]
    for step, command in enumerate((CancelBooking(booking_id=made.booking_id), Undo()), 1):
        clock.set_forward(NOW + step * LATER)
        studio.do(command)
        seen.append(parts(studio.ask(AttendeeCalendar(ada)))[0])
    assert [str(one["STATUS"]) for one in seen] == ["CONFIRMED", "CANCELLED", "CONFIRMED"]
    assert seen[0]["SEQUENCE"] < seen[1]["SEQUENCE"] < seen[2]["SEQUENCE"]
    assert len({str(one["UID"]) for one in seen}) == 1


def test_an_attendee_without_a_class_is_refused(studio: Studio) -> None:
    with pytest.raises(NotFoundError, match="has no class"):
        studio.ask(AttendeeCalendar(person(studio)))


def test_a_class_and_an_attendee_are_written_by_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        book(studio, class_date(studio, title="Album"), person(studio, "Ada Wren"))
    monkeypatch.chdir(tmp_path)
    assert entry.run(["export", "class", "C01", "--file", str(path)]) == 0
    assert entry.run(["export", "attendee", "Wren", "--file", str(path)]) == 0
    assert entry.run(["export", "private", "--blocks", "--to", "p.ics", "--file", str(path)]) == 0
    assert (tmp_path / "class-C01.ics").stat().st_mode & 0o077
    for private in ("attendee-A01.ics", "p.ics"):
        assert (tmp_path / private).stat().st_mode & 0o777 == 0o600
    assert entry.run(["export", "class", "--file", str(path)]) == 1
    assert entry.run(["export", "classes", "--blocks", "--file", str(path)]) == 1

"""The calendars of a studio: stable, changed only where the class is, nothing personal in the public one."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from demo.load import make_demo
from scheduling.clock import FixedClock, WallTime
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import ChangeClassDate, MarkTaught, MoveClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.prep import TickTask
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import NotFoundError
from scheduling.queries.calendars import ClassCalendar, PrivateCalendar
from scheduling.queries.plan import PrepTasks
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, book, class_date, local, person, venue

Entry = dict[str, str]


def entries(octets: bytes, kind: str = "VEVENT") -> dict[str, Entry]:
    """The events or to-dos of a calendar by UID: property name (without parameters) to its value."""
    lines = octets.decode().replace("\r\n ", "").split("\r\n")
    found: dict[str, Entry] = {}
    now: Entry | None = None
    for line in lines:
        name, _, value = line.partition(":")
        if line == f"BEGIN:{kind}":
            now = {}
        elif line == f"END:{kind}":
            assert now is not None
            found[now["UID"]] = now
            now = None
        elif now is not None:
            now.setdefault(name.partition(";")[0], value)
    return found


def public(studio: Studio) -> dict[str, Entry]:
    return entries(studio.ask(ClassCalendar()))


def only(studio: Studio) -> Entry:
    (found,) = public(studio).values()
    return found


def later(studio: Studio, clock: FixedClock, days: int = 1) -> None:
    clock.set_forward(studio.now + dt.timedelta(days=days))


def test_nothing_changed_is_the_same_octets_on_any_later_day(tmp_path: Path) -> None:
    path, clock = tmp_path / "s.kitwright", FixedClock(NOW)
    with a_studio(path, clock=clock) as studio:
        class_date(studio)
        first = studio.ask(ClassCalendar()), studio.ask(PrivateCalendar())
    with Studio(str(path), clock=FixedClock(NOW + dt.timedelta(days=5))) as studio:
        assert (studio.ask(ClassCalendar()), studio.ask(PrivateCalendar())) == first


def test_bookings_money_and_ticks_leave_the_public_calendar_as_it_is() -> None:
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        class_id = class_date(studio)
        before = studio.ask(ClassCalendar())
        later(studio, clock)
        kept = book(studio, class_id, heads=2)
        studio.do(CancelBooking(booking_id=kept.booking_id))
        studio.do(TickTask(task_id=studio.ask(PrepTasks())[0].id))
        class_date(studio, "2027-01-01", venue_id=venue(studio), private_party=True)
        assert studio.ask(ClassCalendar()) == before


def test_a_move_keeps_the_uid_and_raises_sequence_and_stamp() -> None:
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        class_id = class_date(studio, "2027-03-13")
        before = only(studio)
        later(studio, clock)
        studio.do(
            MoveClassDate(
                class_date_id=class_id, sessions=((local("2027-03-20", "10:00"), local("2027-03-20", "12:00")),)
            )
        )
        moved = only(studio)
        assert moved["UID"] == before["UID"]
        assert (int(before["SEQUENCE"]), int(moved["SEQUENCE"])) == (0, 1)
        assert moved["DTSTAMP"] > before["DTSTAMP"]
        assert moved["DTSTART"] == "20270320T100000"
        later(studio, clock)
        studio.do(Undo())
        back = only(studio)
        assert back["DTSTART"] == before["DTSTART"]
        assert int(back["SEQUENCE"]) == 2, "a phone that has seen the move must take the way back too"
        assert back["DTSTAMP"] > moved["DTSTAMP"]


def test_only_the_class_that_changed_has_other_lines() -> None:
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        one, other = class_date(studio, "2027-03-13"), class_date(studio, "2027-03-20")
        before = public(studio)
        later(studio, clock)
        studio.do(ChangeClassDate(class_date_id=one, title="Other words"))
        after = public(studio)
        changed = [uid for uid in before if before[uid] != after[uid]]
        assert len(changed) == 1
        assert after[changed[0]]["SUMMARY"].startswith("Other words")
        assert other == 2


def test_a_class_called_off_stays_as_cancelled_with_a_higher_sequence() -> None:
    with a_studio() as studio:
        class_id = class_date(studio)
        uid = only(studio)["UID"]
        studio.do(Decide(class_date_id=class_id, choice="call off"))
        entry = only(studio)
        assert (entry["UID"], entry["STATUS"], entry["SEQUENCE"]) == (uid, "CANCELLED", "1")


def test_a_session_that_falls_away_stays_as_cancelled() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-03-13")
        spans = tuple((local(day, "10:00"), local(day, "12:00")) for day in ("2027-03-13", "2027-03-14"))
        studio.do(MoveClassDate(class_date_id=class_id, sessions=spans))
        assert [entry["STATUS"] for entry in public(studio).values()] == ["CONFIRMED", "CONFIRMED"]
        studio.do(MoveClassDate(class_date_id=class_id, sessions=spans[:1]))
        assert sorted(entry["STATUS"] for entry in public(studio).values()) == ["CANCELLED", "CONFIRMED"]


def test_a_tentative_class_says_so_and_a_party_is_in_the_private_one_only() -> None:
    with a_studio() as studio:
        class_date(studio, "2027-03-13", state="tentative")
        party = class_date(studio, "2027-03-14", private_party=True, title="Anniversary")
        assert only(studio)["STATUS"] == "TENTATIVE"
        assert "Anniversary" in [entry["SUMMARY"] for entry in entries(studio.ask(PrivateCalendar())).values()]
        with pytest.raises(NotFoundError, match="private"):
            studio.ask(ClassCalendar(party))


def test_one_class_can_be_written_alone() -> None:
    with a_studio() as studio:
        one = class_date(studio, "2027-03-13", title="One")
        class_date(studio, "2027-03-20")
        assert [entry["SUMMARY"] for entry in entries(studio.ask(ClassCalendar(one))).values()] == ["One"]
        with pytest.raises(NotFoundError):
            studio.ask(ClassCalendar(9))


def test_nothing_personal_and_no_joining_link_is_in_the_public_one() -> None:
    with a_studio() as studio:
        online = venue(studio, online=True, own_room=False, joining_link="https://meet.example.org/secret")
        class_id = class_date(
            studio, venue_id=online, private_note="ring Mrs Quarrel", title="Lino", public_note="Bring an apron"
        )
        ann = person(studio, "Ann Quarrelwick", email="ann@example.org", phone="555 0199", health_note="bee stings")
        book(studio, class_id, ann, note="her note")
        found = studio.ask(ClassCalendar()).decode().replace("\r\n ", "")
        for secret in ("Quarrel", "ann@", "555", "bee", "her note", "meet.example.org", "ATTENDEE", "ORGANIZER"):
            assert secret not in found, secret
        assert "Bring an apron" in found
        assert "https://meet.example.org/secret" in studio.ask(PrivateCalendar()).decode().replace("\r\n ", "")


def test_prep_is_to_dos_that_close_with_the_task_and_point_at_the_class() -> None:
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        class_date(studio, "2027-03-13")
        first = studio.ask(PrepTasks())[0]
        before = entries(studio.ask(PrivateCalendar()), "VTODO")[first.public_id]
        later(studio, clock)
        studio.do(TickTask(task_id=first.id))
        after = entries(studio.ask(PrivateCalendar()), "VTODO")[first.public_id]
        assert (before["STATUS"], after["STATUS"]) == ("NEEDS-ACTION", "COMPLETED")
        assert int(after["SEQUENCE"]) == int(before["SEQUENCE"]) + 1
        assert after["COMPLETED"] == "20270202T130000Z"
        assert after["RELATED-TO"] == only(studio)["UID"]


def test_the_demos_class_on_the_day_the_clocks_change_lies_at_17_to_22_utc(tmp_path: Path) -> None:
    path = tmp_path / "d.kitwright"
    make_demo(path)
    with Studio(str(path)) as studio:
        text = studio.ask(ClassCalendar()).decode().replace("\r\n ", "")
        c10 = next(entry for entry in public(studio).values() if entry["DTSTART"].startswith("20270314"))
    assert "DTSTART;TZID=America/New_York:20270314T130000" in text
    assert (c10["DTSTART"], c10["DTEND"]) == ("20270314T130000", "20270314T180000")
    assert "BEGIN:VTIMEZONE\r\nTZID:America/New_York" in text
    utc = [WallTime(dt.datetime.fromisoformat(c10[name]), "America/New_York").utc.hour for name in ("DTSTART", "DTEND")]
    assert utc == [17, 22]


def test_two_demos_give_the_same_calendar_octets(tmp_path: Path) -> None:
    octets = []
    for name in ("one", "two"):
        make_demo(tmp_path / name)
        with Studio(str(tmp_path / name)) as studio:
            octets.append((studio.ask(ClassCalendar()), studio.ask(PrivateCalendar())))
    assert octets[0] == octets[1]


def test_marking_a_class_taught_raises_no_sequence() -> None:
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        class_id = class_date(studio, "2027-02-01", "09:00", "10:00")
        later(studio, clock)
        studio.do(MarkTaught(class_date_id=class_id))
        assert only(studio)["SEQUENCE"] == "0"


def test_a_class_taken_back_stays_in_the_file_that_held_it_as_cancelled_and_comes_back_later_than_that(
    tmp_path: Path,
) -> None:
    clock = FixedClock(NOW)
    with a_studio(tmp_path / "s.kitwright", clock=clock) as studio:
        class_date(studio, "2027-03-06", title="Stays")
        class_date(studio, "2027-03-13", title="Goes")
        first = studio.ask(ClassCalendar())
        (uid,) = [uid for uid, entry in entries(first).items() if entry["SUMMARY"] == "Goes"]
        later(studio, clock)
        studio.do(Undo())
        second = studio.ask(ClassCalendar(before=first))
        gone = entries(second)[uid]
        assert (gone["STATUS"], gone["SEQUENCE"], gone["DTSTART"]) == (
            "CANCELLED",
            str(int(entries(first)[uid]["SEQUENCE"]) + 1),
            entries(first)[uid]["DTSTART"],
        )
        later(studio, clock)
        assert studio.ask(ClassCalendar(before=second)) == second
        assert uid not in entries(studio.ask(ClassCalendar()))
        studio.do(Redo())
        again = entries(studio.ask(ClassCalendar(before=second)))[uid]
        assert again["STATUS"] != "CANCELLED"
        assert (int(again["SEQUENCE"]), again["DTSTAMP"]) > (int(gone["SEQUENCE"]), gone["DTSTAMP"])


def test_a_class_taken_back_stays_half_a_year_and_another_calendar_lends_nothing(tmp_path: Path) -> None:
    clock = FixedClock(NOW)
    with a_studio(tmp_path / "s.kitwright", clock=clock) as studio:
        class_date(studio, "2027-03-13", title="Goes")
        first = studio.ask(ClassCalendar())
        studio.do(Undo())
        other = first.replace(b"VERSION:2.0\r\n", b"VERSION:2.0\r\n").replace(b"\r\nUID:", b"\r\nUID:0", 1)
        assert len(entries(studio.ask(ClassCalendar(before=first)))) == 1
        assert entries(studio.ask(ClassCalendar(before=other))) == {}
        assert entries(studio.ask(ClassCalendar(before=b"BEGIN:VCALENDAR\r\nnot one"))) == {}
        later(studio, clock, 300)
        assert entries(studio.ask(ClassCalendar(before=first))) == {}


def test_a_class_taken_back_stays_in_her_own_calendar_without_its_alarms(tmp_path: Path) -> None:
    with a_studio(tmp_path / "s.kitwright", clock=FixedClock(NOW)) as studio:
        class_date(studio, "2027-03-13", title="Goes")
        first = studio.ask(PrivateCalendar(blocks=True))
        studio.do(Undo())
        second = studio.ask(PrivateCalendar(blocks=True, before=first))
        assert {entry["STATUS"] for entry in entries(second).values()} == {"CANCELLED"}
        assert b"BEGIN:VALARM" not in second
        assert studio.ask(PrivateCalendar(blocks=True, before=second)) == second

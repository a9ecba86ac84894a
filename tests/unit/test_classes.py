"""Class dates: made with their prep, changed, moved, called off, taught, run again."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.classes import (
    ChangeClassDate,
    MakeClassDate,
    MarkTaught,
    MoveClassDate,
    RunAgain,
)
from scheduling.commands.decisions import Decide
from scheduling.commands.importing import KeepBusyTimes
from scheduling.commands.projects import ChangeProject, RetireProject
from scheduling.commands.settings import CloseDays
from scheduling.commands.venues import ChangeVenue, RetireVenue
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.taking_in import BusyEntry
from scheduling.queries.classes import ClassDate, Classes
from scheduling.queries.plan import PrepTasks
from scheduling.studio import Studio
from tests.support.builders import NOW, ZONE, a_studio, book, class_date, dump, local, project, venue


def move(studio: Studio, class_id: int, *spans: tuple[str, str, str]) -> tuple[str, ...]:
    sessions = tuple((local(day, start), local(day, end)) for day, start, end in spans)
    return studio.do(MoveClassDate(class_date_id=class_id, sessions=sessions)).warnings


def test_a_class_takes_seats_and_half_of_them_as_minimum_from_its_venue() -> None:
    with a_studio() as studio:
        row = studio.ask(ClassDate(class_date(studio, venue_id=venue(studio, seats=7), minimum=None))).row
        assert (row.seats, row.minimum, row.heads, row.state) == (7, 4, 0, "confirmed")


def test_the_first_class_of_a_project_gets_the_longer_recipe() -> None:
    with a_studio() as studio:
        book_id = project(studio)
        first, again = (class_date(studio, day, project_id=book_id) for day in ("2027-05-01", "2027-05-02"))
        tasks = [len(studio.ask(PrepTasks(one, with_closed=True))) for one in (first, again)]
        assert tasks[0] > tasks[1] > 10


def test_several_sessions_are_put_in_order_and_may_not_overlap() -> None:
    with a_studio() as studio:
        room, book_id = venue(studio), project(studio)
        days = [("2027-03-14", "10:00", "13:00"), ("2027-03-13", "10:00", "15:00")]
        sessions = tuple((local(day, start), local(day, end)) for day, start, end in days)
        made = studio.do(MakeClassDate(project_id=book_id, venue_id=room, sessions=sessions))
        row = studio.ask(ClassDate(made.class_date_id)).row
        assert [s.starts.local.day for s in row.sessions] == [13, 14]
        with pytest.raises(InvalidError, match="overlap"):
            move(studio, made.class_date_id, ("2027-03-13", "10:00", "12:00"), ("2027-03-13", "11:00", "13:00"))


@pytest.mark.parametrize(
    ("start", "end", "why"),
    [
        (local("2027-03-14", "02:30"), local("2027-03-14", "04:00"), "02:30 does not exist"),
        (local("2027-03-13", "12:00"), local("2027-03-13", "10:00"), "ends before it starts"),
        (local("2027-03-13", "12:00"), local("2027-03-15", "10:00"), "longer than a day"),
        (local("2027-03-13", "12:00"), local("2027-03-13", "12:00"), "ends before it starts"),
    ],
)
def test_hours_that_cannot_be_are_refused(start: dt.datetime, end: dt.datetime, why: str) -> None:
    with a_studio() as studio:
        room, book_id = venue(studio), project(studio)
        with pytest.raises(InvalidError, match=why):
            studio.do(MakeClassDate(project_id=book_id, venue_id=room, sessions=((start, end),)))


def test_a_class_across_the_clock_change_lasts_its_real_minutes() -> None:
    with a_studio() as studio:
        row = studio.ask(ClassDate(class_date(studio, "2027-11-07", "00:30", "02:30"))).row
        assert row.sessions[0].minutes == 180
        row = studio.ask(ClassDate(class_date(studio, "2027-03-14", "01:00", "04:00"))).row
        assert row.sessions[0].minutes == 120


def test_seats_minimum_and_posted_number_must_go_together() -> None:
    with a_studio() as studio:
        room = venue(studio, seats=8, posted_occupancy=10)
        class_date(studio, venue_id=room, seats=8, helpers=1)
        with pytest.raises(ConflictError, match="posted for 10") as caught:
            class_date(studio, venue_id=room, seats=9, helpers=1)
        assert "Give 8 seats at most" in caught.value.hint
        with pytest.raises(InvalidError, match="minimum of 9 is above the 8 seats"):
            class_date(studio, venue_id=room, minimum=9)


def test_another_class_its_set_up_and_clear_down_are_told() -> None:
    with a_studio() as studio:
        room = venue(studio, set_up_minutes=60, clear_down_minutes=30)
        class_date(studio, "2027-03-13", "10:00", "12:00", venue_id=room, title="First")
        later = class_date(studio, "2027-03-13", "14:00", "15:00", venue_id=room)
        assert any("Overlaps C01 First" in said for said in move(studio, later, ("2027-03-13", "13:29", "15:00")))
        assert move(studio, later, ("2027-03-13", "13:30", "15:00")) == ()


def test_blocked_days_closures_and_busy_times_are_told() -> None:
    with a_studio() as studio:
        studio.do(CloseDays(first=dt.date(2027, 3, 13), note="away"))
        studio.do(CloseDays(first=dt.date(2027, 3, 14), kind="closure"))
        entry = BusyEntry("u", "Dentist", False, "2027-03-15T11:30", "2027-03-15T12:30", ZONE)
        studio.do(KeepBusyTimes(source="own.ics", digest="d", entries=(entry,), first=dt.date(2027, 1, 1)))
        said = [
            " ".join(move(studio, class_date(studio, "2027-05-01"), (f"2027-03-{day}", "10:00", "12:00")))
            for day in (13, 14, 15, 16)
        ]
        assert "blocked day (away)" in said[0]
        assert "closure" in said[1]
        assert "Dentist" in said[2]
        assert said[3] == ""


def test_a_move_keeps_roster_and_session_ids_and_tells_whom_to_ask() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-03-13")
        book(studio, class_id, heads=2)
        before = dump(studio)["session"][0]["public_id"]
        said = move(studio, class_id, ("2027-03-20", "10:00", "12:00"), ("2027-03-21", "10:00", "12:00"))
        assert "Ask the 2 booked whether the new date suits them." in said
        rows = dump(studio)["session"]
        assert (rows[0]["public_id"], len(rows)) == (before, 2)
        move(studio, class_id, ("2027-03-20", "10:00", "12:00"))
        rows = dump(studio)["session"]
        assert [row["dropped"] for row in rows] == [0, 1], "a dropped session stays, so that calendars can say so"
        assert studio.ask(ClassDate(class_id)).row.heads == 2


def test_a_move_to_where_it_lies_changes_nothing() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-03-13", "10:00", "12:30")
        session = (local("2027-03-13", "10:00"), local("2027-03-13", "12:30"))
        outcome = studio.do(MoveClassDate(class_date_id=class_id, sessions=(session,)))
        assert (outcome.said, outcome.history_id, outcome.warnings) == ("Nothing is changed.", 0, ())
        assert dump(studio)["class_date"][0]["sequence"] == 0


def test_a_class_called_off_drops_its_open_prep_and_can_only_be_run_again() -> None:
    with a_studio() as studio:
        class_id = class_date(studio)
        book(studio, class_id, heads=2)
        outcome = studio.do(Decide(class_date_id=class_id, choice="call off"))
        assert any("2 heads are booked" in said for said in outcome.warnings)
        assert studio.ask(PrepTasks(class_id)) == ()
        for refused in (
            Decide(class_date_id=class_id, choice="call off"),
            ChangeClassDate(class_date_id=class_id, title="New"),
            MarkTaught(class_date_id=class_id),
        ):
            with pytest.raises(ConflictError, match="cancelled"):
                studio.do(refused)
        with pytest.raises(ConflictError, match="cancelled"):
            move(studio, class_id, ("2027-03-20", "10:00", "12:00"))
        again = studio.do(RunAgain(class_date_id=class_id, first_day=dt.date(2027, 4, 10)))
        assert studio.ask(ClassDate(again.class_date_id)).row.state == "confirmed"
        assert [row.id for row in studio.ask(Classes("coming", with_cancelled=False))] == [again.class_date_id]


def test_a_class_is_taught_once_it_has_begun() -> None:
    clock = FixedClock(NOW)
    with a_studio(clock=clock) as studio:
        class_id = class_date(studio, "2027-02-01", "09:00", "11:00")
        with pytest.raises(ConflictError, match="not begun"):
            studio.do(MarkTaught(class_date_id=class_id))
        clock.set_forward(NOW + dt.timedelta(hours=1))
        studio.do(MarkTaught(class_date_id=class_id))
        assert studio.ask(ClassDate(class_id)).row.taught
        with pytest.raises(ConflictError, match="has been taught"):
            studio.do(Decide(class_date_id=class_id, choice="call off"))


def test_run_again_takes_all_sessions_along_and_the_project_as_it_is_now() -> None:
    with a_studio() as studio:
        book_id = project(studio, title="Old book")
        class_id = class_date(studio, "2027-03-13", project_id=book_id, fee_minor=5500, seats=5, children=True)
        move(studio, class_id, ("2027-03-13", "18:30", "20:00"), ("2027-03-20", "18:30", "20:00"))
        studio.do(ChangeProject(project_id=book_id, age_from=9))
        book(studio, class_id)
        again = studio.do(RunAgain(class_date_id=class_id, first_day=dt.date(2027, 3, 8)))
        entries = studio.ask(ClassDate(again.class_date_id))
        assert [f"{s.starts.local:%d %H:%M}" for s in entries.row.sessions] == ["08 18:30", "15 18:30"]
        assert (entries.row.fee_minor, entries.row.seats, entries.row.children, entries.row.heads) == (5500, 5, True, 0)
        assert (entries.newer_version, studio.ask(ClassDate(class_id)).newer_version) == (False, True)
        past = studio.do(RunAgain(class_date_id=class_id, first_day=dt.date(2027, 1, 4)))
        assert "That day is past." in past.warnings


def test_what_is_retired_is_not_planned_with() -> None:
    with a_studio() as studio:
        room, book_id = venue(studio), project(studio)
        class_id = class_date(studio, venue_id=room, project_id=book_id)
        studio.do(RetireVenue(venue_id=room))
        studio.do(ChangeClassDate(class_date_id=class_id, title="Stays where it is"))
        with pytest.raises(ConflictError, match="V01 is retired"):
            class_date(studio, venue_id=room)
        with pytest.raises(ConflictError, match="V01 is retired"):
            studio.do(ChangeClassDate(class_date_id=class_date(studio), venue_id=room))
        studio.do(RetireProject(project_id=book_id))
        with pytest.raises(ConflictError, match="P01 is retired"):
            class_date(studio, project_id=book_id)


def test_prep_follows_the_kinds_of_a_class() -> None:
    with a_studio() as studio:
        online = venue(studio, online=True, own_room=False, seats=12)
        class_id = class_date(studio, "2027-05-01", venue_id=online)
        plain = {task.title for task in studio.ask(PrepTasks(class_id))}
        studio.do(ChangeClassDate(class_date_id=class_id, mailed_kit=True))
        mailed = {task.title for task in studio.ask(PrepTasks(class_id))}
        assert mailed - plain
        studio.do(ChangeClassDate(class_date_id=class_id, mailed_kit=False))
        assert {task.title for task in studio.ask(PrepTasks(class_id))} == plain


@pytest.mark.parametrize(
    ("change", "risen"),
    [
        ({"title": "Other"}, True),
        ({"public_note": "Bring an apron"}, True),
        ({"state": "tentative"}, True),
        ({"mailed_kit": True}, True),
        ({"seats": 5}, False),
        ({"fee_minor": 1}, False),
        ({"private_note": "ring the hall"}, False),
    ],
)
def test_the_calendars_revision_rises_with_what_the_calendar_shows(change: dict[str, object], risen: bool) -> None:
    with a_studio() as studio:
        class_id = class_date(studio)
        studio.do(ChangeClassDate(class_date_id=class_id, **change))
        assert dump(studio)["class_date"][0]["sequence"] == int(risen)


def test_another_address_raises_the_revision_of_the_classes_there() -> None:
    with a_studio() as studio:
        room = venue(studio)
        class_date(studio, venue_id=room)
        class_date(studio)
        studio.do(ChangeVenue(venue_id=room, address="2 Other Lane"))
        studio.do(ChangeVenue(venue_id=room, contact="555"))
        assert [row["sequence"] for row in dump(studio)["class_date"]] == [1, 0]


def test_lists_tell_coming_and_past_by_the_last_session() -> None:
    with a_studio() as studio:
        room, book_id = venue(studio), project(studio)
        spans = [("2027-01-31", "2027-02-01"), ("2027-01-30", "2027-01-31"), ("2027-02-02", "2027-02-03")]
        for first, second in spans:
            sessions = tuple((local(day, "10:00"), local(day, "12:00")) for day in (first, second))
            studio.do(MakeClassDate(project_id=book_id, venue_id=room, sessions=sessions))
        assert [row.id for row in studio.ask(Classes("coming"))] == [1, 3]
        assert [row.id for row in studio.ask(Classes("past"))] == [2]
        assert [row.id for row in studio.ask(Classes("all"))] == [2, 1, 3]

"""Undo and redo: one history for all windows, nothing taken back that has changed since (decisions 15)."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import ChangeClassDate, MoveClassDate
from scheduling.commands.people import AddPerson, ChangePerson, RetirePerson
from scheduling.commands.settings import CloseDays, MoveClock, OpenDay
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import ConflictError, NotFoundError, UnseenError
from scheduling.queries.history import History
from scheduling.queries.people import FindPeople, Person
from scheduling.queries.roster import Roster
from scheduling.queries.settings import ClosedDays
from scheduling.store import database
from scheduling.studio import COMMAND_LINE, Studio
from tests.support.builders import NOW, a_studio, book, class_date, dump, local, person


def names(studio: Studio) -> list[str]:
    return [row.name for row in studio.ask(FindPeople("")).rows]


def test_actions_are_taken_back_and_made_again_one_after_the_other() -> None:
    with a_studio() as studio:
        for name in ("Ann", "Bo", "Cy"):
            person(studio, name)
        said = [studio.do(Undo()).said for _ in range(2)]
        assert said == [f"Taken back: Added {ref}. Redo makes it again." for ref in ("A03", "A02")]
        assert names(studio) == ["Ann"]
        studio.do(Redo())
        assert names(studio) == ["Ann", "Bo"]
        studio.do(Redo())
        assert names(studio) == ["Ann", "Bo", "Cy"]
        with pytest.raises(NotFoundError, match="nothing to make again"):
            studio.do(Redo())


def test_what_was_made_again_can_be_taken_back_again_by_the_number_it_gives() -> None:
    with a_studio() as studio:
        made = studio.do(AddPerson(name="Ann"))
        assert studio.do(Undo()).history_id == 0, "an undo has no number of its own"
        assert studio.do(Redo()).history_id == made.history_id
        studio.do(Undo(history_id=made.history_id))
        assert names(studio) == []


def test_a_new_action_drops_what_could_have_been_made_again() -> None:
    with a_studio() as studio:
        person(studio, "Ann")
        studio.do(Undo())
        person(studio, "Bo")
        with pytest.raises(NotFoundError):
            studio.do(Redo())
        assert names(studio) == ["Bo"]


def test_a_number_given_once_is_not_given_again_after_undo() -> None:
    with a_studio() as studio:
        assert person(studio) == 1
        studio.do(Undo())
        assert person(studio) == 2


def test_undo_reaches_across_restarts(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        person(studio, "Ann")
        seen = studio.revision
    with Studio(str(path), clock=FixedClock(NOW)) as studio:
        studio.do(Undo(seen=seen))
    with Studio(str(path), clock=FixedClock(NOW)) as studio:
        studio.do(Redo())
        assert names(studio) == ["Ann"]


def test_an_action_of_another_window_is_named_before_it_is_taken_back(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as mine, Studio(str(path), origin="window other", clock=FixedClock(NOW)) as other:
        person(mine, "Ann")
        drawn = mine.revision
        person(other, "Bo")
        with pytest.raises(UnseenError, match="Added A02") as caught:
            mine.do(Undo(seen=drawn))
        assert names(mine) == ["Ann", "Bo"]
        mine.do(Undo(history_id=caught.value.history_id))
        assert names(mine) == ["Ann"]


def test_what_this_screen_has_drawn_is_taken_back_whoever_made_it(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as mine, Studio(str(path), origin="window other", clock=FixedClock(NOW)) as other:
        person(other, "Bo")
        mine.do(Undo(seen=mine.revision))
        assert names(other) == []


def test_the_command_line_asks_for_the_number_of_what_a_window_did(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as window, Studio(str(path), origin=COMMAND_LINE, clock=FixedClock(NOW)) as line:
        person(window, "Ann")
        with pytest.raises(UnseenError):
            line.do(Undo())
        person(line, "Bo")
        line.do(Undo())
        assert names(line) == ["Ann"]


def test_a_later_change_of_the_same_row_is_named() -> None:
    with a_studio() as studio:
        ann = person(studio, "Ann")
        first = studio.do(ChangePerson(person_id=ann, phone="1"))
        later = studio.do(ChangePerson(person_id=ann, phone="2"))
        with pytest.raises(ConflictError, match=f"{later.history_id}, Changed A01") as caught:
            studio.do(Undo(history_id=first.history_id))
        assert caught.value.hint == f"Undo {later.history_id} first."
        studio.do(Undo(history_id=later.history_id))
        studio.do(Undo(history_id=first.history_id))
        assert studio.ask(Person(ann)).phone == ""


def test_what_came_to_depend_on_it_is_named() -> None:
    with a_studio() as studio:
        added = studio.do(AddPerson(name="Ann"))
        booked = book(studio, class_date(studio), added.person_id)
        with pytest.raises(ConflictError, match=f"{booked.history_id}, B01 for A01"):
            studio.do(Undo(history_id=added.history_id))


def test_what_it_would_point_at_and_is_gone_is_named() -> None:
    with a_studio() as studio:
        guardian = studio.do(AddPerson(name="Ann"))
        child = person(studio, "Cy", guardian_id=guardian.person_id)
        parted = studio.do(ChangePerson(person_id=child, guardian_id=None))
        own = next(row.id for row in studio.ask(History()) if row.summary == "Added A02 Cy")
        with pytest.raises(ConflictError):
            studio.do(Undo(history_id=own))
        studio.do(Undo(history_id=guardian.history_id))
        with pytest.raises(ConflictError, match="Took back") as caught:
            studio.do(Undo(history_id=parted.history_id))
        assert caught.value.hint.startswith("Redo")


def test_what_stands_in_its_place_by_now_is_named() -> None:
    with a_studio() as studio:
        day = dt.date(2027, 2, 8)
        studio.do(CloseDays(first=day))
        opened = studio.do(OpenDay(closed_day_id=studio.ask(ClosedDays())[0].id))
        closed = studio.do(CloseDays(first=day, note="again"))
        with pytest.raises(ConflictError, match=f"{closed.history_id}, "):
            studio.do(Undo(history_id=opened.history_id))


def test_undo_gives_no_seat_that_another_has_by_now() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=1)
        ann = book(studio, class_id)
        gone = studio.do(CancelBooking(booking_id=ann.booking_id))
        book(studio, class_id)
        with pytest.raises(ConflictError, match="no seat left"):
            studio.do(Undo(history_id=gone.history_id))
        assert studio.ask(Roster(class_id)).class_row.heads == 1


def test_a_move_taken_back_raises_the_calendars_revision_once_more() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, "2027-03-13")
        session = (local("2027-03-20", "10:00"), local("2027-03-20", "12:00"))
        studio.do(MoveClassDate(class_date_id=class_id, sessions=(session,)))
        studio.do(Undo())
        rows = dump(studio)
        assert rows["session"][0]["starts"] == "2027-03-13T10:00"
        assert rows["class_date"][0]["sequence"] == 2
        studio.do(Redo())
        assert dump(studio)["class_date"][0]["sequence"] == 3


def test_a_change_that_changes_nothing_is_no_action() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, title="Books")
        before = studio.revision
        assert studio.do(ChangeClassDate(class_date_id=class_id, title="Books")).history_id == 0
        assert studio.do(ChangePerson(person_id=person(studio, "Ann"), name="Ann")).history_id == 0
        assert studio.revision == before + 1


def test_an_action_taken_back_is_not_taken_back_twice() -> None:
    with a_studio() as studio:
        added = studio.do(AddPerson(name="Ann"))
        studio.do(Undo(history_id=added.history_id))
        with pytest.raises(ConflictError, match="taken back already"):
            studio.do(Undo(history_id=added.history_id))
        with pytest.raises(NotFoundError, match="no action 99"):
            studio.do(Undo(history_id=99))


def test_setting_up_and_the_clock_are_not_taken_back() -> None:
    with a_studio(frozen_now=NOW) as studio:
        with pytest.raises(ConflictError, match="cannot be taken back: Set up the studio"):
            studio.do(Undo())
        moved = studio.do(MoveClock(moment=NOW + dt.timedelta(days=1)))
        assert moved.history_id == 0
        with pytest.raises(ConflictError, match="cannot be taken back"):
            studio.do(Undo())
        assert studio.now == NOW + dt.timedelta(days=1)


def test_the_history_names_people_by_number_and_shows_their_present_names() -> None:
    with a_studio() as studio:
        ann = person(studio, "Ann")
        studio.do(ChangePerson(person_id=ann, name="Anna"))
        assert [row["summary"] for row in dump(studio)["history"][1:]] == ["Added A01", "Changed A01"]
        assert [row.summary for row in studio.ask(History())][:2] == ["Changed A01 Anna", "Added A01 Anna"]


def test_a_change_by_another_program_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        ann = person(studio, "Ann")
        studio.do(RetirePerson(person_id=ann))
        raw = database.connect(str(path))
        raw.execute("UPDATE person SET phone = '123'")
        raw.close()
        with pytest.raises(ConflictError, match="another program"):
            studio.do(Undo())
        assert studio.ask(Person(ann)).phone == "123"

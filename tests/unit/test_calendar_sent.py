"""What went out and was taken back since is called off in every file that could have held it, and comes back above."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import icalendar
import pytest

from scheduling.calendars_out import write_calendar
from scheduling.clock import FixedClock
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import ChangeClassDate
from scheduling.commands.erasing import ErasePerson
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import NotFoundError
from scheduling.queries.calendars import AttendeeCalendar, ClassCalendar, PrivateCalendar
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, book, class_date, person
from tui.lines import entry

LATER = dt.timedelta(days=1)
Wanted = ClassCalendar | PrivateCalendar | AttendeeCalendar


def events_in(path: Path) -> list[Any]:
    return list(icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT"))


class Desk:
    """A studio, its clock and a folder for what is written."""

    def __init__(self, folder: Path) -> None:
        self.clock = FixedClock(NOW)
        self.folder = folder
        self.studio = a_studio(str(folder / "s.kitwright"), clock=self.clock)

    def write(self, wanted: Wanted, name: str) -> dict[str, Any]:
        """Written to `name`, and read by another hand: the entries by their title."""
        write_calendar(self.studio, self.folder / name, wanted)
        calendar = icalendar.Calendar.from_ical((self.folder / name).read_bytes())
        return {str(part["SUMMARY"]): part for part in calendar.walk() if part.name in ("VEVENT", "VTODO")}

    def later(self, command: Any, days: int = 1) -> None:
        self.clock.set_forward(self.clock.now() + days * LATER)
        self.studio.do(command)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def test_a_class_taken_back_is_called_off_at_a_new_path_and_in_its_own_file(desk: Desk) -> None:
    number = class_date(desk.studio, "2027-03-13", title="Goes")
    went = desk.write(ClassCalendar(), "classes.ics")["Goes"]
    desk.later(Undo())
    for wanted, name in ((ClassCalendar(), "elsewhere.ics"), (ClassCalendar(number), "class.ics")):
        gone = desk.write(wanted, name)["Goes"]
        assert (gone["STATUS"], gone["UID"], gone["DTSTART"].dt) == ("CANCELLED", went["UID"], went["DTSTART"].dt)
        assert (gone["SEQUENCE"], gone["TRANSP"]) == (went["SEQUENCE"] + 1, "TRANSPARENT")
    octets = (desk.folder / "elsewhere.ics").read_bytes()
    desk.clock.set_forward(desk.clock.now() + LATER)
    assert not write_calendar(desk.studio, desk.folder / "elsewhere.ics", ClassCalendar())
    assert (desk.folder / "elsewhere.ics").read_bytes() == octets


def test_what_never_went_out_is_called_off_nowhere(desk: Desk) -> None:
    class_date(desk.studio, "2027-03-06", title="Stays")
    desk.write(ClassCalendar(), "classes.ics")
    number = class_date(desk.studio, "2027-03-13", title="Mistyped")
    desk.later(Undo())
    assert set(desk.write(ClassCalendar(), "new.ics")) == {"Stays"}
    with pytest.raises(NotFoundError, match="not there"):
        desk.studio.ask(ClassCalendar(number))


def test_a_class_file_alone_sent_to_somebody_is_remembered_by_the_class_calendar_too(desk: Desk) -> None:
    number = class_date(desk.studio, "2027-03-13", title="Goes")
    desk.write(ClassCalendar(number), "sent.ics")
    desk.later(Undo())
    assert desk.write(ClassCalendar(), "classes.ics")["Goes"]["STATUS"] == "CANCELLED"
    assert "Goes" not in desk.write(PrivateCalendar(), "private.ics")  # hers never held it


def test_a_public_class_made_private_is_called_off_for_anyone_and_stands_for_her(desk: Desk) -> None:
    number = class_date(desk.studio, "2027-03-13", title="Garland")
    desk.write(ClassCalendar(), "classes.ics")
    desk.write(PrivateCalendar(), "private.ics")
    desk.later(ChangeClassDate(class_date_id=number, private_party=True, title="Lena's birthday"))
    public = desk.write(ClassCalendar(), "new.ics")
    assert {title: str(part["STATUS"]) for title, part in public.items()} == {"Garland": "CANCELLED"}
    assert b"Lena" not in (desk.folder / "new.ics").read_bytes()
    assert desk.write(PrivateCalendar(), "private.ics")["Lena's birthday"]["STATUS"] != "CANCELLED"


def test_prep_and_deadlines_of_a_class_taken_back_are_called_off_in_her_calendar(desk: Desk) -> None:
    class_date(desk.studio, "2027-03-13", title="Goes", mailed_kit=True)
    went = desk.write(PrivateCalendar(blocks=True), "private.ics")
    kinds = {part.name for part in went.values()}
    assert kinds == {"VEVENT", "VTODO"}
    desk.later(Undo())
    gone = desk.write(PrivateCalendar(blocks=True), "other.ics")
    assert set(gone) == {title for title in went if not title.startswith("Prep:")}
    for title, part in gone.items():
        assert (part.name, part["UID"], str(part["STATUS"])) == (went[title].name, went[title]["UID"], "CANCELLED")
        assert part["SEQUENCE"] > went[title]["SEQUENCE"]
        assert not part.walk("VALARM")
        if part.name == "VTODO":
            assert part["DUE"].dt == went[title]["DUE"].dt


def test_what_she_leaves_out_of_her_calendar_is_not_called_off(desk: Desk) -> None:
    class_date(desk.studio, "2027-03-13", title="Album")
    desk.write(PrivateCalendar(), "private.ics")
    less = desk.write(PrivateCalendar(prep=False, deadlines=False), "private.ics")
    assert set(less) == {"Album"}


def test_a_booking_taken_back_is_called_off_in_the_attendees_file_and_nowhere_else(desk: Desk) -> None:
    number = class_date(desk.studio, "2027-03-13", title="Album")
    ada, bea = person(desk.studio, "Ada Wren"), person(desk.studio, "Bea Finch")
    book(desk.studio, number, ada)
    went = desk.write(AttendeeCalendar(ada), "ada.ics")["Album"]
    desk.later(Undo())
    gone = desk.write(AttendeeCalendar(ada), "ada-again.ics")["Album"]
    assert (gone["UID"], str(gone["STATUS"])) == (went["UID"], "CANCELLED")
    assert gone["SEQUENCE"] > went["SEQUENCE"]
    assert desk.write(ClassCalendar(), "classes.ics")["Album"]["STATUS"] != "CANCELLED"
    with pytest.raises(NotFoundError, match="has no class"):
        desk.studio.ask(AttendeeCalendar(bea))
    desk.later(Redo())
    back = desk.write(AttendeeCalendar(ada), "ada.ics")["Album"]
    assert str(back["STATUS"]) == "CONFIRMED"
    assert back["SEQUENCE"] > gone["SEQUENCE"]


def test_taken_back_and_made_again_over_and_over_each_file_is_newer_than_the_last(desk: Desk) -> None:
    number = class_date(desk.studio, "2027-03-13", title="Album")
    seen = [desk.write(ClassCalendar(), "0.ics")["Album"]]
    for turn, command in enumerate((Undo(), Redo(), Undo(), Redo(), Undo(), Redo()), 1):
        desk.later(command)
        seen.append(desk.write(ClassCalendar(), f"{turn}.ics")["Album"])
    desk.later(ChangeClassDate(class_date_id=number, public_note="Bring an apron"))
    seen.append(desk.write(ClassCalendar(), "last.ics")["Album"])
    ranks = [(part["SEQUENCE"], part["DTSTAMP"].dt) for part in seen]
    assert ranks == sorted(set(ranks))
    assert len({str(part["UID"]) for part in seen}) == 1
    # One that is back is above what called it off also for a reader that looks at the number alone.
    assert all(back["SEQUENCE"] > gone["SEQUENCE"] for gone, back in zip(seen[1:6:2], seen[2:7:2], strict=True))


def test_after_half_a_year_it_is_called_off_no_more(desk: Desk) -> None:
    class_date(desk.studio, "2027-03-13", title="Goes")
    desk.write(ClassCalendar(), "classes.ics")
    desk.later(Undo(), days=1)
    desk.clock.set_forward(dt.datetime(2027, 9, 12, 12, tzinfo=dt.UTC))
    assert set(desk.write(ClassCalendar(), "classes.ics")) == {"Goes"}
    desk.clock.set_forward(dt.datetime(2027, 9, 13, 12, tzinfo=dt.UTC))
    assert set(desk.write(ClassCalendar(), "classes.ics")) == set()


@pytest.mark.parametrize(
    ("zone", "day", "at"),
    [
        ("America/New_York", "2027-11-07", "01:30"),
        ("Australia/Lord_Howe", "2027-04-04", "01:45"),
        ("Africa/Casablanca", "2027-02-07", "02:30"),
        ("Asia/Kolkata", "2028-02-29", "23:30"),
    ],
)
def test_it_is_called_off_at_the_very_time_at_which_it_stood(tmp_path: Path, zone: str, day: str, at: str) -> None:
    with a_studio(str(tmp_path / "s.kitwright"), clock=FixedClock(NOW), zone=zone) as studio:
        class_date(studio, day, at, f"{(int(at[:2]) + 3) % 24:02d}:45" if at < "20" else "23:55", title="Goes")
        write_calendar(studio, tmp_path / "a.ics", ClassCalendar())
        studio.do(Undo())
        write_calendar(studio, tmp_path / "b.ics", ClassCalendar())
    (went,), (gone,) = (events_in(tmp_path / name) for name in ("a.ics", "b.ics"))
    assert str(gone["STATUS"]) == "CANCELLED"
    for name in ("DTSTART", "DTEND"):
        assert gone[name].dt.astimezone(dt.UTC) == went[name].dt.astimezone(dt.UTC)


def test_the_record_is_no_action_of_hers_and_outlives_a_plain_copy(desk: Desk, tmp_path: Path) -> None:
    class_date(desk.studio, "2027-03-13", title="Goes")
    before = desk.studio.revision
    desk.write(ClassCalendar(), "classes.ics")
    assert desk.studio.revision == before
    desk.later(Undo())  # takes the class back, not the writing
    path, other = tmp_path / "s.json", tmp_path / "other.kitwright"
    assert entry.run(["copy-out", str(path), "--file", desk.studio.path]) == 0
    assert entry.run(["copy-in", str(path), "--file", str(other)]) == 0
    with Studio(str(other), clock=desk.clock) as copy:
        assert b"STATUS:CANCELLED" in copy.ask(ClassCalendar())


def test_erasing_a_person_takes_the_record_of_their_calendar_away(desk: Desk) -> None:
    ada = person(desk.studio, "Ada Wren")
    made = book(desk.studio, class_date(desk.studio, title="Album"), ada)
    desk.write(AttendeeCalendar(ada), "ada.ics")
    desk.later(CancelBooking(booking_id=made.booking_id))
    desk.later(ErasePerson(person_id=ada))
    connection = desk.studio._connection
    assert connection.execute("SELECT count(*) FROM calendar_sent WHERE person_id IS NOT NULL").fetchone()[0] == 0


def test_a_file_that_knows_more_than_a_restored_studio_is_heard_too(desk: Desk, tmp_path: Path) -> None:
    desk.write(ClassCalendar(), "classes.ics")
    copy = desk.studio.copy_to(tmp_path / "older.kitwright")
    class_date(desk.studio, "2027-03-13", title="After the copy")
    desk.write(ClassCalendar(), "classes.ics")
    with Studio(str(copy), clock=desk.clock) as restored:
        write_calendar(restored, tmp_path / "classes.ics", ClassCalendar())
    (gone,) = events_in(tmp_path / "classes.ics")
    assert (str(gone["SUMMARY"]), str(gone["STATUS"])) == ("After the copy", "CANCELLED")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"DTSTART;TZID=America/New_York:", b"DTSTART;TZID=Nowhere/At_All:"),
        (b"DTSTART;TZID=America/New_York:2027", b"DTSTART;TZID=America/New_York:2028"),
        (b"SEQUENCE:0", b"SEQUENCE:-3"),
        (b"SEQUENCE:0", b"SEQUENCE:many"),
        (b"DTEND;TZID=America/New_York:20270313", b"DTEND;TZID=America/New_York:00010101"),
        (b"END:VEVENT\r\n", b""),
    ],
)
def test_a_file_that_a_hand_has_been_in_stands_in_no_way(desk: Desk, old: bytes, new: bytes) -> None:
    class_date(desk.studio, "2027-03-13", title="Album")
    octets = desk.studio.ask(ClassCalendar())
    assert old in octets
    desk.studio.do(Undo())
    assert desk.studio.ask(ClassCalendar(before=octets.replace(old, new))).count(b"BEGIN:VEVENT") == 0


def test_a_class_that_is_gone_is_called_off_by_its_reference_on_the_command_line(
    desk: Desk, capsys: pytest.CaptureFixture[str]
) -> None:
    class_date(desk.studio, "2027-03-13", title="Goes")
    target = str(desk.folder / "c.ics")
    assert entry.run(["export", "class", "C01", "--to", target, "--file", desk.studio.path]) == 0
    desk.studio.do(Undo())
    assert entry.run(["export", "class", "C01", "--to", target, "--file", desk.studio.path]) == 0
    assert b"STATUS:CANCELLED" in Path(target).read_bytes()
    assert entry.run(["export", "class", "C77", "--to", target, "--file", desk.studio.path]) == 1
    assert "C77" in capsys.readouterr().err

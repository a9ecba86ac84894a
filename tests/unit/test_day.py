"""The day of a class: signing in and out, collectors, no-shows and their kit, tools, and the run sheet's clocks."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scheduling.clock import WallTime
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import MarkTaught
from scheduling.commands.day import CountTools, MarkNoShow, SetCollectors, SetRunSheet, SignIn, SignOut
from scheduling.commands.people import AddPerson
from scheduling.commands.undoing import Undo
from scheduling.commands.walk_ins import WalkIn
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.day import Step, default_steps, late_minutes, run_sheet, sheet_warnings
from scheduling.queries.car_list import CarList
from scheduling.queries.classes import Classes
from scheduling.queries.day import Day
from scheduling.queries.kit_runs import KitRun
from scheduling.queries.roster import SeatsOf
from scheduling.studio import Studio
from tests.support.book_studio import ZONE, BookStudio
from tests.support.demo_studio import demo_copy


class Lanterns:
    """A class from 10:00 to 12:00 on Sat 6 Mar with an adult, and a child of hers."""

    def __init__(self) -> None:
        self.book = BookStudio()
        self.class_date = self.book.class_date("2027-03-06")
        mara = self.book.person("Mara Fen", phone="555 0100")
        self.pip = self.book.person("Pip Fen", guardian_id=mara)
        self.adult, self.child = (self.seat(self.book.book(self.class_date, person)) for person in (mara, self.pip))

    def seat(self, booking: int) -> int:
        return int(self.book.studio.ask(SeatsOf(booking))[0].seat_id)


def test_signing_in_marks_a_head_attended_and_taking_it_back_unmarks_it() -> None:
    day = Lanterns()
    day.book.on("2027-03-06T09:50")
    day.book.do(SignIn(seat_id=day.adult))
    sheet = day.book.studio.ask(Day(day.class_date))
    assert [(one.name, one.mark) for one in sheet.here] == [("Mara Fen", "attended")]
    assert [one.name for one in sheet.missing] == ["Pip Fen"]
    day.book.do(SignIn(seat_id=day.adult, back=True))
    assert len(day.book.studio.ask(Day(day.class_date)).missing) == 2


def test_nobody_is_signed_in_the_day_before() -> None:
    day = Lanterns()
    day.book.on("2027-03-05T12:00")
    with pytest.raises(ConflictError):
        day.book.do(SignIn(seat_id=day.adult))


def test_a_child_goes_only_with_who_is_listed_unless_she_says_so() -> None:
    day = Lanterns()
    day.book.on("2027-03-06T09:50")
    day.book.do(SignIn(seat_id=day.child))
    with pytest.raises(InvalidError):
        day.book.do(SignOut(seat_id=day.child))
    with pytest.raises(ConflictError):
        day.book.do(SignOut(seat_id=day.child, to="A stranger"))
    day.book.do(SetCollectors(person_id=day.pip, collectors="Uncle Jo, Nan"))
    day.book.on("2027-03-06T12:11")
    assert day.book.do(SignOut(seat_id=day.child, to="nan")).late == 11
    (one,) = day.book.studio.ask(Day(day.class_date)).to_collect
    assert (one.signed_out_to, one.late, one.guardian_phone) == ("nan", 11, "555 0100")


def test_an_adult_goes_without_being_asked_with_whom() -> None:
    day = Lanterns()
    day.book.on("2027-03-06T09:50")
    day.book.do(SignIn(seat_id=day.adult))
    assert day.book.do(SignOut(seat_id=day.adult)).late == 0


def test_the_first_ten_minutes_are_not_late() -> None:
    ends = dt.datetime(2027, 3, 6, 17, tzinfo=dt.UTC)
    assert [late_minutes(ends + dt.timedelta(minutes=n), ends) for n in (-5, 0, 10, 11, 45)] == [0, 0, 0, 11, 45]


def test_the_kit_of_a_no_show_waits_14_days_or_goes_back() -> None:
    day = Lanterns()
    day.book.on("2027-03-06T10:20")
    day.book.do(MarkNoShow(seat_id=day.adult, kit="to collect"))
    day.book.do(MarkNoShow(seat_id=day.child))
    heads = {one.name: one for one in day.book.studio.ask(Day(day.class_date)).heads}
    assert heads["Mara Fen"].kit_collect_by == dt.date(2027, 3, 20)
    assert (heads["Pip Fen"].kit, heads["Pip Fen"].mark) == ("back in stock", "no-show")


def test_a_tool_that_is_not_counted_in_is_named() -> None:
    day = Lanterns()
    day.book.do(CountTools(class_date_id=day.class_date, tool="Awl", counted_out=8))
    assert (
        "Awl: 1 missing" in day.book.do(CountTools(class_date_id=day.class_date, tool="awl", counted_in=7)).warnings[0]
    )
    assert day.book.studio.ask(Day(day.class_date)).tools[0].missing == 1
    with pytest.raises(InvalidError):
        day.book.do(CountTools(class_date_id=day.class_date, tool="Knife", counted_in=1))


@pytest.mark.parametrize("minutes", [20, 60, 75, 120, 150, 210, 330])
@pytest.mark.parametrize("children", [True, False])
def test_the_usual_run_sheet_fills_the_class_to_the_minute(minutes: int, children: bool) -> None:
    steps = default_steps(minutes, children=children)
    assert sum(step.minutes for step in steps) == minutes


def test_the_drying_clock_names_what_is_not_dry_at_going_home_time() -> None:
    starts = WallTime(dt.datetime.fromisoformat("2027-03-06T10:00"), ZONE).aware
    ends = starts + dt.timedelta(hours=2)
    segments = run_sheet((Step("Glue", 30, 60), Step("Case in", 60, 60), Step("Tidy", 45)), starts, ends)
    assert [one.dry_in_time for one in segments] == [True, False, True]
    said = sheet_warnings(segments, ends)
    assert "15 minutes longer" in said[0]
    assert "Case in is dry at Sat 12:30" in said[1]


def test_a_run_sheet_over_a_clock_change_counts_real_minutes() -> None:
    starts = WallTime(dt.datetime.fromisoformat("2027-03-14T01:30"), ZONE).aware
    segments = run_sheet((Step("One", 30), Step("Two", 30)), starts, starts + dt.timedelta(hours=2))
    assert [f"{one.starts:%H:%M}-{one.ends:%H:%M}" for one in segments] == ["01:30-03:00", "03:00-03:30"]


def test_her_own_run_sheet_takes_the_place_of_the_usual_one() -> None:
    day = Lanterns()
    day.book.do(SetRunSheet(class_date_id=day.class_date, steps=(("Fold", 60, 0), ("Sew", 60, 0))))
    sheet = day.book.studio.ask(Day(day.class_date))
    assert [one.step.what for one in sheet.segments] == ["Fold", "Sew"]
    assert f"{sheet.before[0].starts:%H:%M}" == "08:45"
    day.book.do(SetRunSheet(class_date_id=day.class_date, steps=()))
    assert not day.book.studio.ask(Day(day.class_date)).own_sheet


def test_what_the_day_leaves_to_do_is_listed_once_it_is_over() -> None:
    day = Lanterns()
    day.book.do(CountTools(class_date_id=day.class_date, tool="Awl", counted_out=8))
    assert day.book.studio.ask(Day(day.class_date)).follow_up == ()
    day.book.on("2027-03-06T13:00")
    said = [one.what for one in day.book.studio.ask(Day(day.class_date)).follow_up]
    assert said == [
        "2 heads are neither attended nor no-show: mark them.",
        "Count in: Awl.",
        "Mark the class as taught.",
    ]
    for seat in (day.adult, day.child):
        day.book.do(MarkNoShow(seat_id=seat))
    day.book.do(CountTools(class_date_id=day.class_date, tool="Awl", counted_in=8))
    day.book.do(MarkTaught(class_date_id=day.class_date))
    assert day.book.studio.ask(Day(day.class_date)).follow_up == ()


def test_a_walk_in_has_a_seat_a_spare_kit_and_a_payment_to_come_and_one_undo_takes_it_back() -> None:
    day = Lanterns()
    day.book.on("2027-03-06T10:05")
    made = day.book.do(WalkIn(class_date_id=day.class_date, newcomer=AddPerson(name="Ola Reed")))
    (ola,) = [one for one in day.book.studio.ask(Day(day.class_date)).heads if one.name == "Ola Reed"]
    assert (ola.mark, ola.kit, ola.signed_in is not None) == ("attended", "handed over", True)
    assert day.book.money(day.class_date, made.booking_id).balance.to_pay == 7200
    assert "72.00 EUR to pay" in made.said
    day.book.do(Undo(seen=day.book.studio.revision))
    assert len(day.book.studio.ask(Day(day.class_date)).heads) == 2


def test_nobody_walks_in_the_day_before_or_after_the_end() -> None:
    day = Lanterns()
    ola = day.book.person("Ola Reed")
    for moment in ("2027-03-05T12:00", "2027-03-06T12:01"):
        day.book.on(moment)
        with pytest.raises(ConflictError):
            day.book.do(WalkIn(class_date_id=day.class_date, person_id=ola))


def test_a_walk_in_passes_the_waitlist_only_when_she_says_so_and_never_into_a_full_class() -> None:
    book = BookStudio()
    small = book.class_date("2027-03-06", seats=1)
    first = book.book(small, book.person("Ann Moor"))
    book.book(small, book.person("Ben Holt"))
    ola = book.person("Ola Reed")
    book.on("2027-03-06T10:05")
    with pytest.raises(ConflictError):
        book.do(WalkIn(class_date_id=small, person_id=ola, over_the_list=True))
    book.do(CancelBooking(booking_id=first))
    with pytest.raises(ConflictError) as refused:
        book.do(WalkIn(class_date_id=small, person_id=ola))
    assert refused.value.field == "over_the_list"
    assert book.do(WalkIn(class_date_id=small, person_id=ola, over_the_list=True)).seats_left == 0


def test_the_tools_of_the_project_are_listed_with_how_many_are_wanted(tmp_path: Path) -> None:
    with Studio(str(demo_copy(tmp_path))) as studio:
        sheet, wanted = studio.ask(Day(9)), studio.ask(KitRun(9)).tools
        assert [(one.tool, one.wanted) for one in sheet.tools] == [(one.name, one.wanted) for one in wanted] != []
        studio.do(CountTools(class_date_id=9, tool=wanted[0].name, counted_out=wanted[0].wanted))
        assert studio.ask(Day(9)).tools[0].counted_out == wanted[0].wanted


def test_the_car_list_counts_kits_and_tools_and_is_empty_online(tmp_path: Path) -> None:
    with Studio(str(demo_copy(tmp_path))) as studio:
        car = studio.ask(CarList(9))
        kits = studio.ask(KitRun(9)).kits
        assert car[0].count == kits
        assert {one.name for one in studio.ask(KitRun(9)).tools} <= {one.what for one in car}
        online = next(row.id for row in studio.ask(Classes("all")) if "online" in row.venue.casefold())
        assert studio.ask(CarList(online)) == ()

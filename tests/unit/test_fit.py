"""Needs of attendees against venue, project, kit, tools and helpers; who is in the room; kits that go abroad."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from scheduling.commands.bookings import Book, NameSeat
from scheduling.commands.classes import ChangeClassDate
from scheduling.commands.offers import OfferSeats
from scheduling.commands.people import ChangePerson
from scheduling.commands.transfers import TransferBooking
from scheduling.errors import ConflictError
from scheduling.model.fit import Asks, Place, Posting, abroad_says, misfits
from scheduling.queries.plan import PrepTasks
from scheduling.queries.roster import Roster
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, person, project, venue
from tests.support.builders import book as booked

PLACE = Place(
    venue="Hall",
    online=False,
    step_free=False,
    hearing_loop=False,
    age_from=12,
    first_day=dt.date(2027, 3, 13),
    materials=(("PVA cup", ""), ("Cord 1/16", "latex core"), ("Binder's board", "")),
    tools=("Knife", "Bone folder"),
)


def said(needs: str = "", *, note: str = "", year: int | None = None, place: Place = PLACE) -> str:
    return "\n".join(misfits(Asks("Ada", needs, year, note, has_guardian=True), place))


@pytest.mark.parametrize(
    ("needs", "word"),
    [
        ("step-free", "step-free"),
        ("Wheelchair user", "step-free"),
        ("hearing loop, please", "loop"),
        ("left-handed", "left hand"),
        ("large-print handout", "large print"),
        ("needs to sit", "seat of a kind"),
        ("a quiet corner", "quiet"),
        ("one-to-one support worker", "no helper"),
    ],
)
def test_a_need_that_the_class_does_not_meet_is_said_with_its_mend(needs: str, word: str) -> None:
    assert word in said(needs)
    assert said(needs).startswith("Ada ")


def test_what_is_there_is_not_warned_of() -> None:
    fitting = replace(PLACE, step_free=True, hearing_loop=True, tools=("Left-handed knife",), helpers=1)
    assert said("step-free, hearing loop, left-handed, companion", place=fitting) == ""
    assert said("step-free, hearing loop", place=replace(PLACE, online=True)) == ""
    assert said("left-handed", place=replace(PLACE, tools=())) == "", "a project without tools asks for none"


@pytest.mark.parametrize(
    ("note", "named"),
    [
        ("PVA irritates skin", "PVA cup"),
        ("allergic to glue", "PVA cup"),
        ("Latex allergy", "Cord 1/16"),
        ("rubber", "Cord 1/16"),
        ("LATEX and PVA", "PVA cup, Cord 1/16"),
    ],
)
def test_a_health_note_that_names_what_is_in_the_kit_names_it(note: str, named: str) -> None:
    assert f"names what is in the kit ({named})" in said(note=note)
    assert "substitute" in said(note=note)


def test_a_health_note_that_names_nothing_of_the_kit_says_nothing_of_itself() -> None:
    assert said(note="nut allergy, skin reaction") == "Ada has a health note: read it before cutting materials."


def test_a_walnut_ink_is_found_by_a_nut_allergy() -> None:
    place = replace(PLACE, materials=(("Walnut ink", ""),))
    assert "Walnut ink" in said(note="nut allergy", place=place)


def test_a_child_under_the_age_and_without_a_guardian_is_warned_of() -> None:
    found = misfits(Asks("Dot", "", 2020), PLACE)
    assert ["7 at most" in found[0], "no guardian" in found[1]] == [True, True]
    assert misfits(Asks("Dot", "", 2010, has_guardian=True), PLACE) == []


# --- who is in the room -------------------------------------------------------------------------------------------


def test_guardians_who_stay_are_counted_with_those_in_the_room() -> None:
    """Posted 6: she, two children and their one guardian are 4; a third child with another guardian would be 6."""
    studio = a_studio()
    room = venue(studio, posted_occupancy=6, seats=5)
    class_id = class_date(studio, venue_id=room, children=True, guardians_stay=True)
    ann, bob, cat = (person(studio, name) for name in ("Ann", "Bob", "Cat"))
    kids = [person(studio, f"Kid {n}", guardian_id=of) for n, of in enumerate((ann, ann, bob, cat))]
    studio.do(Book(class_date_id=class_id, payer_id=ann, people=tuple(kids[:2])))
    studio.do(Book(class_date_id=class_id, payer_id=bob, people=(kids[2],)))
    before = studio.revision
    with pytest.raises(ConflictError, match="posted for 6 people; with you and 3 who stay that would be 8"):
        studio.do(Book(class_date_id=class_id, payer_id=cat, people=(kids[3],)))
    assert studio.revision == before
    studio.do(ChangeClassDate(class_date_id=class_id, guardians_stay=False))
    studio.do(Book(class_date_id=class_id, payer_id=cat, people=(kids[3],)))
    with pytest.raises(ConflictError, match="3 who stay"):
        studio.do(ChangeClassDate(class_date_id=class_id, guardians_stay=True))


def test_a_guardian_who_takes_a_seat_is_counted_once() -> None:
    studio = a_studio()
    room = venue(studio, posted_occupancy=3, seats=2)
    class_id = class_date(studio, venue_id=room, guardians_stay=True)
    ann = person(studio, "Ann")
    studio.do(Book(class_date_id=class_id, payer_id=ann, people=(ann, person(studio, "Kid", guardian_id=ann))))
    assert studio.ask(Roster(class_id)).class_row.seats_left == 0


def test_staying_adults_of_a_booking_and_helpers_fill_the_room_too() -> None:
    studio = a_studio()
    room = venue(studio, posted_occupancy=6, seats=4)
    class_id = class_date(studio, venue_id=room, helpers=1)
    booked(studio, class_id, heads=2, staying_adults=1)  # 2 + 1 + she + 1 helping = 5
    with pytest.raises(ConflictError, match="1 who stays"):
        booked(studio, class_id, heads=2)
    booked(studio, class_id)


def test_naming_a_child_offering_and_transferring_keep_to_the_posted_number_too() -> None:
    studio = a_studio()
    full, free = (
        class_date(studio, day, venue_id=venue(studio, posted_occupancy=3, seats=2), guardians_stay=True)
        for day in ("2027-03-13", "2027-03-20")
    )
    ann = person(studio, "Ann")
    kid = person(studio, "Kid", guardian_id=ann)
    held = studio.do(Book(class_date_id=full, payer_id=ann, people=(None, None)))
    seat = studio.ask(Roster(full)).seated[0].seat_id
    with pytest.raises(ConflictError, match="1 who stays"):
        studio.do(NameSeat(seat_id=seat, person_id=kid))
    studio.do(TransferBooking(booking_id=held.booking_id, class_date_id=free))
    waits = studio.do(Book(class_date_id=full, payer_id=ann, people=(kid, None), state="waitlist"))
    with pytest.raises(ConflictError, match="1 who stays"):
        studio.do(OfferSeats(class_date_id=full, booking_id=waits.booking_id))


# --- kits by mail -------------------------------------------------------------------------------------------------


def test_a_kit_abroad_is_told_by_when_or_what_to_offer_instead() -> None:
    posting = Posting(dt.date(2027, 2, 10), dt.date(2027, 1, 29), dt.date(2027, 1, 29))
    assert abroad_says("Sun", posting) == "Sun lives abroad: post that kit by Fri 29 Jan."
    late = replace(posting, today=dt.date(2027, 1, 30))
    assert abroad_says("Sun", late).endswith("was to be posted by Fri 29 Jan: offer a credit.")
    later = replace(late, others=(("C10 Sketchbook", dt.date(2027, 2, 20)),))
    assert "or C10 Sketchbook, whose kits for abroad are posted by Sat 20 Feb" in abroad_says("Sun", later)


def test_a_mailed_kit_without_an_address_is_warned_of_at_booking_and_on_the_class() -> None:
    studio = a_studio()
    online = venue(studio, online=True, own_room=False)
    class_id = class_date(studio, venue_id=online, mailed_kit=True)
    nowhere, there = person(studio, "Nora"), person(studio, "Theo", address="1 Mill Lane")
    made = studio.do(Book(class_date_id=class_id, payer_id=nowhere))
    assert any("No address is kept for the kit of Nora" in warning for warning in made.warnings)
    assert studio.do(Book(class_date_id=class_id, payer_id=there)).warnings == ()
    assert studio.ask(Roster(class_id)).warnings == (
        "No address is kept for the kit of Nora: ask for it before the kits are posted.",
    )


def test_booking_someone_abroad_in_time_brings_the_posting_abroad_into_the_prep() -> None:
    """A class of Sat 13 Mar: 15 mailing days that end by T-4, Tue 9 Mar, begin after Fri 19 Feb."""
    studio = a_studio()
    mailed = project(studio)
    online = venue(studio, online=True, own_room=False)
    class_id = class_date(studio, venue_id=online, project_id=mailed, mailed_kit=True)
    assert "abroad" not in _open_titles(studio, class_id)
    abroad = person(studio, "Sun", abroad=True, address="5 Harbour Steps")
    made = studio.do(Book(class_date_id=class_id, payer_id=abroad))
    assert "Sun lives abroad: post that kit by Fri 19 Feb." in made.warnings
    assert "abroad" in _open_titles(studio, class_id)


def test_someone_who_moves_abroad_after_booking_brings_it_too() -> None:
    studio = a_studio()
    class_id = class_date(studio, venue_id=venue(studio, online=True, own_room=False), mailed_kit=True)
    theo = person(studio, "Theo", address="1 Mill Lane")
    booked(studio, class_id, theo)
    studio.do(ChangePerson(person_id=theo, abroad=True))
    assert "abroad" in _open_titles(studio, class_id)
    (row,) = studio.ask(Roster(class_id)).seated
    assert (row.address, row.abroad) == ("1 Mill Lane", True)


def _open_titles(studio: Studio, class_id: int) -> str:
    return " ".join(task.title for task in studio.ask(PrepTasks(class_date_id=class_id)) if task.is_open)


def test_who_wants_no_photos_is_named_on_the_class() -> None:
    studio = a_studio()
    class_id = class_date(studio)
    booked(studio, class_id, person(studio, "Ada", photos="no"))
    booked(studio, class_id, person(studio, "Bo", photos="yes"))
    assert studio.ask(Roster(class_id)).warnings == ("No photos of Ada: keep a seat or an area out of the picture.",)

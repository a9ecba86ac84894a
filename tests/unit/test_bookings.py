"""Seats: booked, given up, given on in join order, and never one too many (decisions 7, 8)."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.bookings import Book, CancelBooking, MarkSeat, NameSeat, SettleBooking
from scheduling.commands.classes import ChangeClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.people import RetirePerson
from scheduling.commands.venues import ChangeVenue
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.queries.roster import Roster, SeatsToGive
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, book, class_date, person, project, venue


def seated(studio: Studio, class_id: int) -> list[str]:
    return [row.name or f"(of {row.payer})" for row in studio.ask(Roster(class_id)).seated]


def waiting(studio: Studio, class_id: int) -> list[str]:
    return list(dict.fromkeys(row.payer for row in studio.ask(Roster(class_id)).waiting))


def test_a_booking_says_who_where_and_how_many_seats_are_left() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=3, title="Books")
        kept = book(studio, class_id, person(studio, "Ann"), heads=2)
        assert kept.said == "Ann is booked on C01 Books, 2 heads; 1 seat left."
        assert (kept.state, kept.seats_left, kept.booking_id) == ("confirmed", 1, 1)
        assert seated(studio, class_id) == ["Ann", "(of Ann)"]


def test_a_payer_need_not_sit_in() -> None:
    with a_studio() as studio:
        class_id = class_date(studio)
        parent, child = person(studio, "Parent"), person(studio, "Child")
        studio.do(Book(class_date_id=class_id, payer_id=parent, people=(child,)))
        assert seated(studio, class_id) == ["Child"]


def test_a_full_class_takes_the_next_on_its_waitlist_and_says_the_place() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=1, title="Books")
        book(studio, class_id)
        first = book(studio, class_id, person(studio, "Bo"))
        second = book(studio, class_id, person(studio, "Cy"))
        assert (first.state, second.state) == ("waitlist", "waitlist")
        assert second.said.startswith("C01 Books is full: Cy is number 2 on the waitlist")
        assert waiting(studio, class_id) == ["Bo", "Cy"]


def test_a_party_that_does_not_fit_whole_waits_whole() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=3)
        book(studio, class_id, heads=2)
        party = book(studio, class_id, person(studio, "Bo"), heads=2)
        assert party.state == "waitlist"
        assert party.seats_left == 1


def test_a_free_seat_goes_past_those_who_wait_only_when_that_is_said() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=3)
        book(studio, class_id, heads=2)
        book(studio, class_id, person(studio, "Bo"), heads=2)
        assert book(studio, class_id, person(studio, "Cy")).state == "waitlist"
        assert book(studio, class_id, person(studio, "Dee"), over_the_list=True).state == "confirmed"


def test_giving_up_frees_the_seat_and_names_who_is_next_that_it_fits() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=1, title="Books")
        ann = book(studio, class_id, person(studio, "Ann"))
        book(studio, class_id, person(studio, "Party"), heads=2)
        cy = book(studio, class_id, person(studio, "Cy"))
        freed = studio.do(CancelBooking(booking_id=ann.booking_id))
        assert (freed.freed, freed.seats_left, freed.next_booking_id) == (1, 1, cy.booking_id)
        assert "Next on the waitlist: Cy (B03)" in freed.said
        with pytest.raises(ConflictError, match="B01 is cancelled already"):
            studio.do(CancelBooking(booking_id=ann.booking_id))


def test_those_who_waited_longer_are_named_when_one_is_to_pass_them() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=1)
        ann = book(studio, class_id)
        bo, cy = book(studio, class_id, person(studio, "Bo")), book(studio, class_id, person(studio, "Cy"))
        with pytest.raises(ConflictError, match="no seat left"):
            studio.do(SettleBooking(booking_id=bo.booking_id))
        studio.do(CancelBooking(booking_id=ann.booking_id))
        with pytest.raises(ConflictError, match=r"Bo \(B02\) has waited longer"):
            studio.do(SettleBooking(booking_id=cy.booking_id))
        studio.do(SettleBooking(booking_id=cy.booking_id, over_the_list=True))
        assert seated(studio, class_id) == ["Cy"]


def test_some_heads_of_a_party_are_given_up_the_unnamed_first() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=4)
        kept = book(studio, class_id, person(studio, "Ann"), heads=3)
        seats = studio.ask(SeatsToGive(kept.booking_id, 2))
        studio.do(CancelBooking(booking_id=kept.booking_id, seat_ids=seats))
        assert seated(studio, class_id) == ["Ann"]
        with pytest.raises(InvalidError, match="B01 has 1 head"):
            studio.ask(SeatsToGive(kept.booking_id, 2))
        with pytest.raises(InvalidError, match="not one of B01"):
            studio.do(CancelBooking(booking_id=kept.booking_id, seat_ids=seats))


def test_one_person_has_one_seat_on_a_class() -> None:
    with a_studio() as studio:
        class_id, ann = class_date(studio), person(studio, "Ann")
        book(studio, class_id, ann)
        with pytest.raises(ConflictError, match=r"Ann is on this class already \(B01, confirmed\)"):
            book(studio, class_id, ann)
        with pytest.raises(InvalidError, match="two seats"):
            studio.do(Book(class_date_id=class_id, payer_id=ann, people=(ann, ann)))
        bo = book(studio, class_id, person(studio, "Bo"), heads=2)
        seat = studio.ask(SeatsToGive(bo.booking_id, 1))[0]
        with pytest.raises(ConflictError, match="already"):
            studio.do(NameSeat(seat_id=seat, person_id=ann))


def test_a_seat_gets_its_name_later_and_loses_it_again() -> None:
    with a_studio() as studio:
        class_id = class_date(studio)
        kept = book(studio, class_id, person(studio, "Ann"), heads=2)
        seat = studio.ask(SeatsToGive(kept.booking_id, 1))[0]
        studio.do(NameSeat(seat_id=seat, person_id=person(studio, "Bo")))
        assert seated(studio, class_id) == ["Ann", "Bo"]
        studio.do(NameSeat(seat_id=seat, person_id=None))
        assert seated(studio, class_id) == ["Ann", "(of Ann)"]


def test_a_seat_that_was_given_up_gets_no_name() -> None:
    with a_studio() as studio:
        kept = book(studio, class_date(studio), heads=2)
        seat = studio.ask(SeatsToGive(kept.booking_id, 1))[0]
        studio.do(CancelBooking(booking_id=kept.booking_id, seat_ids=(seat,)))
        bo = person(studio, "Bo")
        with pytest.raises(ConflictError, match="given up"):
            studio.do(NameSeat(seat_id=seat, person_id=bo))


def test_only_a_head_with_a_seat_is_marked() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=1)
        kept = book(studio, class_id, person(studio, "Ann"))
        late = book(studio, class_id)
        (row,) = studio.ask(Roster(class_id)).seated
        studio.do(MarkSeat(seat_id=row.seat_id, mark="attended"))
        assert studio.ask(Roster(class_id)).seated[0].mark == "attended"
        (waits,) = studio.ask(Roster(class_id)).waiting
        with pytest.raises(ConflictError, match="with a seat"):
            studio.do(MarkSeat(seat_id=waits.seat_id, mark="attended"))
        assert (kept.booking_id, late.booking_id) == (1, 2)


def test_nobody_is_booked_on_a_cancelled_class_or_when_retired_or_unknown() -> None:
    with a_studio() as studio:
        class_id, ann = class_date(studio), person(studio, "Ann")
        studio.do(RetirePerson(person_id=ann))
        with pytest.raises(ConflictError, match="A01 is retired"):
            book(studio, class_id, ann)
        with pytest.raises(NotFoundError, match="no attendee A77"):
            book(studio, class_id, 77)
        with pytest.raises(NotFoundError, match="no class date C99"):
            book(studio, 99)
        studio.do(Decide(class_date_id=class_id, choice="call off"))
        with pytest.raises(ConflictError, match="is cancelled"):
            book(studio, class_id)


def test_the_posted_number_counts_her_and_her_helpers() -> None:
    with a_studio() as studio:
        room = venue(studio, seats=4, posted_occupancy=6)
        class_id = class_date(studio, venue_id=room, seats=4, helpers=1)
        book(studio, class_id, heads=2)
        studio.do(ChangeVenue(venue_id=room, posted_occupancy=5))
        book(studio, class_id)
        with pytest.raises(ConflictError, match="posted for 5") as caught:
            book(studio, class_id)
        assert "fire authority" in caught.value.hint


def test_seats_are_not_lowered_under_those_taken_and_the_names_are_told() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=4)
        book(studio, class_id, person(studio, "Ann"), heads=3)
        with pytest.raises(ConflictError, match=r"3 seats are taken \(Ann\)"):
            studio.do(ChangeClassDate(class_date_id=class_id, seats=2))
        studio.do(ChangeClassDate(class_date_id=class_id, seats=3))


def test_what_does_not_suit_a_head_is_told_with_the_booking() -> None:
    with a_studio() as studio:
        room = venue(studio, name="The Loft", step_free=False)
        class_id = class_date(studio, venue_id=room, project_id=project(studio, age_from=14))
        ann = person(studio, "Ann", access_needs="step-free", birth_year=2019)
        said = " ".join(book(studio, class_id, ann).warnings)
        assert "step-free" in said
        assert "14" in said
        assert " ".join(studio.ask(Roster(class_id)).warnings) == said


def test_a_booking_on_a_class_that_is_over_says_so() -> None:
    with a_studio(clock=FixedClock(NOW + dt.timedelta(days=90))) as studio:
        class_id = class_date(studio, "2027-03-13")
        assert any("over" in warning for warning in book(studio, class_id).warnings)


def test_an_enquiry_takes_no_seat_and_a_hold_does() -> None:
    with a_studio() as studio:
        class_id = class_date(studio, seats=2)
        assert book(studio, class_id, state="enquiry").seats_left == 2
        assert book(studio, class_id, state="held").seats_left == 1
        assert [row.state for row in studio.ask(Roster(class_id)).asking] == ["enquiry"]


def test_a_state_that_may_not_follow_is_refused() -> None:
    with a_studio() as studio:
        kept = book(studio, class_date(studio))
        with pytest.raises(ConflictError, match="is confirmed; it cannot become held"):
            studio.do(SettleBooking(booking_id=kept.booking_id, state="held"))

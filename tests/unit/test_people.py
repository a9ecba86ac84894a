"""Attendees: made, changed, retired, found by a few letters."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.people import AddPerson, ChangePerson, RetirePerson
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.queries.people import FindPeople, Person
from scheduling.studio import Studio
from tests.support.builders import a_studio, book, class_date, person


def found(studio: Studio, text: str, **also: bool) -> list[str]:
    return [row.name for row in studio.ask(FindPeople(text, **also)).rows]


def test_a_name_is_kept_with_its_letters_and_without_its_odd_spaces() -> None:
    with a_studio() as studio:
        kept = studio.do(AddPerson(name="  Zoë\t O'Brien-Ñandú \n"))
        assert studio.ask(Person(kept.person_id)).name == "Zoë O'Brien-Ñandú"
        assert kept.said == "Zoë O'Brien-Ñandú is kept as A01."


@pytest.mark.parametrize("typed", ["zoe", "ZOË", "o'brien", "brien zoe", "nandu", "a01", "ann.zoe@", "0199"])
def test_a_few_letters_find_with_or_without_accents(typed: str) -> None:
    with a_studio() as studio:
        person(studio, "Zoë O'Brien-Ñandú", email="Ann.Zoe@example.org", phone="555 0199")
        person(studio, "Someone Else")
        assert found(studio, typed) == ["Zoë O'Brien-Ñandú"]


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("木村 花子", "木村"),
        ("Øystein Łącki", "oystein lacki"),
        ("Ирина Щукина", "щук"),
        ("Straße", "strasse"),
        ("50% Off_er", "50%"),
    ],
)
def test_any_script_and_any_sign_is_found_by_itself(name: str, typed: str) -> None:
    with a_studio() as studio:
        person(studio, name)
        person(studio, "Other Person")
        assert found(studio, typed) == [name]


def test_what_sql_takes_for_a_wildcard_is_a_letter_like_any_other() -> None:
    with a_studio() as studio:
        person(studio, "Ann")
        assert found(studio, "%") == found(studio, "_") == found(studio, "a%n") == []


def test_names_that_begin_with_it_come_first() -> None:
    with a_studio() as studio:
        for name in ("Dana Anders", "Andrea Vole", "Zeb Landau"):
            person(studio, name)
        assert found(studio, "an") == ["Andrea Vole", "Dana Anders", "Zeb Landau"]


def test_no_letters_list_everyone_and_the_retired_only_when_asked() -> None:
    with a_studio() as studio:
        ann = person(studio, "Ann")
        person(studio, "Bo")
        studio.do(RetirePerson(person_id=ann))
        assert found(studio, "") == ["Bo"]
        assert found(studio, "", with_retired=True) == ["Ann", "Bo"]
        studio.do(RetirePerson(person_id=ann, back=True))
        assert found(studio, "") == ["Ann", "Bo"]


def test_one_who_is_known_by_name_and_address_is_not_kept_twice() -> None:
    with a_studio() as studio:
        ann = person(studio, "Zoë Ann", email="z@example.org")
        again = studio.do(AddPerson(name="zoe ann", email="Z@example.org", unless_known=True))
        assert (again.person_id, again.history_id) == (ann, 0)
        assert person(studio, "Zoë Ann", email="other@example.org", unless_known=True) != ann


@pytest.mark.parametrize("email", ["nobody", "@place", "name@", "a@b@c", "a b@c.org"])
def test_an_address_that_is_none_is_refused(email: str) -> None:
    with a_studio() as studio:
        with pytest.raises(InvalidError, match="is not an e-mail address") as caught:
            person(studio, "Ann", email=email)
        assert caught.value.field == "email"


@pytest.mark.parametrize("entries", [{"name": ""}, {"name": "  "}, {"name": "x" * 201}, {"name": "A", "birth_year": 1}])
def test_an_entry_that_cannot_be_names_its_field(entries: dict[str, object]) -> None:
    with pytest.raises(InvalidError) as caught:
        AddPerson(**entries)
    assert caught.value.field in entries


def test_consent_carries_the_day_it_was_given_and_keeps_it() -> None:
    with a_studio() as studio:
        ann = person(studio, "Ann", photos="yes")
        studio.do(ChangePerson(person_id=ann, photos="yes", news="no"))
        page = studio.ask(Person(ann))
        assert (page.photos, page.photos_on, page.news, page.news_on) == ("yes", "2027-02-01", "no", "2027-02-01")
        studio.do(ChangePerson(person_id=ann, photos="unknown"))
        assert studio.ask(Person(ann)).photos_on is None


def test_what_is_not_given_stays_and_what_is_given_empty_goes() -> None:
    with a_studio() as studio:
        ann = person(studio, "Ann", email="a@example.org", phone="1", birth_year=1990)
        studio.do(ChangePerson(person_id=ann, phone="", birth_year=None))
        page = studio.ask(Person(ann))
        assert (page.email, page.phone, page.birth_year) == ("a@example.org", "", None)


def test_nobody_is_their_own_guardian_and_a_guardian_must_be_there() -> None:
    with a_studio() as studio:
        child = person(studio, "Cy")
        with pytest.raises(InvalidError, match="own guardian"):
            studio.do(ChangePerson(person_id=child, guardian_id=child))
        with pytest.raises(NotFoundError, match="A09"):
            studio.do(ChangePerson(person_id=child, guardian_id=9))
        retired = person(studio, "Old")
        studio.do(RetirePerson(person_id=retired))
        with pytest.raises(ConflictError, match="retired"):
            studio.do(ChangePerson(person_id=child, guardian_id=retired))


def test_a_health_note_has_a_day_to_go_after_the_last_class() -> None:
    with a_studio(health_days_kept=14) as studio:
        ann = person(studio, "Ann", health_note="nuts")
        assert studio.ask(Person(ann)).health_erase_on == "2027-02-15"
        book(studio, class_date(studio, "2027-03-13"), ann)
        assert studio.ask(Person(ann)).health_erase_on == "2027-03-27"
        book(studio, class_date(studio, "2027-02-13"), ann)
        assert studio.ask(Person(ann)).health_erase_on == "2027-03-27", "an earlier class takes nothing away"
        studio.do(ChangePerson(person_id=ann, health_note=""))
        assert studio.ask(Person(ann)).health_erase_on is None
        studio.do(ChangePerson(person_id=ann, health_note="bees"))
        assert studio.ask(Person(ann)).health_erase_on == "2027-03-27"


def test_health_notes_stand_in_no_list_and_no_refusal() -> None:
    with a_studio() as studio:
        ann = person(studio, "Ann", health_note="SECRET")
        row = studio.ask(FindPeople("ann")).rows[0]
        assert row.has_needs
        assert "SECRET" not in repr(row)
        assert found(studio, "secret") == []
        assert "SECRET" not in repr(studio.do(ChangePerson(person_id=ann, note="x")))


def test_a_page_tells_what_they_pay_for_and_what_they_sit_in() -> None:
    with a_studio() as studio:
        ann, cy = person(studio, "Ann"), person(studio, "Cy")
        class_id = class_date(studio)
        booked = book(studio, class_id, ann)
        from scheduling.commands.bookings import Book

        studio.do(Book(class_date_id=class_id, payer_id=ann, people=(cy,)))
        assert [(one.booking_id, one.pays) for one in studio.ask(Person(cy)).bookings] == [(2, False)]
        assert [one.booking_id for one in studio.ask(Person(ann)).bookings] == [2, booked.booking_id]
        assert studio.ask(FindPeople("ann")).rows[0].coming == 2
        with pytest.raises(NotFoundError, match="no attendee A33"):
            studio.ask(Person(33))


def test_days_are_counted_in_the_studios_zone() -> None:
    from tests.support.builders import clock_at

    for zone, day in (("Pacific/Kiritimati", "2027-02-02"), ("Pacific/Pago_Pago", "2027-02-01")):
        with a_studio(clock=clock_at(2027, 2, 1, 23, zone="UTC"), zone=zone) as studio:
            page = studio.ask(Person(person(studio, "Ann", photos="yes")))
            assert page.photos_on == dt.date.fromisoformat(day).isoformat()

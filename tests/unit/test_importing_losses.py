"""What a file has more than is kept is said: further addresses and numbers, guests without a number of seats."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.exchange.phones import read_phones
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import PeopleRead
from scheduling.queries.importing import PreviewSignUps
from tests.support.builders import ZONE, a_studio
from tests.unit.test_importing import keep, lino, preview


def read(text: str, name: str = "list.csv") -> PeopleRead:
    return read_people(text.encode(), name, today=dt.date(2027, 2, 1), zone=ZONE)


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ('"kim@people.example, lee@people.example"', "kim@people.example counts, not lee@people.example."),
        ("kim@people.example; KIM@people.example", ""),
        ("kim@people.example", ""),
    ],
)
def test_a_second_address_of_a_cell_is_said(cell: str, said: str) -> None:
    found = read(f"Name,E-mail\nKim Olm,{cell}\n")
    assert found.people[0].emails == ("kim@people.example",)
    texts = [str(one) for one in found.notices]
    assert texts == ([f"Row 2: has several e-mail addresses: {said}"] if said else [])


def test_what_a_card_has_more_than_one_of_is_said_once_for_a_new_attendee() -> None:
    card = (
        "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Kim Olm\r\nEMAIL:kim@people.example\r\nEMAIL:olm@people.example\r\n"
        "TEL;VALUE=uri:tel:+49-30-1234567;EXT=55\r\nTEL;VALUE=uri:tel:+49-30-1234567;ext=66\r\nEND:VCARD\r\n"
    )
    with a_studio() as studio:
        seen = studio.ask(PreviewSignUps(read(card, "people.vcf"), "people.vcf"))
        assert seen.notices == (
            "Card 1: has 2 e-mail addresses; kim@people.example is kept.",
            "Card 1: has 2 phone numbers; +49-30-1234567 ext 55 is kept.",
        )
        assert seen.people[0].phone == "+49-30-1234567 ext 55"


@pytest.mark.parametrize(
    ("typed", "extension"),
    [
        ("tel:+49-30-1234567;ext=55", "55"),
        ("TEL:+49-30-1234567;EXT=5.5", "55"),
        ("tel:+49-30-1234567;phone-context=example.org;ext=55", "55"),
        ("tel:+49-30-1234567;phone-context=example.org", ""),
    ],
)
def test_the_extension_of_a_phone_uri_is_kept_whatever_stands_before_it(typed: str, extension: str) -> None:
    ((phone,), odd) = read_phones(typed)
    assert (phone.number, phone.extension, odd) == ("+49301234567", extension, "")
    assert phone.typed.endswith(f" ext {extension}" if extension else "567")


@pytest.mark.parametrize(
    ("seats", "guests", "heads"),
    [("", "Xe Arn; Yo Bel", 3), ("-", "Xe Arn", 2), ("", "", 1), ("2", "Xe Arn", 2), ("1", "Xe Arn", 1)],
)
def test_guests_are_counted_where_no_number_of_seats_stands(seats: str, guests: str, heads: int) -> None:
    text = f"Name,Email,Class,Date,Tickets,Guests\nKim Olm,kim@people.example,Linocut,2027-03-13,{seats},{guests}\n"
    with a_studio() as studio:
        lino(studio)
        seen = preview(studio, text)
        assert seen.sign_ups[0].heads == heads
        is_counted = f"Row 2: is counted as {heads} heads with its guests." in seen.notices
        assert is_counted == (heads > 1 and seats != "2")
        keep(studio, text)
        assert preview(studio, text).counts == {"same": 1}

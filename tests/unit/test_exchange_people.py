"""Who is the same person, what is one sign-up, and how it stands at the end of the file."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import Birthday, Consent, PeopleRead

TODAY = dt.date(2026, 3, 1)


def reading(text: str) -> PeopleRead:
    return read_people(text.encode(), "list.csv", today=TODAY)


def test_a_household_shares_an_address_and_stays_two_people() -> None:
    read = reading(
        "Name,E-mail,Class\nAnn Lee,lee@p.example,Clay\nBob Lee,LEE@p.example,Clay\nAnn Lee,Lee@p.example,Soap\n"
    )
    assert [person.name for person in read.people] == ["Ann Lee", "Bob Lee"]
    assert [(sign_up.person, sign_up.class_text) for sign_up in read.sign_ups] == [
        (0, "Clay"),
        (1, "Clay"),
        (0, "Soap"),
    ]
    assert read.people[0].emails == ("lee@p.example",)


def test_one_name_with_two_addresses_is_offered_as_a_duplicate_and_not_merged() -> None:
    read = reading("Name,E-mail\nAda Roe,ada@p.example\nBen Sol,b@p.example\nADA ROE,ada+clay@p.example\n")
    assert len(read.people) == 3
    assert read.alike == ((0, 2),)
    assert "may be listed twice" in str(read.notices[0])


def test_a_later_row_decides_and_the_change_is_told() -> None:
    first_rows = "A B,a@p.example,Clay,1,ok\nC D,c@p.example,Clay,1,ok\n"
    read = reading(f"Name,E-mail,Class,Seats,Status\n{first_rows}A B,a@p.example,Clay,2,cancelled\n")
    first = read.sign_ups[0]
    assert (first.state, first.heads, first.rows) == ("cancelled", 2, (2, 4))
    assert [str(notice) for notice in read.notices] == [
        "Row 4: changes row 2: status confirmed becomes cancelled, heads 1 becomes 2."
    ]


def test_the_same_row_twice_counts_once() -> None:
    read = reading("Name,E-mail,Class\nA B,a@p.example,Clay\nA B,a@p.example,clay\n")
    assert len(read.sign_ups) == 1
    assert str(read.notices[0]) == "Row 3: repeats row 2; it counts once."


def test_another_day_of_the_same_class_is_another_sign_up() -> None:
    read = reading("Name,E-mail,Class,Class date\nA B,a@p.example,Clay,2026-05-09\nA B,a@p.example,Clay,2026-06-13\n")
    assert len(read.sign_ups) == 2
    assert len(read.people) == 1


def test_a_row_number_names_the_sign_up_whatever_becomes_of_the_name() -> None:
    keys = [
        reading(f"Id,Name,E-mail,Class\n102,{name},val@p.example,Clay\n").sign_ups[0].key
        for name in ("Val Zahn", "Valerie Zahn")
    ]
    assert keys == ["id:102", "id:102"]


def test_a_number_that_a_group_shares_does_not_swallow_its_people() -> None:
    read = reading("Booking ref,Name,E-mail,Class\n5,Ann Lee,lee@p.example,Clay\n5,Bob Lee,lee@p.example,Clay\n")
    assert len(read.sign_ups) == 2
    assert len({sign_up.key for sign_up in read.sign_ups}) == 2


def test_row_order_changes_no_key() -> None:
    rows = ["1,Ann Lee,lee@p.example,Clay", "1,Bob Lee,lee@p.example,Clay", "2,Cy West,cy@p.example,Soap"]
    keys = [
        {sign_up.key for sign_up in reading("Ref,Name,E-mail,Class\n" + "\n".join(order)).sign_ups}
        for order in (rows, rows[::-1])
    ]
    assert keys[0] == keys[1]


@pytest.mark.parametrize(
    ("word", "state"),
    [
        ("Confirmed", "confirmed"), ("ok", "confirmed"), ("bestätigt", "confirmed"), ("CANCELED", "cancelled"),
        ("cancelled", "cancelled"), ("refunded", "cancelled"), ("abgesagt", "cancelled"), ("Annulé", "cancelled"),
        ("Cancelado", "cancelled"), ("annullato", "cancelled"),
        ("geannuleerd", "cancelled"), ("キャンセル", "cancelled"),
        ("Cancelled on 3 May", "cancelled"), ("Waitlist", "waitlist"), ("Warteliste", "waitlist"),
        ("liste d'attente", "waitlist"), ("Lista de espera", "waitlist"), ("no-show", "no-show"),
        ("nicht erschienen", "no-show"), ("no asistió", "no-show"),
        ("attended", "attended"), ("teilgenommen", "attended"),
    ],
)  # fmt: skip
def test_status_words_of_many_lands_are_known(word: str, state: str) -> None:
    read = reading(f"Name,E-mail,Status\nA B,a@p.example,{word}\n")
    assert (read.sign_ups[0].state, read.ask) == (state, ())
    assert [(found.word, found.count, found.known) for found in read.status_words] == [(word, 1, True)]


@pytest.mark.parametrize("word", ["pending review", "not cancelled", "maybe"])
def test_a_status_that_is_not_known_is_asked_with_its_count(word: str) -> None:
    text = f"Name,E-mail,Status\nA B,a@p.example,{word}\nC D,c@p.example,{word}\n"
    read = reading(text)
    assert [question.text for question in read.ask] == [f"status: what does “{word}” mean (2 rows)?"]
    mapping = read.mapping.answered("status", word, "waitlist")
    again = read_people(text.encode(), "list.csv", today=TODAY, mapping=mapping)
    assert ([sign_up.state for sign_up in again.sign_ups], again.ask) == (["waitlist", "waitlist"], ())


def test_yes_and_no_columns_are_named_by_their_header() -> None:
    read = reading("Name,Cancelled?,Waitlist,Attended\nA,yes,,\nB,,x,\nC,no,no,yes\nD,,,\nE,3 May,,\nF,,2,\nG,hm,,\n")
    states = ["cancelled", "waitlist", "attended", "confirmed", "cancelled", "waitlist", "confirmed"]
    assert [sign_up.state for sign_up in read.sign_ups] == states
    assert [question.about for question in read.ask] == ["hm"]


def test_a_no_under_confirmed_is_asked() -> None:
    read = reading("Name,Confirmed\nA,yes\nB,no\nC,\n")
    assert [(question.kind, question.about) for question in read.ask] == [("status", "no")]


def test_paid_yes_takes_the_price_and_an_amount_is_itself() -> None:
    read = reading("Name,Price,Paid\nA,£45.00,yes\nB,£45.00,no\nC,£45.00,20\n")
    assert [(str(s.paid) if s.paid is not None else None, s.said_paid) for s in read.sign_ups] == [
        ("45.00", True),
        (None, False),
        ("20", None),
    ]


def test_guests_count_as_heads_only_where_no_seats_are_given() -> None:
    read = reading("Name,Guests\nA,2\nB,\nC,+1\nD,Hedy and Ib\nE,none\n")
    assert [sign_up.heads for sign_up in read.sign_ups] == [3, 1, 2, 3, 1]
    assert read.sign_ups[3].guests == ("Hedy", "Ib")
    seated = reading('Name,Seats,Guests\nGus Nord,3,"Hedy Nord, Ib Nord"\n')
    assert (seated.sign_ups[0].heads, seated.sign_ups[0].guests) == (3, ("Hedy Nord", "Ib Nord"))
    assert len(seated.people) == 1


def test_consent_is_yes_only_when_it_says_so() -> None:
    read = reading("Name,Newsletter,Photo consent\nA,yes,\nB,,ja\nC,perhaps,no\n")
    assert [[(c.kind, c.given) for c in person.consents] for person in read.people] == [
        [("mail", True), ("photo", False)],
        [("mail", False), ("photo", True)],
        [("mail", False), ("photo", False)],
    ]
    assert read.people[0].consents[0] == Consent("mail", "Newsletter", given=True)


def test_birthday_and_address_belong_to_the_person() -> None:
    read = reading("Name;Geburtsdatum;Straße;PLZ;Ort\nA B;29.02.1980;Mühlweg 4;79098;Freiburg\n")
    assert read.people[0].birthday == Birthday(2, 29, 1980)
    assert read.people[0].address == "Mühlweg 4\n79098 Freiburg"


def test_health_notes_say_whose_they_are_and_none_is_none() -> None:
    read = reading("Name,Class,Allergies\nA B,Clay,none\nC D,Clay,nuts\nE F,Clay,\n")
    assert [(note.person, note.sign_up, note.text) for note in read.health] == [(1, 1, "nuts")]
    assert read.samples[2] == ()


def test_a_row_with_an_address_and_no_name_is_kept_under_the_address() -> None:
    read = reading("Name,E-mail\n,a@p.example\n,\n")
    assert [(person.name, person.emails) for person in read.people] == [("a@p.example", ("a@p.example",))]
    assert str(read.notices[0]) == "Row 2: has no name; a@p.example stands for it."


def test_a_later_row_adds_what_the_first_did_not_say() -> None:
    read = reading("Name,E-mail,Phone,Class\nA B,a@p.example,,Clay\nA B,a@p.example,030 123456,Soap\n")
    assert [phone.number for phone in read.people[0].phones] == ["030123456"]


def test_control_and_direction_characters_do_not_come_in() -> None:
    read = reading("Name,E-mail,Note\nA\x1b[31mB,a@p.example,x\u202ey\u2066z\n")
    assert (read.people[0].name, read.sign_ups[0].note) == ("A[31mB", "xyz")


def test_many_notices_of_a_kind_are_counted_and_not_listed() -> None:
    read = reading("Name,Seats\n" + "".join(f"P {n},two\n" for n in range(80)))
    assert len(read.notices) == 51
    assert str(read.notices[0]) == "30 more rows: heads."


def test_stopping_keeps_nothing() -> None:
    with pytest.raises(InvalidError) as stopped:
        read_people(b"Name\n" + b"A B\n" * 3000, "list.csv", today=TODAY, progress=lambda done, _: done < 2000)
    assert stopped.value.field == "stopped"


def test_a_date_order_that_does_not_exist_is_refused() -> None:
    with pytest.raises(InvalidError):
        read_people(b"Name\nA B\n", "list.csv", today=TODAY, date_order="year-first")


def test_a_name_beside_the_address_is_the_name() -> None:
    read = reading('Class,E-mail\nClay,Cat Tuo <cat@p.example>\nClay,"""Sol, Ben"" <ben@p.example>"\n')
    assert [(person.name, person.emails) for person in read.people] == [
        ("Cat Tuo", ("cat@p.example",)),
        ("Ben Sol", ("ben@p.example",)),
    ]


def test_classes_called_by_their_dates_have_those_dates() -> None:
    read = reading("Name,Session\nA B,Sat 9 May 2026 10:00\nC D,Felt – 13 June 2026\n")
    assert [(s.class_text, s.day, s.starts) for s in read.sign_ups] == [
        ("Sat 9 May 2026 10:00", dt.date(2026, 5, 9), dt.time(10)),
        ("Felt – 13 June 2026", dt.date(2026, 6, 13), None),
    ]
    assert not read.notices


def test_the_order_that_another_column_proves_is_suggested() -> None:
    read = reading("Timestamp,Name,Class date\n2/28/2026 10:22:01,A B,03/04/2026\n")
    assert [question.suggested for question in read.ask] == ["month-first"]
    assert [question.suggested for question in reading("Name,Datum\nA B,03.04.2026\n").ask] == ["day-first"]

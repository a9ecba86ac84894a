"""Contact files of every version, as badly written as they come, give their people."""

from __future__ import annotations

import datetime as dt
import time

import pytest

from scheduling.errors import InvalidError
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import Birthday, PeopleRead, Person

TODAY = dt.date(2026, 3, 1)


def card(lines: str, version: str = "3.0") -> str:
    return f"BEGIN:VCARD\nVERSION:{version}\n{lines}\nEND:VCARD\n".replace("\n", "\r\n")


def reading(content: str | bytes) -> PeopleRead:
    return read_people(content.encode() if isinstance(content, str) else content, "people.vcf", today=TODAY)


def only(content: str | bytes) -> Person:
    (person,) = reading(content).people
    return person


def notices(read: PeopleRead) -> list[str]:
    return [str(notice) for notice in read.notices]


def test_a_card_of_2_1_in_an_old_character_set() -> None:
    person = only(
        card(
            "N;CHARSET=ISO-8859-1;ENCODING=QUOTED-PRINTABLE:M=FCller;J=FCrgen\n"
            "TEL;FAX:030 999999\nTEL;HOME:030 123456\nTEL;CELL;PREF:0171 1234567\n"
            "NOTE;ENCODING=QUOTED-PRINTABLE:a=0D=0Ab=\n=3Dc",
            "2.1",
        )
    )
    assert person.name == "Jürgen Müller"
    assert [phone.number for phone in person.phones] == ["01711234567", "030123456", "030999999"]
    assert person.note == "a\nb=c"


def test_a_card_of_4_0_with_ranks_uris_and_parameters() -> None:
    person = only(
        card(
            'FN:Bo South\nEMAIL;PREF=2:work@p.example\nEMAIL;PREF=1;TYPE="home,x":bo@p.example\n'
            'TEL;VALUE=uri;TYPE="cell,voice":tel:+34-600-000-000;ext=7\n'
            "item1.ADR:;;Mill Lane 4\\, B;Redhill;;RH1 1AA;UK",
            "4.0",
        )
    )
    assert person.emails == ("bo@p.example", "work@p.example")
    assert [(phone.number, phone.extension) for phone in person.phones] == [("+34600000000", "7")]
    assert person.address == "Mill Lane 4, B\nRH1 1AA Redhill\nUK"


@pytest.mark.parametrize(
    ("lines", "name", "is_organisation"),
    [
        ("N:de Vries;Hanna;Maria;Dr.;", "Hanna de Vries", False),
        ("FN:Moon", "Moon", False),
        ("FN:Smith\\, John\nN:Smith;John;;;", "John Smith", False),
        ("FN:\nN:;;;;\nORG:Guild of Weavers;Board", "Guild of Weavers", True),
        ("FN:Acme\nORG:Acme", "Acme", True),
        ("KIND:org\nFN:Acme Ltd", "Acme Ltd", True),
        ("FN:Ann Lee\nN:Lee;Ann\nORG:Acme", "Ann Lee", False),
        ("NICKNAME:Bee", "Bee", False),
        ("N:Müller\\;Lang;Eva", "Eva Müller;Lang", False),
        ("EMAIL:nobody@p.example", "nobody@p.example", False),
    ],
)
def test_a_name_comes_from_what_there_is(lines: str, name: str, is_organisation: bool) -> None:
    person = only(card(lines))
    assert (person.name, person.is_organisation) == (name, is_organisation)


@pytest.mark.parametrize(
    ("line", "birthday"),
    [
        ("BDAY:1985-04-12", Birthday(4, 12, 1985)),
        ("BDAY:19850412", Birthday(4, 12, 1985)),
        ("BDAY:1985-04-12T00:00:00Z", Birthday(4, 12, 1985)),
        ("BDAY:--0229", Birthday(2, 29)),
        ("BDAY:--02-29", Birthday(2, 29)),
        ("BDAY;X-OMIT-YEAR=1604:1604-11-30", Birthday(11, 30)),
        ("BDAY;VALUE=date:00000000", None),
        ("BDAY:1985-02-30", None),
        ("BDAY:---12", None),
        ("BDAY;VALUE=text:circa 1800", None),
        ("BDAY:", None),
    ],
)
def test_birthdays_with_and_without_a_year(line: str, birthday: Birthday | None) -> None:
    assert only(card(f"FN:Jon Lys\n{line}")).birthday == birthday


def test_folds_may_lie_inside_a_character() -> None:
    content = "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Gréta Holm\r\nEND:VCARD\r\n".encode()
    at = content.index("é".encode()) + 1
    assert only(content[:at] + b"\r\n " + content[at:]).name == "Gréta Holm"


def test_a_fold_keeps_its_space_in_2_1_and_drops_it_later() -> None:
    assert only(card("FN:Ann\n Lee", "2.1")).name == "Ann Lee"
    assert only(card("FN:Ann \n Lee", "3.0")).name == "Ann Lee"
    assert only(card("FN:An\n\tn Lee", "4.0")).name == "Ann Lee"


def test_groups_and_things_are_left_out_and_named() -> None:
    read = reading(
        card("KIND:group\nFN:Clay class\nMEMBER:mailto:a@p.example", "4.0")
        + card("FN:Old group\nX-ADDRESSBOOKSERVER-KIND:group")
        + card("KIND:location\nFN:Mill", "4.0")
        + card("FN:Ola Quist")
    )
    assert [person.name for person in read.people] == ["Ola Quist"]
    assert len(read.notices) == 3
    assert notices(read)[0] == "Card 1: “Clay class” is a group, not a person; left out."


def test_broken_lines_and_unclosed_cards_lose_nobody() -> None:
    read = reading(
        card("FN:Quin Sand\nthis line is broken\nEMAIL;TYPE=home")
        + "BEGIN:VCARD\nVERSION:3.0\nFN:One\n"
        + "BEGIN:VCARD\nVERSION:3.0\nFN:Two\nEMAIL:two@p.example"
    )
    assert [person.name for person in read.people] == ["Quin Sand", "One", "Two"]
    assert notices(read) == [
        "Card 1: 2 lines of this card could not be read.",
        "Card 2: the card of One is never closed; it may lack something.",
        "Card 3: the card of Two is never closed; it may lack something.",
    ]


def test_a_card_within_a_card_is_not_taken_for_the_next_one() -> None:
    inner = "BEGIN:VCARD\nVERSION:2.1\nFN:Assistant\nEND:VCARD"
    person = only(card(f"FN:Boss\nAGENT:\n{inner}\nEMAIL:boss@p.example", "2.1"))
    assert (person.name, person.emails) == ("Boss", ("boss@p.example",))


def test_two_cards_of_one_person_are_one_person() -> None:
    read = reading(card("FN:Dup\nEMAIL:DUP@p.example") + card("FN:dup\nEMAIL:dup@p.example\nTEL:0301234567"))
    assert [(p.name, p.emails, p.phones[0].number) for p in read.people] == [("Dup", ("DUP@p.example",), "0301234567")]
    assert notices(read) == ["Card 2: is dup again; it counts once."]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_any_encoding_keeps_the_accents(encoding: str) -> None:
    assert only(card("FN:Zoë Ångström").encode(encoding)).name == "Zoë Ångström"


def test_small_letters_and_bare_line_ends_are_fine() -> None:
    assert only("begin:vcard\nversion:3.0\nfn:Low Case\nend:vcard\n").name == "Low Case"
    assert only(card("FN:Cr Only").replace("\r\n", "\r")).name == "Cr Only"


def test_big_pictures_are_dropped_quickly() -> None:
    picture = "".join(f"\n {'A' * 74}" for _ in range(20_000))
    begun = time.monotonic()
    read = reading(card(f"FN:May Orr\nPHOTO;ENCODING=b;TYPE=JPEG:{picture}\nEMAIL:may@p.example"))
    assert time.monotonic() - begun < 5
    assert [(person.name, person.emails) for person in read.people] == [("May Orr", ("may@p.example",))]


def test_uids_are_kept_and_no_sign_ups_are_made() -> None:
    read = reading(card("FN:Ola Quist\nUID:urn:uuid:0b1c", "4.0"))
    assert (read.people[0].source_id, read.sign_ups, read.source.kind) == ("urn:uuid:0b1c", (), "contacts")


def test_a_file_of_empty_cards_is_refused() -> None:
    with pytest.raises(InvalidError):
        reading("BEGIN:VCARD\r\nEND:VCARD\r\n")

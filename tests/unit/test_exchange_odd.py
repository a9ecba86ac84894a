"""Odd files of every kind, as they come from halls, forms and friends: read right, or said why not (interop.md 4)."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from scheduling.exchange.dates_in import DateColumn, read_dates
from scheduling.exchange.headers import meaning_of
from scheduling.exchange.heads import read_heads
from scheduling.exchange.legacy import old_encoding
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import PeopleRead

TODAY = dt.date(2027, 2, 1)


def reading(content: str | bytes) -> PeopleRead:
    octets = content.encode() if isinstance(content, str) else content
    return read_people(octets, "list.csv", today=TODAY, zone="Europe/Budapest")


def meanings(read: PeopleRead) -> list[str]:
    return [meaning for _, meaning in read.mapping.columns]


# --- headers ---


def test_a_header_of_two_levels_means_what_its_lower_level_says_unless_the_group_tells() -> None:
    read = reading(
        ";;Participant;;Kurs;;Zahlung;;Guardian\n"
        "Nr;Anmeldung;Vorname;Nachname;Titel;Datum;Betrag;Status;Name\n"
        "1;03.04.2026;Ilka;Önder;Papier;13.03.2027;45,50;bezahlt;Eva Önder\n"
        "2;04.04.2026;Uwe;Ärmel;Papier;13.03.2027;1.045,50;storniert;\n"
        ";;;;;;1.091,00;;\n"
    )
    assert meanings(read)[2:] == [
        "first name", "last name", "class", "class date", "paid", "status", "guardian",
    ]  # fmt: skip
    assert [(one.paid, one.state, one.guardian) for one in read.sign_ups] == [
        (Decimal("45.50"), "confirmed", "Eva Önder"),
        (Decimal("1045.50"), "cancelled", ""),
    ]


@pytest.mark.parametrize(
    ("header", "meaning"),
    [
        ("Date of class", "class date"), ("Date of workshop", "class date"), ("# of seats", "heads"),
        ("Número de pedido", "order number"), ("Numéro de réservation", "sign-up number"),
        ("Data zgłoszenia", "signed up at"), ("Datum přihlášení", "signed up at"), ("Data nașterii", "birthday"),
        ("Fő", "heads"), ("Hány fő", "heads"), ("Fizetve", "paid"), ("Időpont", "class date"), ("Díj", "price"),
        ("Megjegyzés", "note"), ("Szülő neve", "guardian"), ("Irányítószám", "postcode"), ("Foglalkozás", "class"),
        ("Wpłata", "paid"), ("Ile osób", "heads"), ("Uhrazeno", "paid"), ("Priezvisko", "last name"),
        ("Número de teléfono", "phone"), ("Plătit", "paid"), ("Broj osoba", "heads"), ("Ödenen", "paid"),
        ("Paid by", "not used"), ("Zahlungsart", "not used"), ("Megjegyzés (pl. allergia)", "health or access needs"),
    ],
)  # fmt: skip
def test_headers_of_many_lands_mean_what_they_say(header: str, meaning: str) -> None:
    found = meaning_of(header)
    assert found is not None
    assert found.value == meaning


# --- encodings ---

SHORT = (
    ("cp1250", "Név;Email\nSzűcs Győző;gy@x.hu\n"),
    ("cp1250", "Szűcs Győző;gy@x.hu\nKő Áron;k@x.hu\n"),
    ("cp1250", "Név;Telefon;Időpont\nBőr Özséb;1;2\n"),
    ("cp1250", "Name;Email\nDezső Erdős;d@x.hu\n"),
    ("cp1250", "Nume;Email\nIoniţă Şerban;a@x.ro\n"),
    ("cp1250", "Imię;Email\nŁukasz Żak;z@x.pl\n"),
    ("cp1254", "Ad Soyad;Email\nŞükrü Işık;a@x.tr\n"),
    ("cp1252", "Nimi;Email\nTõnu Jõgi;t@x.ee\nKõiv Mõttus;k@x.ee\n"),
    ("cp1252", "Nome;Email\nJoão Simões;j@x.pt\n"),
    ("cp1252", "Nom;Email\nBenoît Lebrûn;b@x.fr\n"),
    ("cp1252", "Nafn;Email\nÞórdís Sigurðardóttir;a@x.is\n"),
    ("cp1252", "Name;Email\nÁgnes Nagy;a@x.hu\n"),
)


@pytest.mark.parametrize(("encoding", "text"), SHORT)
def test_short_lists_in_old_encodings_keep_their_letters(encoding: str, text: str) -> None:
    octets = text.encode(encoding)
    assert octets.decode(old_encoding(octets)) == text


def test_a_sixteen_bit_tab_list_in_hungarian_is_read_whole() -> None:
    head = "Név\tE-mail\tTanfolyam\tFő\tFizetve\n"
    text = f"{head}Kovács Éva\teva@x.hu\tKönyvkötés\t1+1\t12 500 Ft\nŐze Űr\to@x.hu\tK\t2 fő\t0\n"
    read = reading(text.encode("utf-16"))
    assert [person.name for person in read.people] == ["Kovács Éva", "Őze Űr"]
    assert [(one.heads, one.paid) for one in read.sign_ups] == [(2, Decimal(12500)), (2, Decimal(0))]


def test_old_contact_cards_say_their_letters_as_a_whole() -> None:
    cards = "BEGIN:VCARD\r\nVERSION:2.1\r\nN:Szűcs;Győző\r\nEND:VCARD\r\nBEGIN:VCARD\r\nVERSION:2.1\r\n"
    read = read_people((cards + "N:Kő;Áron\r\nEND:VCARD\r\n").encode("cp1250"), "x.vcf", today=TODAY)
    assert [person.name for person in read.people] == ["Győző Szűcs", "Áron Kő"]
    assert "cp1250" in str(read.notices[0])


# --- days ---


def column(*cells: str) -> DateColumn:
    return read_dates(list(cells), "Date", today=TODAY)


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("13-14 March 2027", (3, 13)), ("13 and 14 March 2027", (3, 13)), ("March 13-14, 2027", (3, 13)),
        ("March 13 & 14, 2027", (3, 13)), ("13 March - 14 March 2027", (3, 13)), ("13 March to 2 April 2027", (3, 13)),
        ("13.-14.03.2027", (3, 13)), ("13./14.03.2027", (3, 13)), ("13.03. bis 14.03.2027", (3, 13)),
        ("31.03.-01.04.2027", (3, 31)), ("Sat 13 - Sun 14 March 2027", (3, 13)), ("13/14 mars 2027", (3, 13)),
        ("2027. március 13-14.", (3, 13)), ("13/03/27 and 20/03/27", (3, 13)), ("28.02. - 01.03.2028", (2, 28)),
    ],
)  # fmt: skip
def test_of_several_days_in_a_cell_the_first_is_read_and_it_is_said(cell: str, day: tuple[int, int]) -> None:
    read = column(cell)
    when = read.whens[0]
    assert when is not None
    assert ((when.day.month, when.day.day), when.day.year) == (day, 2028 if "2028" in cell else 2027)
    assert when.time is None
    assert "more than one day" in read.odd[0]


@pytest.mark.parametrize("cell", ["Kurs 3 - 13.03.2027", "Group 2 - 13 March 2027", "Group 2, 13 March 2027"])
def test_a_number_behind_other_words_is_no_first_day(cell: str) -> None:
    read = column(cell)
    assert read.whens[0] is not None
    assert read.whens[0].day == dt.date(2027, 3, 13)
    assert read.odd == {}


@pytest.mark.parametrize(
    ("cell", "hour", "minute"),
    [
        ("13.3.27, 10-12 Uhr", 10, 0), ("10-12h 13 March 2027", 10, 0), ("13 March 2027 6-8 pm", 18, 0),
        ("13 March 2027, 6:30-8 pm", 18, 30), ("13 March 2027 10-1 pm", 10, 0), ("13 March 2027 18:30-20:45", 18, 30),
    ],
)  # fmt: skip
def test_of_two_hours_the_first_is_when_it_begins(cell: str, hour: int, minute: int) -> None:
    when = column(cell).whens[0]
    assert when is not None
    assert (when.day, when.time) == (dt.date(2027, 3, 13), dt.time(hour, minute))


@pytest.mark.parametrize("cell", ["13 March 10-12", "13 Mar, 6pm", "13 March", "March 13 10 Uhr", "20.3.", "Sat 27/3"])
def test_a_day_without_a_year_is_told_and_no_hour_is_taken_for_one(cell: str) -> None:
    read = column(cell)
    assert read.whens == [None]
    assert "not a date with day, month and year" in read.odd[0]


def test_days_that_prove_no_order_are_asked() -> None:
    read = reading("Name,Email,Date of class,Seats\nA B,a@x.org,3/4/26,1\nC D,c@x.org,5/6/26,two\n")
    assert [question.kind for question in read.ask] == ["date order"]
    assert [one.heads for one in read.sign_ups] == [1, 2]


# --- heads, totals, remarks, repeats ---


@pytest.mark.parametrize(
    ("cell", "heads"),
    [
        ("1+1", 2), ("two adults and a child", 3), ("me + one", 2), ("x2", 2), ("party of 4", 4), ("2 fő", 2),
        ("me and my sister", None), ("my family", None), ("½", None), ("1/2", None), ("-1", None), ("one or so", 1),
    ],
)  # fmt: skip
def test_heads_in_words_are_counted_only_where_they_are_said(cell: str, heads: int | None) -> None:
    assert read_heads(cell)[0] == heads


@pytest.mark.parametrize(
    "last",
    [
        ",Total,3,135",
        "TOTAL (2 people),,3,",
        "Summe: 3,,3,135",
        "Összesen,,3,",
        ",,3,135",
        "Stand: 1.2.2027",
        "Total 2 persons,,,",
    ],
)
def test_rows_of_totals_and_remarks_are_nobody(last: str) -> None:
    read = reading(f"\nName,Email,Seats,Paid\n\nA Berg,a@x.org,2,90\n,,,\nC Dorn,c@x.org,1,45\n{last}\n")
    assert [person.name for person in read.people] == ["A Berg", "C Dorn"]


def test_doubled_rows_of_one_file_count_once_and_the_last_decides() -> None:
    read = reading("Name,Email,Class,Seats\nA B,a@x.org,Box,1\nA B,A@x.org ,Box,1\na b,a@x.org,box,2\n")
    assert [(one.heads, one.rows) for one in read.sign_ups] == [(2, (2, 3, 4))]
    assert [str(notice) for notice in read.notices] == [
        "Row 3: repeats row 2; it counts once.",
        "Row 4: changes row 3: heads 1 becomes 2.",
    ]


def test_phones_typed_as_numbers_are_kept_or_told_as_lost() -> None:
    rows = (
        'A B,447700900125\nC D,4.4771E+11\nE F,"=""07700900126"""\nG H,7700900127.0\nI J,07700 900128 / 07700 900129\n'
    )
    read = reading(f"Name,Mobile\n{rows}")
    assert [[phone.number for phone in person.phones] for person in read.people] == [
        ["447700900125"], [""], ["07700900126"], ["7700900127"], ["07700900128", "07700900129"],
    ]  # fmt: skip

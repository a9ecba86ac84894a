"""Columns get their meaning from words of many lands, from content, and from what was settled before."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.exchange.headers import meaning_of
from scheduling.exchange.mapping import Mapping, mapping_from
from scheduling.exchange.meanings import Meaning
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import PeopleRead

TODAY = dt.date(2026, 3, 1)


def reading(text: str, mapping: Mapping | None = None) -> PeopleRead:
    return read_people(text.encode(), "list.csv", today=TODAY, mapping=mapping)


HEADERS = {
    Meaning.NAME: (
        "Name|Full name|Participant|Teilnehmername|Nom et prénom|Nome completo|Naam|Navn|氏名|姓名|ФИО|Ad Soyad"
    ),
    Meaning.FIRST: "First name|Vorname|Prénom|Voornaam|Förnamn|Etunimi|Imię|名|Person First",
    Meaning.LAST: "Surname|Nachname|Apellidos|Cognome|Achternaam|Sukunimi|Nazwisko|Příjmení|Фамилия|姓",
    Meaning.EMAIL: "E-mail|E-Mail-Adresse|Correo electrónico|Courriel|Posta elettronica|Sähköposti|メールアドレス|邮箱",
    Meaning.PHONE: "Phone number|Handy|Téléfono|Portable|Telemóvel|Puhelin|電話番号|Телефон",
    Meaning.HEADS: "Seats|Number of guests|Anzahl Personen|Plazas|Nombre de places|Liczba miejsc|人数|Количество мест",
    Meaning.DATE: "Class date|Kursdatum|Fecha del taller|Date de l'atelier|Data|Päivämäärä|日付|Дата",
    Meaning.TIME: "Start time|Uhrzeit|Heure|Hora|Class time",
    Meaning.CLASS: "Class|Workshop title|Kursname|Taller|Atelier|Corso|Cursus|Warsztat|講座|Курс",
    Meaning.STATE: "Status|Estado|Statut|Cancelled?|Warteliste|ステータス",
    Meaning.PAID: "Paid|Bezahlt|Payé|Pagado|Payment status|Betaald",
    Meaning.HEALTH: "Allergies / access needs|Lebensmittelallergien|Salud|Handicap|Dietary requirements",
    Meaning.CONSENT: "Newsletter|Photo consent|Einwilligung|Consentimiento",
    Meaning.BIRTHDAY: "Date of birth|Geburtsdatum|Date de naissance|Fecha de nacimiento|生年月日",
    Meaning.SIGNED_AT: "Timestamp|Zeitstempel|Anmeldedatum|Date d'inscription|Booked on",
    Meaning.ROW_ID: "Id|Booking ref|Buchungsnummer|Confirmation code",
    Meaning.ORDER_ID: "Order #|Bestellnummer|Commande",
    Meaning.UNUSED: "First time here?|Instructor|Kursleitung|Emergency contact",
}


@pytest.mark.parametrize(("header", "meaning"), [(h, m) for m, words in HEADERS.items() for h in words.split("|")])
def test_a_header_has_its_meaning_in_its_language(header: str, meaning: Meaning) -> None:
    assert meaning_of(header) is meaning


def test_words_that_are_no_header_mean_nothing() -> None:
    assert [meaning_of(text) for text in ("Ainm", "xyz", "", "12")] == [None] * 4


@pytest.mark.parametrize(
    ("header", "row", "name"),
    [
        ("Nombre;Apellidos", "Inés;de la Cruz Peña", "Inés de la Cruz Peña"),
        ("Nom;Prénom", "Dupont;Élise", "Élise Dupont"),
        ("Name;Vorname", "Groß;Jürgen", "Jürgen Groß"),
        ("Cognome;Nome", "Rossi;Anna", "Anna Rossi"),
        ("Name;Vorname", "Jürgen Groß;Jürgen", "Jürgen Groß"),
        ("First;Last;Name", "Tam;Finn;Tam Finn", "Tam Finn"),
        ("First;Last;Name", "Tam;Finn;", "Tam Finn"),
        ("Nume;Prenume", "Popescu;Ștefan", "Ștefan Popescu"),
        ("Ad;Soyad", "Şükrü;Yılmaz", "Şükrü Yılmaz"),
    ],
)
def test_names_in_two_columns_are_put_together(header: str, row: str, name: str) -> None:
    assert [person.name for person in reading(f"{header};E-mail\n{row};a@p.example\n").people] == [name]


def test_without_a_header_columns_are_told_by_what_they_hold() -> None:
    read = reading("Ada Roe,ada@p.example,07700 900123,2\nBen Sol,ben@p.example,07700 900124,1\n")
    assert read.source.header_row == 0
    assert [(p.name, p.emails, p.phones[0].number) for p in read.people] == [
        ("Ada Roe", ("ada@p.example",), "07700900123"),
        ("Ben Sol", ("ben@p.example",), "07700900124"),
    ]
    assert [sign_up.heads for sign_up in read.sign_ups] == [2, 1]
    assert "no header row" in str(read.notices[0])


def test_first_and_last_names_without_a_header_are_told_from_the_class() -> None:
    read = reading("ada@p.example;Ada;Roe;Clay;2026-05-09\nben@p.example;Ben;Sol;Clay;2026-05-16\n")
    assert [(p.name, s.class_text) for p, s in zip(read.people, read.sign_ups, strict=True)] == [
        ("Ada Roe", "Clay"),
        ("Ben Sol", "Clay"),
    ]


def test_headers_of_no_known_language_are_kept_and_guessed_by_content() -> None:
    read = reading("Ainm,Ríomhphost,Rang\nAoife Byrne,a@p.example,Cré\n")
    assert (read.header, read.people[0].name) == (("Ainm", "Ríomhphost", "Rang"), "Aoife Byrne")


def test_a_mapping_of_before_goes_before_the_guess() -> None:
    mapping = Mapping().with_column("Rang", Meaning.CLASS)
    read = reading("Ainm,Ríomhphost,Rang\nAoife Byrne,a@p.example,Cré\n", mapping)
    assert read.sign_ups[0].class_text == "Cré"
    assert read.mapping.meaning("rang") is Meaning.CLASS


def test_the_mapping_given_back_reads_the_next_file_alike() -> None:
    text = "Name,E-mail,Class date,Paid\nA B,a@p.example,03/04/2026,1.045\n"
    first = reading(text)
    mapping = first.mapping
    for question, value in zip(first.ask, ("month-first", ","), strict=True):
        mapping = mapping.answered(question.kind, question.about, value)
    again = reading(text, mapping_from(mapping.as_dict()))
    assert again.ask == ()
    assert again.sign_ups[0].day == dt.date(2026, 3, 4)
    assert str(again.sign_ups[0].paid) == "1045"
    assert again.mapping == again.mapping.answered("date order", "Class date", "month-first")


def test_the_column_of_names_is_asked_when_nothing_looks_like_a_name() -> None:
    text = "Class,Date,Wer\nClay,2026-05-09,007\n"
    read = reading(text)
    assert read.people == ()
    assert [(question.kind, [choice.value for choice in question.choices]) for question in read.ask] == [
        ("names column", ["Class", "Date", "Wer"])
    ]
    answered = read.mapping.answered("names column", "names", "Wer")
    assert [person.name for person in reading(text, answered).people] == ["007"]


@pytest.mark.parametrize("kept", [{"columns": 3}, {"columns": [["a"]]}, {"columns": [["a", "wings"]]}, {"sheet": 1}])
def test_a_kept_mapping_that_is_not_understood_is_refused(kept: dict[str, object]) -> None:
    with pytest.raises(InvalidError):
        mapping_from(kept)


def test_an_answer_that_is_no_choice_is_refused() -> None:
    with pytest.raises(InvalidError):
        Mapping().answered("date order", "Date", "year-first")


def test_a_ticket_that_is_a_word_is_no_sign_up_number() -> None:
    assert reading("Name,Ticket\nA B,General\nC D,General\n").sign_ups[0].source_id == ""
    assert reading("Name,Ticket\nA B,T-1\nC D,T-2\n").sign_ups[0].source_id == "T-1"


def test_an_e_mail_header_over_no_address_is_not_believed() -> None:
    read = reading("Name,Mail,E-mail\nA B,by post,a@p.example\nC D,by van,c@p.example\n")
    assert [person.emails for person in read.people] == [("a@p.example",), ("c@p.example",)]
    assert "Row" not in str(read.notices)


def test_the_class_date_goes_before_another_date() -> None:
    read = reading("Date,Name,E-mail,Class date\n2026-01-02,A B,a@p.example,2026-05-09\n")
    assert read.sign_ups[0].day == dt.date(2026, 5, 9)

"""Amounts, phones, e-mail addresses, heads and names out of single cells."""

from __future__ import annotations

from decimal import Decimal

import pytest

from scheduling.exchange.amounts import read_amounts
from scheduling.exchange.emails import read_emails
from scheduling.exchange.heads import read_heads
from scheduling.exchange.names import folded_name, guest_names, may_be_several, shown_name
from scheduling.exchange.phones import read_phones
from scheduling.exchange.rows import NoValue, Value


@pytest.mark.parametrize(
    ("cells", "amounts"),
    [
        (["45,50", "1.091,00"], ["45.50", "1091.00"]),
        (["45.50", "1,091.00"], ["45.50", "1091.00"]),
        (["1.045", "45,50"], ["1045", "45.50"]),
        (["1,045", "45.50"], ["1045", "45.50"]),
        (["€ 45", "45,-", "1 091,00 kr", "1'091.00 CHF"], ["45", "45", "1091.00", "1091.00"]),
        (["12.345.678", "-5", "(12.50)"], ["12345678", "-5", "-12.50"]),
        (["1.091.000,5"], ["1091000.5"]),
        (["0.125"], ["0.125"]),
    ],
)
def test_one_decimal_sign_for_the_column_by_proof(cells: list[str], amounts: list[str]) -> None:
    found = read_amounts(cells, "Paid")
    assert [str(amount) for amount in found.amounts] == amounts
    assert found.question is None


def test_a_doubtful_amount_alone_is_asked() -> None:
    found = read_amounts(["1.091", "2.000"], "Paid")
    assert found.amounts == [None, None]
    assert found.question is not None
    assert found.question.text == "decimal sign of “Paid”: is 1.091 meant as 1091 or as 1.091?"
    assert not found.odd
    assert read_amounts(["1.091"], "Paid", ",").amounts == [Decimal(1091)]
    assert read_amounts(["1.091"], "Paid", ".").amounts == [Decimal("1.091")]


def test_yes_and_no_are_no_amounts_and_other_words_are_odd() -> None:
    found = read_amounts(["yes", "nein", "bezahlt", "unpaid", "gratis", "by card", "", NoValue("#N/A")], "Paid")
    assert found.amounts == [None] * 8
    assert found.said == [True, False, True, False, True, None, None, None]
    assert list(found.odd) == [5]


def test_numbers_of_a_workbook_stay_exact() -> None:
    assert read_amounts([45, Decimal("45.5")], "Paid").amounts == [Decimal(45), Decimal("45.5")]


@pytest.mark.parametrize(
    ("cell", "number", "extension"),
    [
        ("07700 900123", "07700900123", ""),
        ("+44 (0)7700 900-124", "+447700900124", ""),
        ("0049 (0) 30 1234567", "0049301234567", ""),
        ("(030) 123-4567", "0301234567", ""),
        ("030/1234-56 ext. 7", "030123456", "7"),
        ("030 123456 Durchwahl 12", "030123456", "12"),
        ("+1 555 010 0199 x12", "+15550100199", "12"),
        ("tel:+34-600-000-000;ext=7", "+34600000000", "7"),
        ("'+4930123456", "+4930123456", ""),
        ("００３０ １２３４５", "003012345", ""),
    ],
)
def test_a_phone_number_is_text_with_its_zeros_and_plus(cell: str, number: str, extension: str) -> None:
    phones, odd = read_phones(cell)
    assert [(phone.number, phone.extension) for phone in phones] == [(number, extension)]
    assert not odd


@pytest.mark.parametrize("cell", ["4.477E+11", "4,477e11", "4.477E+011", Decimal("4.477E+20")])
def test_a_number_that_lost_digits_is_damaged_and_never_dialled(cell: Value) -> None:
    phones, odd = read_phones(cell)
    assert [(phone.number, phone.damaged) for phone in phones] == [("", True)]
    assert "lost digits" in odd


@pytest.mark.parametrize(("cell", "number"), [(447700900123, "447700900123"), ("447700900123.0", "447700900123")])
def test_a_number_typed_as_a_number_is_whole_and_flagged(cell: Value, number: str) -> None:
    phones, odd = read_phones(cell)
    assert phones[0].number == number
    assert "may lack a +" in odd


def test_several_numbers_in_a_cell_are_several() -> None:
    assert [p.number for p in read_phones("030 1234567; 0171 222333")[0]] == ["0301234567", "0171222333"]
    assert [p.number for p in read_phones("030 123456 / 0170 4567890")[0]] == ["030123456", "01704567890"]
    assert [p.number for p in read_phones("0761 / 12 34 56")[0]] == ["0761123456"]


@pytest.mark.parametrize(("cell", "says"), [("+1-1", "short"), ("ask husband", "not a phone"), ("1" * 30, "long")])
def test_what_is_no_phone_number_is_told(cell: str, says: str) -> None:
    assert says in read_phones(cell)[1]


@pytest.mark.parametrize("cell", ["", "n/a", "-", "keine"])
def test_no_phone_is_nothing(cell: str) -> None:
    assert read_phones(cell) == ((), "")


@pytest.mark.parametrize(
    ("cell", "found"),
    [
        ("Ada.Roe@People.Example", ("Ada.Roe@People.Example",)),
        ("ada.roe+pottery@people.example", ("ada.roe+pottery@people.example",)),
        ("mailto:ben@people.example", ("ben@people.example",)),
        ("<mailto:ben@people.example?subject=hi>", ("ben@people.example",)),
        ("Cat Tuo <cat@people.example>;", ("cat@people.example",)),
        ('"Tuo, Cat" <cat@people.example>', ("cat@people.example",)),
        ("a@x.example; A@X.example, b@y.example", ("a@x.example", "b@y.example")),
        ("jürgen@müller.example", ("jürgen@müller.example",)),
        (" \u200bada@people.example\xa0", ("ada@people.example",)),
    ],
)
def test_addresses_are_unwrapped_and_kept_as_typed(cell: str, found: tuple[str, ...]) -> None:
    read = read_emails(cell)
    assert (read.found, read.odd) == (found, "")


def test_an_address_that_cannot_be_right_is_kept_and_flagged() -> None:
    assert read_emails("dot@people").found == ("dot@people",)
    assert "complete" in read_emails("dot@people").odd
    assert read_emails("ann(at)x.org").found == ()
    assert "not an e-mail address" in read_emails("ann(at)x.org").odd


@pytest.mark.parametrize(
    ("cell", "heads", "is_odd"),
    [
        ("3", 3, False), (" 2 ", 2, False), ("2.0", 2, False), ("2,0", 2, False), ("", 1, False), (2, 2, False),
        ("2x", 2, False), ("2 Personen", 2, False), ("２", 2, False),
        ("1+1", 2, True), ("two", 2, True), ("zwei", 2, True),
        ("deux", 2, True), ("+1", 2, True), ("me + 1", 2, True),
        ("2 adults, 1 child", 3, True), ("3 (incl. 1 child)", 3, True),
        ("2-3", 3, True), ("0", 0, True), ("-1", None, True),
        ("2.5", None, True), ("many", None, True), ("1/2", None, True), ("9999", None, True),
        ("#N/A", None, True), (NoValue("#N/A"), None, True), (Decimal("1.5"), None, True),
    ],
)  # fmt: skip
def test_heads_are_counted_and_all_but_plain_numbers_flagged(cell: Value, heads: int | None, is_odd: bool) -> None:
    found, odd = read_heads(cell)
    assert (found, bool(odd)) == (heads, is_odd)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("O'Neill, Siobhán", "Siobhán O'Neill"),
        ("Smith, John, Jr.", "John Smith Jr."), ("John Smith, PhD", "John Smith PhD"),
        ("García López, María José", "María José García López"), ("Berg, Jan van der", "Jan van der Berg"),
        ("Madonna", "Madonna"), ("van der Berg", "van der Berg"), ("  Ludwig \xa0 von Mises ", "Ludwig von Mises"),
        ("Ann Lee, Bob Lee", "Ann Lee, Bob Lee"), ("Lee,", "Lee"), ("a, b, c", "a, b, c"), ("王小明", "王小明"),
    ],
)  # fmt: skip
def test_a_name_is_shown_in_speaking_order_and_nothing_is_invented(typed: str, shown: str) -> None:
    assert shown_name(typed) == shown


def test_names_of_one_person_compare_alike_and_accents_tell_people_apart() -> None:
    assert folded_name("Siobhán O’Neill") == folded_name("siobha\u0301n\xa0O'NEILL")
    assert folded_name("Anne\u2011Marie Roe") == folded_name("Anne-Marie  roe")
    assert folded_name("Jose Nunez") != folded_name("José Núñez")


@pytest.mark.parametrize(
    "name", ["Kai + Lis Olm", "Ann & Bob Lee", "Ann und Bob Lee", "Ann Lee / Bob Lee", "Ann Lee, Bob Lee"]
)
def test_a_name_of_two_people_is_noticed(name: str) -> None:
    assert may_be_several(name)


def test_guests_are_names_and_figures_are_not() -> None:
    assert guest_names("Hedy Nord, Ib Nord") == ("Hedy Nord", "Ib Nord")
    assert guest_names("Hedy and Ib; Ole\nUna") == ("Hedy", "Ib", "Ole", "Una")
    assert guest_names("+1") == guest_names("2") == ()

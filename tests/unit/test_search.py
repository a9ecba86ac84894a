"""Search over everything: what it finds, in which order, and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.erasing import ErasePerson
from scheduling.commands.orders import PlaceOrder, ReceiveOrder
from scheduling.commands.people import AddPerson, RetirePerson
from scheduling.commands.venues import RetireVenue
from scheduling.queries.search import FoundRow, Search
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


def kinds(rows: tuple[FoundRow, ...]) -> list[str]:
    return list(dict.fromkeys(row.kind for row in rows))


def test_nothing_typed_finds_nothing(studio: Studio) -> None:
    assert studio.ask(Search("  ")) == ()


def test_a_word_is_found_in_classes_tasks_and_projects_at_once(studio: Studio) -> None:
    rows = studio.ask(Search("lantern"))
    assert {"class", "project"} <= set(kinds(rows))
    assert all(
        "lantern" in (row.title + row.about).lower() for row in rows if row.kind in ("class", "project", "attendee")
    )


def test_classes_to_come_stand_before_past_ones(studio: Studio) -> None:
    rows = [row for row in studio.ask(Search("pamphlet")) if row.kind == "class"]
    assert [row.ref for row in rows] == ["C06", "C14", "C01"]
    assert rows[0].about.startswith("Thu 18 Feb 2027 18:30, ")


def test_a_class_is_found_by_its_day_and_by_its_venue(studio: Studio) -> None:
    assert [row.ref for row in studio.ask(Search("18 feb")) if row.kind == "class"] == ["C06"]
    assert "C06" in [row.ref for row in studio.ask(Search("pellowick feb")) if row.kind == "class"]


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("c05", "class"),
        ("C5", "class"),
        ("a02", "attendee"),
        ("b1", "booking"),
        ("t03", "task"),
        ("v02", "venue"),
        ("p01", "project"),
    ],
)
def test_a_reference_is_found_first(studio: Studio, typed: str, kind: str) -> None:
    first = studio.ask(Search(typed))[0]
    assert first.kind == kind
    assert first.ref[0] == typed[0].upper()
    assert int(first.ref[1:]) == int(typed[1:])


def test_a_booking_says_who_and_which_class(studio: Studio) -> None:
    row = studio.ask(Search("B01"))[0]
    assert row.class_date_id
    assert "1 head, C" in row.about


def test_a_reference_that_nothing_has_finds_nothing_of_its_kind(studio: Studio) -> None:
    assert not [row for row in studio.ask(Search("b99999")) if row.kind == "booking"]


def test_a_task_is_found_by_words_of_its_title_and_of_its_class(studio: Studio) -> None:
    every = [row for row in studio.ask(Search("cut", at_most=500)) if row.kind == "task"]
    one = [row for row in studio.ask(Search("cut coptic")) if row.kind == "task"]
    assert 0 < len(one) < len(every)
    assert all("Coptic" in row.about for row in one)


def test_an_attendee_is_found_without_accents_by_mail_and_by_phone(studio: Studio) -> None:
    zoe = studio.do(AddPerson(name="Zoë Łukasz-Kim", email="Z@Kim.example", phone="555 7781")).person_id
    for typed in ("zoe", "lukasz kim", "z@kim", "7781", "kim zoe"):
        assert ("attendee", zoe) in [(row.kind, row.id) for row in studio.ask(Search(typed))], typed


def test_names_that_begin_with_the_text_come_first(studio: Studio) -> None:
    for name in ("Anna Quib", "Quibble Ann"):
        studio.do(AddPerson(name=name))
    assert [row.title for row in studio.ask(Search("quib"))] == ["Quibble Ann", "Anna Quib"]


def test_retired_and_erased_people_are_left_out_but_a_reference_still_finds_the_retired(studio: Studio) -> None:
    ann = studio.do(AddPerson(name="Qqann")).person_id
    studio.do(RetirePerson(person_id=ann))
    assert studio.ask(Search("qqann")) == ()
    assert studio.ask(Search(f"a{ann}"))[0].about == "retired"
    studio.do(ErasePerson(person_id=ann))
    assert studio.ask(Search(f"a{ann}")) == ()


def test_a_retired_venue_is_found_and_says_so(studio: Studio) -> None:
    row = studio.ask(Search("rope hall"))[-1]
    assert row.kind == "venue"
    studio.do(RetireVenue(venue_id=row.id))
    assert studio.ask(Search("rope hall"))[-1].about.startswith("retired")


def test_every_kind_keeps_its_share_of_a_short_answer(studio: Studio) -> None:
    whole = kinds(studio.ask(Search("a", at_most=1000)))
    short = studio.ask(Search("a", at_most=12))
    assert len(short) == 12
    assert kinds(short) == whole


def test_no_row_stands_twice(studio: Studio) -> None:
    rows = studio.ask(Search("c05", at_most=500))
    assert len({(row.kind, row.id) for row in rows}) == len(rows)


def test_signs_with_a_meaning_in_sql_are_plain_text(studio: Studio) -> None:
    for typed in ("%", "_", "'", '"; --', "\\", "100%"):
        assert not [row for row in studio.ask(Search(typed)) if row.kind == "attendee"], typed


def test_materials_suppliers_and_orders_are_found_by_name_and_by_reference(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    assert [(row.kind, row.ref) for row in studio.ask(Search("drawing paper"))] == [("material", "M03")]
    assert {row.kind for row in studio.ask(Search("ammerlin"))} == {"material", "supplier", "order"}
    assert next((row.kind, row.about) for row in studio.ask(Search("g01"))) == ("order", "ordered, comes Wed 10 Feb")
    assert next(row.title for row in studio.ask(Search("u03"))) == "Kestrowe Thread & Tools"
    assert next(row.title for row in studio.ask(Search("m03"))) == "Drawing paper"


def test_an_order_that_has_come_is_found_by_its_reference_only(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    studio.do(ReceiveOrder(supply_order_id=1))
    assert "order" not in {row.kind for row in studio.ask(Search("ammerlin"))}
    assert studio.ask(Search("g1"))[0].about == "received"

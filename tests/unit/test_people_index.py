"""The index of all attendees: found by letters, kept up with every change."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from scheduling.commands.erasing import ErasePerson
from scheduling.commands.people import AddPerson, ChangePerson, RetirePerson
from scheduling.commands.settings import SetUpStudio
from scheduling.commands.undoing import Redo, Undo
from scheduling.people_index import PeopleIndex, TextFinder
from scheduling.queries.people_list import Children, PeopleNamed, PeopleRows, PeopleTexts
from scheduling.studio import Studio


@pytest.fixture
def studio() -> Iterator[Studio]:
    first = SetUpStudio(name="Paper Room", time_zone="Europe/Berlin", currency="EUR")
    with Studio.made(":memory:", first) as made:
        yield made


def names(studio: Studio, index: PeopleIndex, typed: str = "", *, with_retired: bool = False) -> list[str]:
    index.follow(studio.ask)
    ids, find = index.listed(with_retired=with_retired)
    by_id = {row.id: row.name for row in studio.ask(PeopleRows(tuple(ids)))}
    return [by_id[ids[n]] for n in find(typed)]


def test_people_are_in_the_order_of_their_names(studio: Studio) -> None:
    for name in ("Zoë Ab", "Ann B", "ann", "Łucja"):
        studio.do(AddPerson(name=name))
    assert names(studio, PeopleIndex()) == ["ann", "Ann B", "Łucja", "Zoë Ab"]


@pytest.mark.parametrize("typed", ["zoe", "ZOË", "ab zo", "zed@example", "0142", "a01", "Zoë"])
def test_a_person_is_found_by_name_mail_phone_or_reference(studio: Studio, typed: str) -> None:
    studio.do(AddPerson(name="Zoë Ab", email="Zed@Example.org", phone="555 0142"))
    studio.do(AddPerson(name="Ann"))
    assert names(studio, PeopleIndex(), typed) == ["Zoë Ab"]


def test_names_that_begin_with_what_is_typed_come_first(studio: Studio) -> None:
    for name in ("Anna Mill", "Mill Anders", "Zed Milligan"):
        studio.do(AddPerson(name=name))
    assert names(studio, PeopleIndex(), "mill") == ["Mill Anders", "Anna Mill", "Zed Milligan"]


def test_the_index_follows_adding_changing_retiring_and_undo(studio: Studio) -> None:
    index = PeopleIndex()
    assert names(studio, index) == []
    ann = studio.do(AddPerson(name="Ann")).person_id
    assert names(studio, index) == ["Ann"]
    studio.do(ChangePerson(person_id=ann, name="Bea"))
    assert names(studio, index, "bea") == ["Bea"]
    studio.do(RetirePerson(person_id=ann))
    assert names(studio, index) == []
    assert names(studio, index, with_retired=True) == ["Bea"]
    studio.do(Undo())
    studio.do(Undo())
    assert names(studio, index) == ["Ann"]
    studio.do(Undo())
    assert names(studio, index) == []
    studio.do(Redo())
    assert names(studio, index) == ["Ann"]


def test_an_erased_person_is_not_found_any_more(studio: Studio) -> None:
    index = PeopleIndex()
    ann = studio.do(AddPerson(name="Ann")).person_id
    assert names(studio, index) == ["Ann"]
    studio.do(ErasePerson(person_id=ann))
    assert names(studio, index) == []


def test_only_what_has_changed_is_asked_again(studio: Studio) -> None:
    studio.do(AddPerson(name="Ann"))
    seen = studio.ask(PeopleTexts()).revision
    bea = studio.do(AddPerson(name="Bea")).person_id
    news = studio.ask(PeopleTexts(seen))
    assert not news.is_whole
    assert [text.id for text in news.texts] == [bea]


def test_nothing_new_is_said_when_nothing_has_changed(studio: Studio) -> None:
    index = PeopleIndex()
    assert index.follow(studio.ask)
    assert not index.follow(studio.ask)


def test_a_shorter_entry_after_a_longer_one_finds_all_again() -> None:
    find = TextFinder(["ann", "anna", "bea"])
    assert list(find("anna")) == [1]
    assert list(find("an")) == [0, 1]
    assert list(find("")) == [0, 1, 2]


def test_children_and_namesakes_are_asked_for_by_name(studio: Studio) -> None:
    mum = studio.do(AddPerson(name="Eva Noe")).person_id
    for name in ("Zoe Noe", "Abe Noe"):
        studio.do(AddPerson(name=name, guardian_id=mum))
    assert [row.name for row in studio.ask(Children(mum))] == ["Abe Noe", "Zoe Noe"]
    assert [row.id for row in studio.ask(PeopleNamed("eva  NOÉ"))] == [mum]

"""The attendees' list, one attendee's page and the form, driven by keys."""

from __future__ import annotations

from textual.pilot import Pilot

from scheduling.commands.people import AddPerson, ChangePerson
from scheduling.commands.settings import SetUpStudio
from scheduling.queries.history import History
from scheduling.queries.people import FindPeople, Person, PersonPage
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.screens import said, screen_text
from tui.screens.attendees import AttendeesScreen
from tui.screens.person import PersonScreen
from tui.widgets.ask import Ask
from tui.widgets.field import Field
from tui.widgets.form import Form
from tui.widgets.rows import Rows


def named(studio: Studio, name: str) -> PersonPage:
    return studio.ask(Person(studio.ask(FindPeople(name, with_retired=True)).rows[0].id))


def field(pilot: Pilot[int], entry: str) -> Field:
    return pilot.app.screen.query_one(Form).field(entry)


async def test_typing_narrows_the_list_and_enter_opens_the_person(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("f")
        await typed(pilot, "quillow")
        await pilot.press("enter", "enter")
        assert isinstance(pilot.app.screen, PersonScreen)
        assert "a02@example.org" in screen_text(pilot.app)


async def test_a_new_attendee_is_kept_from_the_form_and_shown(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("n")
        await typed(pilot, "木版画 Ann [/]")
        await pilot.press("tab")
        await typed(pilot, "ann@example.org")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert named(studio, "ann@example.org").name == "木版画 Ann [/]"
        assert isinstance(pilot.app.screen, AttendeesScreen)
        assert "is kept as" in said(pilot)
        await pilot.press("u")
        assert studio.ask(FindPeople("ann@example.org")).total == 0


async def test_the_form_says_while_typing_what_is_wrong_with_an_address(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("n", "tab")
        await typed(pilot, "ann at home")
        assert "is not an e-mail address" in field(pilot, "email").note
        await pilot.press("ctrl+o")
        assert field(pilot, "name").is_wrong


async def test_the_form_says_that_somebody_of_the_name_is_kept(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("n")
        await typed(pilot, "bettany quillow")
        assert "kept already: A02 a02@example.org" in field(pilot, "name").note


async def test_a_guardian_is_found_by_typing(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("n")
        await typed(pilot, "Little One")
        await pilot.press(*["tab"] * 6)
        await typed(pilot, "quillow")
        await pilot.press("enter", "ctrl+o")
        await pilot.pause()
        assert named(studio, "Little One").guardian == "Bettany Quillow"


async def test_a_birth_year_is_shown_as_an_age(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("n", *["tab"] * 5)
        await typed(pilot, "2017")
        assert "10 this year" in field(pilot, "birth_year").note
        await typed(pilot, "9")
        assert field(pilot, "birth_year").is_wrong


async def test_changing_keeps_what_was_not_touched(studio: Studio) -> None:
    before = named(studio, "Clover Mossgrave")
    async with opened(studio, "attendees") as pilot:
        await pilot.press("f")
        await typed(pilot, "clover")
        await pilot.press("enter", "c", *["tab"] * 2)
        await typed(pilot, "555 0100")
        await pilot.press("ctrl+o")
        await pilot.pause()
    after = named(studio, "Clover Mossgrave")
    assert after.phone == "555 0100"
    assert (after.guardian_id, after.access_needs, after.health_note, after.photos_on) == (
        before.guardian_id,
        before.access_needs,
        before.health_note,
        before.photos_on,
    )


async def test_leaving_a_form_asks_before_typing_is_lost(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("n")
        await typed(pilot, "Ann")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        await pilot.press("enter")
        assert field(pilot, "name").value == "Ann"


async def test_retiring_asks_and_takes_out_of_the_list_and_v_and_x_bring_back(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        rows = pilot.app.screen.query_one(Rows)
        first, count = rows.cursor_id, rows.count
        assert isinstance(first, int)
        await pilot.press("x")
        await pilot.press("enter")
        assert rows.count == count
        await pilot.press("x")
        await pilot.press("down", "enter")
        await pilot.pause()
        assert rows.count == count - 1
        assert studio.ask(Person(first)).retired
        await pilot.press("v")
        assert rows.count == count
        rows.go_to(first)
        await pilot.press("x")
        assert not studio.ask(Person(first)).retired


async def test_the_page_shows_consents_with_their_dates_and_until_when_a_health_note_is_kept(studio: Studio) -> None:
    bettany = named(studio, "Bettany Quillow").id
    studio.do(ChangePerson(person_id=bettany, photos="yes", health_note="latex"))
    async with opened(studio, "attendees") as pilot:
        pilot.app.open_person(bettany)  # type: ignore[attr-defined]
        await pilot.pause()
        text = screen_text(pilot.app)
        assert "yes, agreed" in text
        assert "on Mon 1 Feb 2027" in text
        assert "latex" in text
        assert "kept to" in text


async def test_a_health_note_stands_in_no_list(studio: Studio) -> None:
    studio.do(AddPerson(name="Aaa", health_note="latex"))
    async with opened(studio, "attendees", size=(200, 40)) as pilot:
        assert "latex" not in screen_text(pilot.app)


async def test_a_guardian_and_the_children_lead_to_each_other(studio: Studio) -> None:
    mum = studio.do(AddPerson(name="Eva Noe")).person_id
    child = studio.do(AddPerson(name="Abe Noe", guardian_id=mum)).person_id
    async with opened(studio, "attendees") as pilot:
        pilot.app.open_person(mum)  # type: ignore[attr-defined]
        await pilot.pause()
        pilot.app.screen.query_one(Rows).go_to(f"child {child}")
        await pilot.press("enter")
        await pilot.pause()
        assert "Guardian" in screen_text(pilot.app)
        pilot.app.screen.query_one(Rows).go_to("guardian")
        await pilot.press("enter")
        await pilot.pause()
        assert "Guardian of" in screen_text(pilot.app)
        await pilot.press("escape")
        await pilot.press("escape")
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, AttendeesScreen)


async def test_erasing_for_good_says_what_goes_and_nothing_is_ready_under_enter(studio: Studio) -> None:
    ann = studio.do(AddPerson(name="Ann Gone", phone="555")).person_id
    async with opened(studio, "attendees") as pilot:
        pilot.app.open_person(ann)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("end", "enter")
        await pilot.pause()
        text = screen_text(pilot.app)
        assert "This cannot be undone." in text
        assert "Goes: name, phone" in text
        await pilot.press("enter")
        assert not studio.ask(Person(ann)).erased
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        assert studio.ask(Person(ann)).erased
        assert "Ann Gone" not in screen_text(pilot.app)
        assert not studio.ask(History(1))[0].undoable


async def test_erasing_is_refused_while_a_class_to_come_counts_on_them(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        pilot.app.open_person(named(studio, "Bettany Quillow").id)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("end", "enter")
        await pilot.press("down", "enter")
        await pilot.pause()
        assert said(pilot).startswith("Not done: Bettany Quillow is still on C09")


async def test_an_empty_studio_says_what_to_do_next() -> None:
    first = SetUpStudio(name="New", time_zone="Europe/Berlin", currency="EUR")
    with Studio.made(":memory:", first) as empty:
        async with opened(empty, "attendees") as pilot:
            assert "Press n to keep the first one" in screen_text(pilot.app)

"""History, help, the list of all actions and search, driven by keys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.people import AddPerson, ChangePerson
from scheduling.commands.settings import ChangeStudio
from scheduling.queries.history import History
from scheduling.queries.people import FindPeople, Person
from scheduling.queries.settings import Settings
from scheduling.studio import COMMAND_LINE, Studio
from tests.support.demo_studio import demo_copy, opened, typed
from tests.support.screens import said, screen_text
from tui.keys import TABLE, is_known, key_for
from tui.screens.attendees import AttendeesScreen
from tui.screens.help import HelpScreen
from tui.screens.history import HistoryScreen
from tui.screens.person import PersonScreen
from tui.screens.person_form import PersonFormScreen
from tui.screens.settings import SettingsScreen
from tui.screens.venue_form import VenueFormScreen
from tui.theme import THEMES
from tui.widgets.ask import Ask
from tui.widgets.picker import Picker
from tui.widgets.rows import Rows


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return demo_copy(tmp_path)


@pytest.fixture
def studio(path: Path) -> Iterator[Studio]:
    with Studio(str(path)) as demo:
        yield demo


# --- history ----------------------------------------------------------------------------------------------------


async def test_the_history_says_who_did_what(studio: Studio, path: Path) -> None:
    studio.do(AddPerson(name="Here"))
    for origin in (COMMAND_LINE, ""):
        with Studio(str(path), origin=origin) as other:
            other.do(AddPerson(name="There"))
    async with opened(studio, "history", size=(120, 40)) as pilot:
        lines = screen_text(pilot.app).splitlines()
        who = ["other window", "command line", "this window", "demo"]
        assert [word for word in who if any(word in line for line in lines)] == who
        assert [next(w for w in who if w in line) for line in lines if "Mon 1 Feb, 08:00" in line][:4] == who


async def test_one_earlier_action_is_taken_back_by_its_row(studio: Studio) -> None:
    first = studio.do(AddPerson(name="First One"))
    studio.do(AddPerson(name="Second One"))
    async with opened(studio, "history") as pilot:
        pilot.app.screen.query_one(Rows).go_to(first.history_id)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        text = screen_text(pilot.app)
        assert f"Take back {first.history_id}: Added" in text
        assert "First One" in text
        await pilot.press("enter")
        assert studio.ask(FindPeople("First One")).total == 1
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert studio.ask(FindPeople("First One")).total == 0
        assert studio.ask(FindPeople("Second One")).total == 1
        assert "taken back" in screen_text(pilot.app)


async def test_taking_back_what_a_later_action_changed_is_refused_and_names_it(studio: Studio) -> None:
    added = studio.do(AddPerson(name="First One"))
    studio.do(ChangePerson(person_id=added.person_id, phone="555"))
    async with opened(studio, "history") as pilot:
        pilot.app.screen.query_one(Rows).go_to(added.history_id)
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert said(pilot).startswith("Not done:")
        assert studio.ask(FindPeople("First One")).total == 1


async def test_what_cannot_be_taken_back_says_so(studio: Studio) -> None:
    async with opened(studio, "history") as pilot:
        assert "stays" in screen_text(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HistoryScreen)
        assert said(pilot).startswith("This cannot be taken back")


async def test_what_is_taken_back_already_and_the_taking_back_itself_are_no_actions(studio: Studio) -> None:
    studio.do(AddPerson(name="First One"))
    async with opened(studio, "history") as pilot:
        await pilot.press("u")
        await pilot.pause()
        await pilot.press("home", "enter")
        assert "itself a taking back" in said(pilot)
        await pilot.press("down", "enter")
        assert "taken back already" in said(pilot)
        await pilot.press("r")
        assert studio.ask(FindPeople("First One")).total == 1


# --- help -------------------------------------------------------------------------------------------------------


async def test_help_begins_with_the_place_one_is_in_and_names_every_key(studio: Studio) -> None:
    async with opened(studio, "attendees", size=(120, 150)) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpScreen)
        lines = screen_text(pilot.app).splitlines()
        assert "Here: Attendees" in lines[2]
        assert any("retire" in line for line in lines[3:14])
        text = "\n".join(lines)
        for key in TABLE:
            assert key.label in text
        assert "fire authority" in text
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, AttendeesScreen)


async def test_help_is_searched_by_typing(studio: Studio) -> None:
    async with opened(studio, "history") as pilot:
        await pilot.press("question_mark", "f")
        await typed(pilot, "calendar")
        await pilot.pause()
        assert "Write a file: a calendar, a list" in screen_text(pilot.app)
        assert "Settings" not in screen_text(pilot.app)


# --- all actions ------------------------------------------------------------------------------------------------


async def test_an_action_is_found_by_its_name_and_done_where_one_is(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("full_stop")
        await typed(pilot, "new")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PersonFormScreen)


async def test_an_action_without_a_key_is_found_too(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("ctrl+p")
        await typed(pilot, "plain")
        await pilot.press("enter")
        await pilot.pause()
        assert studio.ask(Settings()).theme == "plain"
        assert pilot.app.theme == THEMES["plain"].name


async def test_going_to_a_page_is_an_action(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("full_stop")
        await typed(pilot, "go to the settings")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, SettingsScreen)


async def test_only_actions_that_work_here_are_listed_each_once(studio: Studio) -> None:
    async with opened(studio, "history") as pilot:
        await pilot.press("full_stop")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Picker)
        items = pilot.app.screen.query_one(Rows)._items
        names = [item.id for item in items if item is not None]
        assert len(names) == len(set(names))
        assert "cancel" in names
        assert "tick" not in names
        assert {name for name in names if is_known(name)} >= {"undo", "redo", "search", "help", "quit", "go_week"}


async def test_the_list_of_actions_gives_the_key_of_each(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("full_stop")
        await typed(pilot, "take back the latest")
        await pilot.pause()
        line = next(line for line in screen_text(pilot.app).splitlines() if "undo" in line)
        assert line.split()[-2] == key_for("undo").sign


# --- search -----------------------------------------------------------------------------------------------------


async def test_an_attendee_is_found_and_opened_from_any_page(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await pilot.press("s")
        await typed(pilot, "quillow")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PersonScreen)
        assert "a02@example.org" in screen_text(pilot.app)


async def test_a_venue_is_opened_in_its_form(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await pilot.press("s")
        await typed(pilot, "v02")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, VenueFormScreen)


async def test_a_booking_is_shown_on_its_class(studio: Studio) -> None:
    booking = studio.ask(Person(studio.ask(FindPeople("quillow")).rows[0].id)).bookings[0]
    async with opened(studio, "settings") as pilot:
        await pilot.press("s")
        await typed(pilot, booking.ref)
        await pilot.press("enter")
        await pilot.pause()
        assert booking.class_row.title in screen_text(pilot.app)
        assert type(pilot.app.screen).__name__ == "ClassScreen"


async def test_a_prep_task_is_opened(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await pilot.press("s")
        await typed(pilot, "cut c09")
        await pilot.press("enter")
        await pilot.pause()
        assert type(pilot.app.screen).__name__ == "TaskScreen"


async def test_search_says_what_to_type_and_esc_leads_back(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await pilot.press("s")
        await pilot.pause()
        assert "a reference such as C05" in " ".join(screen_text(pilot.app).replace("│", " ").split())
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, SettingsScreen)
        assert studio.ask(History(1))[0].summary == "Made the demo studio"


async def test_a_changed_setting_of_another_window_is_said_on_the_page(studio: Studio, path: Path) -> None:
    async with opened(studio, "settings") as pilot:
        with Studio(str(path)) as other:
            other.do(ChangeStudio(name="Another Name"))
        pilot.app._look_for_changes()  # type: ignore[attr-defined]
        await pilot.pause()
        assert "Another Name" in screen_text(pilot.app)
        assert "Another window" in said(pilot)


# --- pages by number --------------------------------------------------------------------------------------------


async def test_the_number_of_a_page_leads_back_to_it_from_what_was_opened_out_of_it(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, PersonScreen)
        await pilot.press("3")
        await pilot.pause()
        assert isinstance(pilot.app.screen, AttendeesScreen)


async def test_a_page_is_found_as_it_was_left_when_one_comes_from_another(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("enter")
        await pilot.press("5")
        await pilot.press("3")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PersonScreen)


async def test_the_key_that_stops_other_programs_says_how_to_leave(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("ctrl+c")
        await pilot.pause()
        assert said(pilot) == "Nothing was stopped. Press q to leave; every change is kept already."
        assert not pilot.app._notifications


async def test_find_on_a_page_without_a_find_line_goes_to_a_row_and_takes_no_letter_for_a_key(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        pilot.app.open_bill(1)  # type: ignore[attr-defined]
        await pilot.pause()
        page = pilot.app.screen
        studio.do(AddPerson(name="Ursula Reed"))
        revision = studio.revision
        await pilot.press("f", *"rul")  # r does again, u takes back
        await pilot.pause()
        assert "Find on this page" in screen_text(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        assert pilot.app.screen is page
        assert page.query_one(Rows).cursor_id == ("tool", "Steel ruler")
        await pilot.press("slash", *"zzz")
        await pilot.pause()
        assert "zzz" in screen_text(pilot.app)
        await pilot.press("escape")
        await pilot.pause()
        assert page.query_one(Rows).cursor_id == ("tool", "Steel ruler")
        assert studio.revision == revision

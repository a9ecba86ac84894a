"""What is under the cursor may be gone, and the file out of reach, at any key: it is said, and the program goes on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from scheduling.commands.bookings import Book
from scheduling.commands.people import AddPerson
from scheduling.commands.undoing import Undo
from scheduling.errors import StoreError
from scheduling.studio import Studio
from tests.support.builders import class_date
from tests.support.demo_studio import demo_copy, opened
from tests.support.screens import screen_text
from tui.app import KitwrightApp


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return demo_copy(tmp_path)


class Other:
    """Another window that makes an attendee, a class and a booking, and takes all of it back."""

    def __init__(self, path: Path) -> None:
        self.studio = Studio(str(path))
        self.person = self.studio.do(AddPerson(name="Ada Gone")).person_id
        self.class_date = class_date(self.studio, day="2027-02-05", venue_id=1, project_id=1, seats=5)
        booking = Book(class_date_id=self.class_date, payer_id=self.person, state="held")
        self.newest = self.studio.do(booking).history_id

    def takes_back(self) -> None:
        for number in range(self.newest, self.newest - 3, -1):
            self.studio.do(Undo(history_id=number))


@pytest.fixture
def other(path: Path) -> Iterator[Other]:
    window = Other(path)
    yield window
    window.studio.close()


@pytest.mark.parametrize(
    ("page", "keys"),
    [("class", "PcM"), ("person", ["enter", "c", "P", "o", "k", "h", "M"]), ("ledger", "cM")],
)
async def test_a_key_on_what_another_window_took_back_is_refused_in_words(
    path: Path, other: Other, page: str, keys: Any
) -> None:
    with Studio(str(path)) as studio:
        async with opened(studio, "attendees" if page == "person" else "classes") as pilot:
            app: Any = pilot.app
            if page == "person":
                app.open_person(other.person)
            else:
                {"class": app.open_class, "ledger": app.open_ledger}[page](other.class_date)
            await pilot.pause()
            other.takes_back()
            for key in keys:
                await pilot.press(key)
                await pilot.pause()
                assert "There is no" in screen_text(app), (page, key)
            await pilot.press("escape", "1")
            await pilot.pause()
            assert "This week" in screen_text(app)


async def test_a_file_out_of_reach_is_said_at_every_page_and_the_next_look_finds_it_again(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(self: Studio, query: object) -> object:
        raise StoreError("The disk is full.", hint="Nothing was changed; make room and try again.")

    with Studio(str(path)) as studio:
        async with opened(studio, "week") as pilot:
            app = pilot.app
            assert isinstance(app, KitwrightApp)
            whole = screen_text(app)
            with monkeypatch.context() as out_of_reach:
                out_of_reach.setattr(Studio, "ask", refused)
                out_of_reach.setattr(Studio, "revision", property(lambda self: refused(self, None)))
                app._look_for_changes()
                for key in "23456b?":
                    await pilot.press(key)
                    await pilot.pause()
                await pilot.press("escape", "1")
                await pilot.pause()
                assert "The disk is full" in screen_text(app)
            await pilot.press("2", "1")
            await pilot.pause()
            assert screen_text(app).splitlines()[1:5] == whole.splitlines()[1:5]

"""Reading an outside file on the screen: choosing, looking, answering, keeping, leaving, stopping."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from scheduling.commands.people import AddPerson
from scheduling.commands.undoing import Undo
from scheduling.queries.classes import ClassDate
from scheduling.queries.history import History
from scheduling.queries.people import FindPeople
from scheduling.queries.roster import Roster
from scheduling.store import database
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.screens import said, screen_text, until
from tui.folders import places
from tui.import_lines import SignUpLine
from tui.screens.imports import ImportScreen
from tui.screens.settings import SettingsScreen
from tui.screens.studio_page import StudioPage
from tui.widgets.ask import Ask
from tui.widgets.entry import Entry
from tui.widgets.rows import Rows

SIGN_UPS = """Name;Email;Class;Tickets
Ann New;ann@example.org;C06;2
Bettany Quillow;a02@example.org;C06;1
Max Party;max@example.org;C06;9
"""
BUSY = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//test//busy//EN
BEGIN:VEVENT
UID:fair@example.org
DTSTAMP:20270101T000000Z
DTSTART;VALUE=DATE:20270306
DTEND;VALUE=DATE:20270308
SUMMARY:Fair
END:VEVENT
END:VCALENDAR
"""
MARS = BUSY.replace("DTSTART;VALUE=DATE:20270306", "DTSTART;TZID=Mars/Base:20270310T100000").replace(
    "DTEND;VALUE=DATE:20270308", "DTEND;TZID=Mars/Base:20270310T120000"
)


class BusyTimes:
    """All busy times that the file keeps: first and last day and title."""

    def fetch(self, reader: Reader) -> list[tuple[str, str, str]]:
        return [tuple(row) for row in reader.rows("SELECT starts, ends, title FROM busy_time ORDER BY starts")]


async def name(pilot: Pilot[int], path: Path | str) -> None:
    """The path all at once, as when it is pasted; Enter."""
    await pilot.press("i")
    pilot.app.screen.query_one(Entry).value = str(path)
    await pilot.press("enter")


async def look_at(pilot: Pilot[int], path: Path) -> None:
    """From the settings: i, the path, Enter; until the file has been read."""
    await name(pilot, path)
    await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen) and said(pilot)[:7] not in ("", "Working"))


async def keep(pilot: Pilot[int]) -> None:
    await pilot.press("ctrl+o")
    await until(pilot, lambda: not said(pilot).startswith("Working"))


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


async def test_what_sign_ups_mean_is_shown_and_nothing_is_kept_yet(studio: Studio, tmp_path: Path) -> None:
    before = studio.revision
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, written(tmp_path, "sign-ups.csv", SIGN_UPS))
        text = screen_text(pilot.app)
        assert "2 new, 1 known already" in text
        assert "3 new, 0 changed" in text
        assert "1 wait" in text
        assert "C06 Pamphlet notebook" in text
        assert "Ctrl+O keeps it" in said(pilot)
        assert studio.revision == before


async def test_sign_ups_are_kept_those_without_room_wait_and_one_undo_takes_all_back(
    studio: Studio, tmp_path: Path
) -> None:
    heads = studio.ask(ClassDate(6)).row.heads
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, written(tmp_path, "sign-ups.csv", SIGN_UPS))
        await keep(pilot)
        assert said(pilot).startswith("Done: sign-ups.csv: 3 sign-ups, 2 new attendees, 1 of them on the waitlist.")
        row = studio.ask(ClassDate(6)).row
        assert (row.heads, row.waiting) == (heads + 3, 9)
        assert "No file is chosen" in screen_text(pilot.app)
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(ClassDate(6)).row.heads == heads
        assert studio.ask(FindPeople("Ann New")).total == 0


async def test_the_same_file_again_has_nothing_to_keep(studio: Studio, tmp_path: Path) -> None:
    path = written(tmp_path, "sign-ups.csv", SIGN_UPS)
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, path)
        await keep(pilot)
        await pilot.press("escape")
        kept = studio.revision
        await look_at(pilot, path)
        assert "nothing to keep" in said(pilot)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.revision == kept


async def test_the_order_of_dates_is_asked_and_the_answer_read_with(studio: Studio, tmp_path: Path) -> None:
    path = written(tmp_path, "dates.csv", "Name,Email,Class date,Tickets\nAnn New,ann@example.org,3/4/2027,2\n")
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, path)
        assert "Answer what is asked first" in said(pilot)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "Answer what is asked first" in said(pilot)
        await pilot.press("enter")
        await pilot.pause()
        ask = pilot.app.screen
        assert isinstance(ask, Ask)
        day_first = next(n for n, answer in enumerate(ask._answers) if answer.id == "day-first")
        await pilot.press(*["down"] * day_first, "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen) and "Ctrl+O" in said(pilot))
        await keep(pilot)
        assert "Ann New" in [row.name for row in studio.ask(Roster(14)).seated]  # C14 is on 3 April


async def test_rows_that_name_no_class_get_the_one_she_picks(studio: Studio, tmp_path: Path) -> None:
    path = written(tmp_path, "list.csv", "Name,Email,Tickets\nAnn New,ann@example.org,2\n")
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, path)
        assert "1 sign-up of no class" in " ".join(screen_text(pilot.app).split())
        await pilot.press("enter")
        await typed(pilot, "c09")
        await pilot.press("enter")
        await until(pilot, lambda: "C09 Four-panel" in screen_text(pilot.app) and "Ctrl+O" in said(pilot))
        await keep(pilot)
        assert "Ann New" in [row.name for row in studio.ask(Roster(9)).seated]


async def test_leaving_keeps_nothing(studio: Studio, tmp_path: Path) -> None:
    before = studio.revision
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, written(tmp_path, "sign-ups.csv", SIGN_UPS))
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, SettingsScreen)
    assert studio.revision == before


async def test_a_change_elsewhere_is_looked_at_again_before_anything_is_kept(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, written(tmp_path, "sign-ups.csv", SIGN_UPS))
        with studio.again() as other:
            other.do(AddPerson(name="Ann New", email="ann@example.org"))
        await pilot.press("ctrl+o")
        await until(pilot, lambda: "1 new, 2 known already" in screen_text(pilot.app))
        assert studio.ask(History(1))[0].summary.startswith("Added")


async def test_a_long_file_is_stopped_by_esc_and_nothing_is_kept(studio: Studio, tmp_path: Path) -> None:
    rows = "".join(f"Person {n},p{n}@example.org,C09,1\n" for n in range(60_000))
    path = written(tmp_path, "long.csv", f"Name,Email,Class,Tickets\n{rows}")
    before = studio.revision
    async with opened(studio, "settings") as pilot:
        await name(pilot, path)
        await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen))
        assert said(pilot).startswith("Working: Reading the file")
        await pilot.press("escape")
        await pilot.pause()
        assert said(pilot) == "Stopped. Nothing was kept."
        assert isinstance(pilot.app.screen, ImportScreen)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "No file is chosen" in screen_text(pilot.app)
    assert studio.revision == before


async def test_a_file_of_another_kind_is_refused_in_words(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, written(tmp_path, "page.csv", "<!DOCTYPE html><html><body>no</body></html>"))
        assert said(pilot).startswith("Not done: The file is a web page.")


async def test_busy_times_are_shown_with_the_classes_that_lie_in_them_and_kept(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, written(tmp_path, "busy.ics", BUSY))
        text = screen_text(pilot.app)
        assert "1 new, 0 changed" in text
        assert "C09 Four-panel box lantern on Sat 6 Mar lies" in text
        assert studio.ask(BusyTimes()) == []
        await keep(pilot)
        assert studio.ask(BusyTimes()) == [("2027-03-06", "2027-03-08", "Fair")]
        studio.do(Undo())
        assert studio.ask(BusyTimes()) == []


async def test_a_zone_that_nobody_knows_is_asked_and_picked_by_place(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, written(tmp_path, "mars.ics", MARS))
        assert "Say which time zones are meant" in said(pilot)
        await pilot.press("enter")
        await typed(pilot, "lisb")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen) and "Ctrl+O" in said(pilot))
        await keep(pilot)
        assert studio.ask(BusyTimes())[0][0] == "2027-03-10T05:00"  # 10:00 in Lisbon, in her New York


async def test_a_file_that_empties_its_source_says_so_before_it_is_kept(studio: Studio, tmp_path: Path) -> None:
    path = written(tmp_path, "busy.ics", BUSY)
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, path)
        await keep(pilot)
        await pilot.press("escape")
        path.write_text("BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//busy//EN\nEND:VCALENDAR\n")
        await look_at(pilot, path)
        assert "Keeping it takes all busy times away" in screen_text(pilot.app)
        assert "takes the 1 that are kept of it away" in said(pilot)
        await keep(pilot)
        assert studio.ask(BusyTimes()) == []


async def test_a_path_is_completed_folder_by_folder(studio: Studio, tmp_path: Path) -> None:
    folder = tmp_path / "From the hall"
    folder.mkdir()
    written(folder, "sign-ups.csv", SIGN_UPS)
    async with opened(studio, "settings") as pilot:
        await name(pilot, f"{tmp_path}/fro")
        await pilot.pause()
        assert "sign-ups.csv" in screen_text(pilot.app)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen) and "Ctrl+O" in said(pilot))


def test_folders_come_first_then_what_can_be_read_and_hidden_names_only_when_asked(tmp_path: Path) -> None:
    (tmp_path / "zz").mkdir()
    for name in ("a.pdf", "b.ics", "c.CSV", ".hidden.csv"):
        (tmp_path / name).touch()
    found, total = places(f"{tmp_path}/")
    assert [place.name for place in found] == ["zz", "b.ics", "c.CSV", "a.pdf"]
    assert [place.kind for place in found] == ["folder", "busy times", "sign-ups", ""]
    assert total == 4
    assert [place.name for place in places(f"{tmp_path}/.")[0]] == [".hidden.csv"]
    assert places(f"{tmp_path}/none/")[0] == ()


UNCLEAR = "Name;Email;Class;Tickets\nAnn New;ann@example.org;C06;?\n"


async def test_heads_that_cannot_be_read_are_said_on_their_row(studio: Studio, tmp_path: Path) -> None:
    heads = studio.ask(ClassDate(6)).row.heads
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, written(tmp_path, "unclear.csv", UNCLEAR))
        page = pilot.app.screen
        assert isinstance(page, ImportScreen)
        rows = page.query_one(Rows)
        rows.go_to(next(item.id for item in page._lines.rows if isinstance(item, SignUpLine)))
        await pilot.pause()
        assert "say how many they are" in screen_text(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        pilot.app.screen.query_one(Entry).value = "2"
        await pilot.press("ctrl+o")
        await until(pilot, lambda: "Ctrl+O keeps it" in said(pilot))
        await keep(pilot)
        assert studio.ask(ClassDate(6)).row.heads == heads + 2


async def test_what_is_free_gone_and_ignored_is_listed(studio: Studio, tmp_path: Path) -> None:
    def more(uid: str, day: str, title: str, rest: str = "SEQUENCE:1") -> str:
        return (
            BUSY[BUSY.index("BEGIN:VEVENT") : BUSY.index("END:VCALENDAR")]
            .replace("fair@example.org", uid)
            .replace("20270306", day)
            .replace("20270308", str(int(day) + 1))
            .replace("SUMMARY:Fair", f"SUMMARY:{title}\n{rest}")
        )

    head, foot = BUSY[: BUSY.index("BEGIN:VEVENT")], "END:VCALENDAR\n"
    first = (
        head + more("a", "20270310", "Choir") + more("b", "20270312", "Market") + more("c", "20270315", "Guild") + foot
    )
    second = (
        head
        + more("a", "20270310", "Choir", "SEQUENCE:2\nSTATUS:CANCELLED")
        + more("c", "20270316", "Guild", "SEQUENCE:0")
        + foot
    )
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, written(tmp_path, "busy.ics", first))
        await keep(pilot)
        await pilot.press("escape")
        await look_at(pilot, written(tmp_path, "busy.ics", second))
        shown = " ".join(screen_text(pilot.app).split())
        for words in ("free now Choir", "gone Market", "ignored Guild"):
            assert words in shown


async def test_what_a_zone_name_means_is_asked_once_a_source(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        path = written(tmp_path, "mars.ics", MARS)
        await look_at(pilot, path)
        await pilot.press("home", "enter")
        await pilot.pause()
        pilot.app.screen.query_one(Entry).value = "Europe/Berlin"
        await pilot.press("enter")
        await until(pilot, lambda: "Ctrl+O keeps it" in said(pilot))
        await keep(pilot)
        await pilot.press("escape")
        await look_at(pilot, path)
        assert "nothing to keep" in said(pilot)


# --- long files, and other windows ---------------------------------------------------------------------------------


def long_file(folder: Path, people: int) -> Path:
    rows = "".join(f"Person {n},p{n}@example.org,C09,1\n" for n in range(people))
    return written(folder, "long.csv", f"Name,Email,Class,Tickets\n{rows}")


async def test_keeping_a_long_file_is_stopped_by_esc_while_it_is_made_ready(studio: Studio, tmp_path: Path) -> None:
    path = long_file(tmp_path, 3000)
    before = studio.revision
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, path)
        await until(pilot, lambda: "Ctrl+O keeps it" in said(pilot))
        page = pilot.app.screen
        assert isinstance(page, ImportScreen)
        page.action_keep()
        page.action_step_back()  # at once: so few rows are ready before a second key comes
        assert said(pilot) == "Working: Stopping."
        await until(pilot, lambda: not said(pilot).startswith("Working"))
        assert said(pilot) == "Stopped. Nothing was kept."
        assert pilot.app.screen is page
        assert studio.revision == before
        await keep(pilot)
        assert said(pilot).startswith("Done: long.csv: 3000 sign-ups, 3000 new attendees")


async def test_a_long_import_is_taken_back_and_made_again_beside_the_page(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, long_file(tmp_path, 2500))
        await until(pilot, lambda: "Ctrl+O keeps it" in said(pilot))
        await keep(pilot)
        await pilot.press("u")
        await until(pilot, lambda: said(pilot).startswith("Done: Taken back: Imported sign-ups"))
        assert studio.ask(FindPeople("Person 24")).total == 0
        await pilot.press("r")
        await until(pilot, lambda: said(pilot).startswith("Done: Made again: Imported sign-ups"))
        assert studio.ask(FindPeople("Person 2499")).total == 1


async def test_a_change_waits_for_a_window_that_saves_and_is_kept_then(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "attendees") as pilot:
        page = pilot.app.screen
        assert isinstance(page, StudioPage)
        connection = database.connect(studio.path)
        connection.execute("BEGIN IMMEDIATE")
        assert page.perform(AddPerson(name="Ann Waits")) is None
        await pilot.pause()
        assert said(pilot) == "Working: Another window is saving; this is kept as soon as it is done."
        connection.execute("ROLLBACK")
        connection.close()
        await until(pilot, lambda: said(pilot).startswith("Done:"))
        assert studio.ask(FindPeople("Ann Waits")).total == 1
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(FindPeople("Ann Waits")).total == 0

"""How a file of people is read, mended on the screen by keys alone, and remembered for its source."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from scheduling.studio import Studio
from tests.pilot.test_imports import keep, look_at, written
from tests.support.demo_studio import opened
from tests.support.screens import said, screen_text, until
from tui.import_lines import SignUpLine
from tui.screens.imports import ImportScreen
from tui.widgets.entry import Entry
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all


def page_of(pilot: Pilot[int]) -> ImportScreen:
    page = pilot.app.screen
    assert isinstance(page, ImportScreen)
    return page


async def change(pilot: Pilot[int], kind: str, about: str, letters: str) -> None:
    """Enter on the line of a setting, a few letters of another choice, Enter; until the file has been read anew."""
    before = page_of(pilot)._seen
    page_of(pilot).query_one(Rows).go_to(("setting", kind, about))
    await pilot.press("enter")
    await pilot.pause()
    pilot.app.screen.query_one(Entry).value = letters
    await pilot.pause()
    await pilot.press("enter")
    await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen) and page_of(pilot)._seen is not before)
    await pilot.pause()


def rows_shown(pilot: Pilot[int]) -> list[tuple[str, str, int]]:
    lines = [item for item in page_of(pilot)._lines.rows if isinstance(item, SignUpLine)]
    return [(line.person.name, line.entry.class_text, line.entry.heads) for line in lines]


async def test_a_wrong_column_is_mended_and_the_next_file_of_the_source_is_read_so(
    studio: Studio, tmp_path: Path
) -> None:
    head = "Group,Who,Class,Count,Mail\n"
    path = written(tmp_path, "hall.csv", f"{head}Ash Birk,Ann New,C06,2,ann@x.org\nAsh Birk,Max New,C06,1,max@x.org\n")
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, path)
        await change(pilot, "column", "Who", "note")
        assert {name for name, _, _ in rows_shown(pilot)} == {"Ash Birk"}
        await change(pilot, "column", "Group", "not used")
        await change(pilot, "column", "Who", "name: the")
        assert page_of(pilot).query_one(Rows).cursor_id == ("setting", "column", "Who")
        assert rows_shown(pilot)[0] == ("Ann New", "C06 Pamphlet notebook", 2)
        assert "name: Ann New, Max New" in screen_text(pilot.app)
        await keep(pilot)
        await pilot.press("escape")
        written(tmp_path, "hall.csv", f"{head}Ash Birk,Oda New,C06,3,oda@x.org\n")
        await look_at(pilot, path)
        assert rows_shown(pilot) == [("Oda New", "C06 Pamphlet notebook", 3)]


async def test_letters_delimiter_and_header_row_are_chosen_and_remembered(studio: Studio, tmp_path: Path) -> None:
    path = tmp_path / "lists.txt"
    rows = "Spring lists of the hall||\nx|y|z\nŠarūnė Žukė|C06|2\nRūta Ąžuolė|C06|1\n"
    path.write_bytes(rows.encode("cp1257"))
    seen = [("Šarūnė Žukė", "C06 Pamphlet notebook", 2), ("Rūta Ąžuolė", "C06 Pamphlet notebook", 1)]
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, path)
        await change(pilot, "encoding", "", "baltic")
        await change(pilot, "delimiter", "", "semicolon")
        assert "parted by semicolon" in screen_text(pilot.app)
        await change(pilot, "delimiter", "", "upright")
        await change(pilot, "header row", "", "row 2")
        await change(pilot, "column", "x", "name: the")
        await change(pilot, "column", "y", "class: the")
        if "heads: 2, 1" not in screen_text(pilot.app):
            await change(pilot, "column", "z", "heads")
        assert rows_shown(pilot) == seen
        await keep(pilot)
        await pilot.press("escape")
        path.write_bytes(rows.replace("Rūta", "Birutė").encode("cp1257"))
        await look_at(pilot, path)
        assert rows_shown(pilot) == [seen[0], ("Birutė Ąžuolė", "C06 Pamphlet notebook", 1)]


async def test_a_list_without_header_and_addresses_is_mended_by_keys(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, written(tmp_path, "bare.csv", "1,Ann New,C06\n2,Max New,C06\n"))
        assert "which one is it" in screen_text(pilot.app)
        await change(pilot, "column", "column 2", "name: the")
        await change(pilot, "column", "column 3", "class: the")
        assert [name for name, _, _ in rows_shown(pilot)] == ["Ann New", "Max New"]


async def test_a_status_word_that_is_known_is_given_another_meaning(studio: Studio, tmp_path: Path) -> None:
    path = written(tmp_path, "s.csv", "Name,Email,Class,Status\nAnn New,a@x.org,C06,new\nMax New,m@x.org,C06,paid\n")
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, path)
        await change(pilot, "status", "new", "waitlist")
        states = [line.entry.state for line in page_of(pilot)._lines.rows if isinstance(line, SignUpLine)]
        assert states == ["waitlist", "confirmed"]


async def test_the_order_of_dates_that_was_settled_is_changed(studio: Studio, tmp_path: Path) -> None:
    path = written(tmp_path, "d.csv", "Name,Email,Class date\nAnn New,a@x.org,3/4/2027\n")
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, path)
        await pilot.press("enter", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen) and "dates" in screen_text(pilot.app))
        first = rows_shown(pilot)
        now = "day before month" if "day before month" in screen_text(pilot.app) else "month before day"
        await change(pilot, "date order", "Class date", "4 March" if now[0] == "d" else "3 April")
        assert rows_shown(pilot) != first


async def test_a_sheet_without_people_is_refused_and_what_was_shown_stays(studio: Studio, tmp_path: Path) -> None:
    import openpyxl

    workbook = openpyxl.Workbook()
    people = workbook.worksheets[0]
    for row in (("Name", "Email", "Class"), ("Ann New", "a@x.org", "C06")):
        people.append(row)
    workbook.create_sheet("Empty")
    path = tmp_path / "two.xlsx"
    workbook.save(path)
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        await look_at(pilot, path)
        page_of(pilot).query_one(Rows).go_to(("setting", "sheet", "sheet"))
        await pilot.press("enter")
        await pilot.pause()
        pilot.app.screen.query_one(Entry).value = "empty"
        await pilot.pause()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ImportScreen) and said(pilot).startswith("Not done"))
        assert [name for name, _, _ in rows_shown(pilot)] == ["Ann New"]
        await keep(pilot)
        assert said(pilot).startswith("Done: two.xlsx: 1 sign-up, 1 new attendee")

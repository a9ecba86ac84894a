"""A project's bill on the screen: parts, tools and measures added, changed and taken away, each a new version."""

from __future__ import annotations

import pytest

from scheduling.commands.kit_runs import BeginKitRun, TickKits
from scheduling.errors import InvalidError
from scheduling.queries.kit_shelves import BillOf, KitRules, Tools
from scheduling.studio import Studio
from scheduling.typed_bill import options_text, read_options
from tests.support.demo_studio import opened
from tests.support.screens import said, screen_text
from tui.screens.bill import BillScreen
from tui.screens.bill_line import BillLineScreen
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere

PAMPHLET = 1


async def open_bill(pilot: object) -> BillScreen:
    pilot.app.open_bill(PAMPHLET)  # type: ignore[attr-defined]
    await pilot.pause()  # type: ignore[attr-defined]
    page = pilot.app.screen  # type: ignore[attr-defined]
    assert isinstance(page, BillScreen)
    return page


def parts(studio: Studio) -> dict[str, tuple[int, str]]:
    return {line.part: (line.quantity, line.size) for line, _ in studio.ask(BillOf(PAMPHLET)).lines}


async def test_enter_on_a_project_opens_its_bill(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        pilot.app.open_projects()  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, BillScreen)


async def test_a_size_typed_in_another_unit_is_understood_shown_and_kept_exactly(studio: Studio) -> None:
    before = studio.ask(BillOf(PAMPHLET))
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        page = await open_bill(pilot)
        assert page.query_one(Rows).go_to(("part", "Endsheet"))
        await pilot.press("c")
        await pilot.pause()
        form = pilot.app.screen
        assert isinstance(form, BillLineScreen)
        form.shown.field("size").take_focus()
        await pilot.press("ctrl+u", *"13.7 cm x 210mm")
        await pilot.pause()
        assert "13.7 cm along the grain, 210 mm across" in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert parts(studio)["Endsheet"] == (1, "13.7 cm x 210 mm")
        after = studio.ask(BillOf(PAMPHLET))
        assert after.number == before.number + 1
        others = [line for line, _ in after.lines if line.part != "Endsheet"]
        assert others == [line for line, _ in before.lines if line.part != "Endsheet"]
        assert after.tools == before.tools
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(BillOf(PAMPHLET)) == before


async def test_a_part_is_added_with_an_option_and_taken_away(studio: Studio) -> None:
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        page = await open_bill(pilot)
        await pilot.press("n", "enter")
        await pilot.pause()
        await pilot.press(*"Bookmark", "enter", *"M04", "enter", *"2", "enter", "enter", *"1 x 6")
        form = pilot.app.screen
        assert isinstance(form, BillLineScreen)
        form.shown.field("options").take_focus()
        await pilot.press(*"reed = M05", "ctrl+o")
        await pilot.pause()
        line = next(line for line, _ in studio.ask(BillOf(PAMPHLET)).lines if line.part == "Bookmark")
        assert (line.size, line.options) == ("1 x 6 in", (("reed", 5),))
        assert page.query_one(Rows).go_to(("part", "Bookmark"))
        await pilot.press("x")
        await pilot.pause()
        assert "Bookmark" not in parts(studio)


async def test_a_size_that_its_material_does_not_take_is_refused_at_the_size(studio: Studio) -> None:
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        page = await open_bill(pilot)
        assert page.query_one(Rows).go_to(("part", "Endsheet"))
        await pilot.press("c")
        await pilot.pause()
        form = pilot.app.screen
        assert isinstance(form, BillLineScreen)
        form.shown.field("size").take_focus()
        await pilot.press("ctrl+u", "ctrl+o")
        await pilot.pause()
        assert form.shown.field("size").is_wrong
        assert "two sides" in form.shown.field("size").note
        assert parts(studio)["Endsheet"] == (1, "5 1/2 x 8 1/2 in")


async def test_a_tool_is_put_on_the_tables_and_taken_away(studio: Studio) -> None:
    studio_tools = {tool.name for tool in studio.ask(Tools())}
    assert "Glue brush" in studio_tools
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        page = await open_bill(pilot)
        await pilot.press("n", "down", "enter")
        await pilot.pause()
        await pilot.press(*"Glue br", "enter", "ctrl+o")
        await pilot.pause()
        assert ("Glue brush", "head") in studio.ask(BillOf(PAMPHLET)).tools
        page.query_one(Rows).go_to(("tool", "Glue brush"))
        await pilot.press("x")
        await pilot.pause()
        assert "Glue brush" not in dict(studio.ask(BillOf(PAMPHLET)).tools)


async def test_a_formula_follows_its_measure(studio: Studio) -> None:
    async with opened(studio, "settings", size=(120, 40)) as pilot:
        page = await open_bill(pilot)
        await pilot.press("n", "down", "down", "enter")
        await pilot.pause()
        await pilot.press(*"height", "enter", *"5 1/2", "ctrl+o")
        await pilot.pause()
        page.query_one(Rows).go_to(("part", "Endsheet"))
        await pilot.press("c")
        await pilot.pause()
        form = pilot.app.screen
        assert isinstance(form, BillLineScreen)
        form.shown.field("size").take_focus()
        await pilot.press("ctrl+u", *"height x height + 1/4", "ctrl+o")
        await pilot.pause()
        assert parts(studio)["Endsheet"][1] == "5 1/2 x 5 3/4 in"
        page.query_one(Rows).go_to(("measure", "height"))
        await pilot.press("c", "enter")
        await pilot.press("ctrl+u", *"6", "ctrl+o")
        await pilot.pause()
        assert parts(studio)["Endsheet"][1] == "6 x 6 1/4 in"


async def test_tools_are_kept_changed_and_retired(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        pilot.app.open_tools()  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("n", *"Bodkin", "enter", *"6", "ctrl+o")
        await pilot.pause()
        tool = next(one for one in studio.ask(Tools()) if one.name == "Bodkin")
        assert tool.owned == 6
        pilot.app.screen.query_one(Rows).go_to(tool.id)
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert "Bodkin" not in [one.name for one in studio.ask(Tools())]


async def test_the_rules_of_the_bench_are_changed_in_the_settings(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        page = pilot.app.screen
        assert page.query_one(Rows).go_to("bench")
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("ctrl+u", *"2", "ctrl+o")
        await pilot.pause()
        assert studio.ask(KitRules()).order_buffer_days == 2
        assert "kept" in said(pilot)


def test_options_are_read_as_they_are_written() -> None:
    typed = "slate = M04; no glue = nothing"
    assert read_options(typed) == {"slate": 4, "no glue": None}
    assert options_text(read_options(typed)) == typed
    assert read_options("  ") == {}


@pytest.mark.parametrize("typed", ["slate", "= M04", "slate = ", "slate = C04", "a = M01; a = M02"])
def test_an_option_that_is_not_understood_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError):
        read_options(typed)


async def test_leaving_a_changed_bill_offers_it_to_the_classes_to_come_as_one_action(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        pilot.app.open_projects()  # type: ignore[attr-defined]
        await pilot.pause()
        page = await open_bill(pilot)
        assert page.query_one(Rows).go_to(("part", "Endsheet"))
        await pilot.press("x")
        await pilot.pause()
        assert "C06 and C14 keep an older version" in " ".join(said(pilot).split())
        assert "Classes to come with an older version" in screen_text(pilot.app)
        await pilot.press("escape")
        await pilot.pause()
        assert "Do classes to come take version 2 over?" in screen_text(pilot.app)
        await pilot.press("escape")  # back to the bill, nothing taken over
        await pilot.pause()
        assert pilot.app.screen is page
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert pilot.app.screen is not page
        assert "C06, C14 take the newest version" in said(pilot)
        assert studio.ask(BillOf(PAMPHLET)).behind == ()
        await pilot.press("u")
        await pilot.pause()
        assert len(studio.ask(BillOf(PAMPHLET)).behind) == 2


async def test_classes_may_keep_their_version_and_take_the_new_one_later_from_the_bill(studio: Studio) -> None:
    studio.do(BeginKitRun(class_date_id=6))
    studio.do(TickKits(class_date_id=6, step="label", done=1))
    async with opened(studio, "settings") as pilot:
        pilot.app.open_projects()  # type: ignore[attr-defined]
        await pilot.pause()
        page = await open_bill(pilot)
        assert page.query_one(Rows).go_to(("part", "Endsheet"))
        await pilot.press("x", "escape")
        await pilot.pause()
        assert "Only C14, where no kit is begun" in screen_text(pilot.app)
        await pilot.press("down", "down", "enter")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, BillScreen)
        assert len(studio.ask(BillOf(PAMPHLET)).behind) == 2
        page = await open_bill(pilot)
        assert page.query_one(Rows).go_to(("behind", "C14"))
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert pilot.app.screen is page
        assert [one.ref for one in studio.ask(BillOf(PAMPHLET)).behind] == ["C06"]
        await pilot.press("escape")  # nothing was changed on this visit: nothing is asked
        await pilot.pause()
        assert not isinstance(pilot.app.screen, BillScreen)

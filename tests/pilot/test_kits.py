"""The kits of a class by keyboard: steps ticked and counted, parcels, checks, sheets cut from their plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduling.commands.materials import ChangeMaterial
from scheduling.queries.cut_plans import CutPlans
from scheduling.queries.kit_runs import KitRun
from scheduling.studio import Studio
from tests.pilot.test_class_page import open_class
from tests.support.demo_studio import opened
from tests.support.screens import said, screen_text
from tui.screens.cut_plan import CutPlanScreen
from tui.screens.kits import KitsScreen
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all

SKETCHBOOK, ALBUM = 5, 7
DRAWING, TIDE = 3, 6


def step(studio: Studio, class_id: int, name: str) -> tuple[int, str]:
    row = next(one for one in studio.ask(KitRun(class_id)).steps if one.step == name)
    return row.done, row.checked_by


async def at(pilot: object, row_id: object) -> None:
    assert pilot.app.screen.query_one(Rows).go_to(row_id)  # type: ignore[attr-defined]
    await pilot.pause()  # type: ignore[attr-defined]


async def test_steps_are_ticked_whole_counted_and_taken_back(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, ALBUM)
        await pilot.press("k")
        await pilot.pause()
        assert isinstance(pilot.app.screen, KitsScreen)
        await at(pilot, ("step", "sort", ""))
        await pilot.press("t")
        await pilot.pause()
        assert step(studio, ALBUM, "sort") == (11, "")
        await pilot.press("t")
        await pilot.pause()
        assert step(studio, ALBUM, "sort") == (0, "")
        await at(pilot, ("step", "check", ""))
        await pilot.press("c", "backspace", *"7", "enter", *"own eyes", "ctrl+o")
        await pilot.pause()
        assert step(studio, ALBUM, "check") == (7, "own eyes")
        await pilot.press("u")
        await pilot.pause()
        assert step(studio, ALBUM, "check") == (0, "")


async def test_the_options_of_a_head_are_set_beside_its_name(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, 4)
        await pilot.press("k")
        await pilot.pause()
        kit = next(one for one in studio.ask(KitRun(4)).seat_kits if one.name == "Clover Mossgrave")
        await at(pilot, ("seat kits", ()))
        await pilot.press("c", *"clover", "enter")
        await pilot.pause()
        await pilot.press("space", "ctrl+o")
        await pilot.pause()
        chosen = [one for one in studio.ask(KitRun(4)).seat_kits if one.options]
        assert [(one.seat_id, one.options) for one in chosen] == [(kit.seat_id, ("no PVA",))]
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "no PVA (no PVA cup)" in screen_text(pilot.app)
        await at(pilot, ("seat kits", ("no PVA",)))
        await pilot.press("c", "space", "ctrl+o")  # one head alone is asked about at once
        await pilot.pause()
        assert not any(one.options for one in studio.ask(KitRun(4)).seat_kits)


async def test_a_parcel_is_posted_with_its_proof_and_sent_again(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, ALBUM)
        await pilot.press("k")
        await pilot.pause()
        parcel = studio.ask(KitRun(ALBUM)).parcels[0]
        await at(pilot, ("parcel", parcel.seat_id))
        await pilot.press("t", *"RX 17", "ctrl+o")
        await pilot.pause()
        assert studio.ask(KitRun(ALBUM)).parcels[0].proof == "RX 17"
        await pilot.press("c", *"RX 18", "ctrl+o")
        await pilot.pause()
        assert studio.ask(KitRun(ALBUM)).parcels[0].times == 2


async def test_a_weight_is_held_against_the_bill_and_a_problem_is_mended(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, ALBUM)
        await pilot.press("k")
        await pilot.pause()
        await pilot.press("n", *"90", "ctrl+o")
        await pilot.pause()
        assert studio.ask(KitRun(ALBUM)).notes[0].within is False
        await pilot.press("n", "enter", *"a cover cut across the grain", "ctrl+o")
        await pilot.pause()
        note = studio.ask(KitRun(ALBUM)).notes[1]
        await at(pilot, ("note", note.id))
        await pilot.press("t")
        await pilot.pause()
        assert studio.ask(KitRun(ALBUM)).notes[1].mended


async def test_sheets_are_cut_some_now_and_the_rest_stays_to_cut(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, SKETCHBOOK)
        await pilot.press("k")
        await pilot.pause()
        await at(pilot, ("cut", TIDE))
        await pilot.press("enter")
        await pilot.pause()
        page = pilot.app.screen
        assert isinstance(page, CutPlanScreen)
        assert "5 sheets, 1 set-up" in screen_text(pilot.app)
        await pilot.press("t", "backspace", *"3", "ctrl+o")
        await pilot.pause()
        assert "3 sheets cut" in said(pilot)
        (left,) = studio.ask(CutPlans((SKETCHBOOK,), TIDE))
        assert left.plans[0].sheets == 2
        assert "2 sheets" in screen_text(pilot.app)
        await pilot.press("u")
        await pilot.pause()
        assert "5 sheets" in screen_text(pilot.app)


async def test_why_so_many_sheets_opens_the_sum(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, SKETCHBOOK)
        await pilot.press("k")
        await pilot.pause()
        await at(pilot, ("cut", DRAWING))
        await pilot.press("w")
        await pilot.pause()
        text = " ".join(screen_text(pilot.app).replace("│", " ").split())
        assert "a sheet gives 5 (7 if grain" in text
        assert "39 sheets" in text


async def test_sheets_that_are_not_there_are_not_cut(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, SKETCHBOOK)
        await pilot.press("k")
        await pilot.pause()
        await at(pilot, ("cut", DRAWING))
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("t", "ctrl+o")
        await pilot.pause()
        assert "14 are on hand" in " ".join(screen_text(pilot.app).replace("│", " ").split())
        await pilot.press("escape")
        assert studio.ask(CutPlans((SKETCHBOOK,), DRAWING))[0].plans[0].sheets == 40


async def test_the_sheet_is_written_as_a_picture(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, SKETCHBOOK)
        await pilot.press("k")
        await pilot.pause()
        await at(pilot, ("cut", TIDE))
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("e")
        await pilot.pause()
        (picture,) = Path(studio.path).parent.glob("cuts-C05-M06-*.svg")
        assert picture.read_text("utf-8").startswith("<svg")


async def test_classes_of_one_project_are_cut_from_one_plan(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, SKETCHBOOK)
        await pilot.press("k")
        await pilot.pause()
        await at(pilot, ("together", TIDE))
        await pilot.press("enter")
        await pilot.pause()
        (both,) = studio.ask(CutPlans((SKETCHBOOK, 10), TIDE))
        assert f"{both.plans[0].sheets} sheets" in screen_text(pilot.app)


async def test_a_sheet_with_one_good_side_says_which_way_it_lies(studio: Studio) -> None:
    for two_sided in (True, False):
        studio.do(ChangeMaterial(material_id=DRAWING, two_sided=two_sided))
        async with opened(studio, "classes") as pilot:
            pilot.app.open_cut_plan((SKETCHBOOK,), DRAWING)  # type: ignore[attr-defined]
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            assert ("Good side up" in screen_text(pilot.app)) is not two_sided

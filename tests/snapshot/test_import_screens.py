"""Golden texts of a file that is read: what it means and how it is read, and the choice for a column."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from scheduling.studio import Studio
from tests.pilot.test_imports import look_at, written
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all

SHEET = (
    "Spring list of the hall;;;;;;\n;;;;;;\nTeilnehmerin;Kontakt;Kurs;Datum;Plätze;Bezahlt;Stand\n"
    "Ann Ölwin;ann@example.org;Pamphlet;18.02.2027;1+1;45,50;bezahlt\n"
    "Bo Birk;bo@example.org;Pamphlet;18.02.2027;2;1.234,50;storniert\n"
    "Cy Dorn;cy@example.org;Pamphlet;18.02.2027;some of us;;bezahlt\n"
    "Summe;;;;4;1.280,00;\n"
)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


async def check_both(pilot: Pilot[Any], name: str) -> None:
    """The golden text in a small window, and in a large one that it is then pulled to."""
    check(pilot.app, f"{name}-80x24")
    await pilot.resize_terminal(120, 40)
    await pilot.pause()
    check(pilot.app, f"{name}-120x40")


async def test_what_a_sheet_means_and_how_it_is_read(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, written(tmp_path, "hall.csv", SHEET))
        await pilot.pause()
        await check_both(pilot, "import")


async def test_the_choice_of_what_a_column_holds(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "settings") as pilot:
        await look_at(pilot, written(tmp_path, "hall.csv", SHEET))
        pilot.app.screen.query_one(Rows).go_to(("setting", "column", "Plätze"))
        await pilot.press("enter")
        await pilot.pause()
        await check_both(pilot, "import-column")

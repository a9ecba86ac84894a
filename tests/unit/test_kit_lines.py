"""The rows of a class's kits: heads with alike kits share one, and what one more late sign-up lacks is named."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from scheduling.money import Currency
from scheduling.queries.kit_room import KitRoom, KitRoomPage
from scheduling.queries.kit_runs import SeatKit, Swap
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio
from tui.kit_lines import kit_lines
from tui.widgets.rows import Row, Section

DOLLAR = Currency("USD", 2)
SWAP = Swap("PVA cup", 1, "Paper-safe PVA", None)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def section(page: KitRoomPage, title: str) -> list[Row]:
    """The rows that stand under a title."""
    rows = kit_lines(page, currency=DOLLAR, units="in").rows
    start = next(place for place, row in enumerate(rows) if isinstance(row, Section) and row.title.startswith(title))
    found: list[Row] = []
    for row in rows[start + 1 :]:
        if isinstance(row, Section):
            break
        found.append(row)
    return found


def words(row: Row) -> list[str]:
    return [cell if isinstance(cell, str) else str(cell.text) for cell in row.cells]


def test_sixteen_heads_with_three_kinds_of_kit_are_three_rows(studio: Studio) -> None:
    page = studio.ask(KitRoom(4))
    kits = [SeatKit(n, f"Head {n:02}", ("no PVA",) if n < 2 else (), (SWAP,) if n < 2 else ()) for n in range(15)]
    kits.insert(2, SeatKit(15, "Head 15", ("left-handed",), ()))
    rows = section(replace(page, run=replace(page.run, seat_kits=tuple(kits))), "Kits by seat")
    assert [words(row)[1] for row in rows] == ["2", "1", "13"]
    assert words(rows[0])[0] == "Head 00, Head 01"
    assert [words(row)[2] for row in rows] == ["no PVA (no PVA cup)", "left-handed", "as the bill has it"]


def test_what_one_more_late_sign_up_lacks_stands_with_the_order_that_lifts_it(studio: Studio) -> None:
    (row,) = section(studio.ask(KitRoom(7)), "One late sign-up more would lack")
    assert words(row) == ["M22 Rigid mailer 12 x 15 x 1", "1 pack", "Fri 5 Feb"]
    assert section(studio.ask(KitRoom(5)), "One late sign-up more would lack")[0].id == ("limit", 3)

"""Stock by hand: counted with a reason, off-cuts and begun lengths moved, closed days of suppliers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.stock import CountStock, MoveStock
from scheduling.commands.suppliers import ChangeSupplier
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.lengths import read_length
from scheduling.queries.material_page import OneMaterial
from scheduling.queries.stock import Journal, Stock, StockRow
from scheduling.queries.supplier_rows import SupplierRows
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def stock_of(studio: Studio, number: int) -> StockRow:
    return next(row for row in studio.ask(Stock()) if row.material.id == number)


def test_off_cuts_come_in_and_go_out_by_their_size_with_the_class_they_are_of(studio: Studio) -> None:
    studio.do(MoveStock(material_id=3, change=3, reason="left over", size="12 x 5 3/8", class_date_id=5))
    studio.do(MoveStock(material_id=3, change=-1, reason="waste", size="12 in x 5 3/8 in", note="creased"))
    ((along, across, grain, count),) = stock_of(studio, 3).holding.off_cuts
    assert (along, across) == (read_length("12").counts, read_length("5 3/8").counts)
    assert (grain, count) == ("long", 2)
    newest, before = studio.ask(Journal(3))[:2]
    assert (newest.change, newest.reason, newest.note) == (-1, "waste", "creased")
    assert (before.class_ref, before.along, before.across) == ("C05", along, across)


def test_more_off_cuts_than_there_are_do_not_go(studio: Studio) -> None:
    studio.do(MoveStock(material_id=3, change=1, reason="left over", size="12 x 9"))
    with pytest.raises(ConflictError):
        studio.do(MoveStock(material_id=3, change=-2, reason="waste", size="12 x 9"))
    assert stock_of(studio, 3).holding.off_cuts[0][3] == 1


def test_a_begun_reel_comes_back_by_its_length(studio: Studio) -> None:
    studio.do(MoveStock(material_id=13, change=1, reason="left over", size="137mm", class_date_id=5))
    assert 137 * 40_000 in stock_of(studio, 13).holding.lengths


def test_a_size_of_single_things_is_refused(studio: Studio) -> None:
    with pytest.raises(InvalidError):
        studio.do(MoveStock(material_id=17, change=-1, reason="waste", size="12 in"))


def test_a_count_by_waste_only_takes_away_and_keeps_its_class(studio: Studio) -> None:
    studio.do(CountStock(material_id=3, whole=12, reason="waste", class_date_id=5, note="miscut"))
    newest = studio.ask(Journal(3))[0]
    assert (newest.change, newest.reason, newest.class_ref, newest.note) == (-2, "waste", "C05", "miscut")
    with pytest.raises(InvalidError) as caught:
        studio.do(CountStock(material_id=3, whole=20, reason="waste", note="miscut"))
    assert caught.value.field == "reason"
    assert stock_of(studio, 3).holding.whole == 12


def test_a_count_for_a_class_that_is_not_there_is_refused(studio: Studio) -> None:
    with pytest.raises(NotFoundError):
        studio.do(CountStock(material_id=3, whole=12, class_date_id=99, note="x"))


def test_the_journal_of_all_materials_names_each(studio: Studio) -> None:
    studio.do(MoveStock(material_id=17, change=-1, reason="waste", note="dead cell"))
    newest = studio.ask(Journal(None, 1))
    assert [(row.material_ref, row.material, row.change) for row in newest] == [
        ("M17", "LED tea light (coin cell, screw-shut)", -1)
    ]


def test_a_suppliers_closed_days_are_kept_as_a_whole_and_move_its_arrivals(studio: Studio) -> None:
    before = studio.ask(OneMaterial(3)).need
    assert before is not None
    assert before.arrives == dt.date(2027, 2, 10)
    studio.do(ChangeSupplier(supplier_id=1, shut=(dt.date(2027, 2, 3), dt.date(2027, 2, 4))))
    after = studio.ask(OneMaterial(3)).need
    assert after is not None
    assert after.arrives == dt.date(2027, 2, 12)
    studio.do(ChangeSupplier(supplier_id=1, shut=(dt.date(2027, 2, 4),)))
    assert next(row for row in studio.ask(SupplierRows()) if row.id == 1).shut == (dt.date(2027, 2, 4),)
    studio.do(Undo())
    assert len(next(row for row in studio.ask(SupplierRows()) if row.id == 1).shut) == 2


def test_other_entries_of_a_supplier_leave_its_closed_days(studio: Studio) -> None:
    studio.do(ChangeSupplier(supplier_id=1, shut=(dt.date(2027, 2, 3),)))
    studio.do(ChangeSupplier(supplier_id=1, note="new"))
    assert next(row for row in studio.ask(SupplierRows()) if row.id == 1).shut == (dt.date(2027, 2, 3),)


def test_a_materials_page_of_nothing_is_refused(studio: Studio) -> None:
    with pytest.raises(NotFoundError):
        studio.ask(OneMaterial(99))

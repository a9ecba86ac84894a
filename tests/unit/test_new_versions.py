"""Classes to come that keep an older version of their project: named with its bill, taken over in one action."""

from __future__ import annotations

import pytest

from scheduling.commands.bill_rows import BillEntry
from scheduling.commands.bills import LetTakeNewVersion, SetBill
from scheduling.commands.decisions import Decide
from scheduling.commands.kit_runs import TickKits
from scheduling.commands.materials import AddMaterial
from scheduling.commands.undoing import Undo
from scheduling.errors import NotFoundError
from scheduling.model.versions import ClassBehind
from scheduling.queries.kit_runs import KitRun
from scheduling.queries.kit_shelves import BillOf
from tests.support.book_studio import BookStudio


class ClassFirst:
    """Classes are made before their project has a bill."""

    def __init__(self, *days: str) -> None:
        self.book = BookStudio()
        self.classes = [self.book.class_date(day) for day in days]
        self.bag = self.book.do(AddMaterial(name="Bag", form="each")).material_id

    def set_bill(self, *parts: str) -> str:
        lines = tuple(BillEntry(part=part, material_id=self.bag) for part in parts)
        return str(self.book.do(SetBill(project_id=self.book.project, lines=lines)).said)

    def behind(self) -> list[int]:
        return [one.class_date_id for one in self.book.studio.ask(BillOf(self.book.project)).behind]


def test_the_classes_that_keep_an_older_version_are_named_when_the_bill_is_kept() -> None:
    studio = ClassFirst("2027-03-20", "2027-02-20")
    first, second = studio.classes
    assert studio.behind() == []
    assert studio.set_bill("Bag") == "The bill of Album has 1 line; C02 and C01 keep an older version."
    assert studio.behind() == [second, first], "by day"


def test_all_take_the_new_version_in_one_action_and_one_undo_gives_it_back() -> None:
    studio = ClassFirst("2027-02-20", "2027-03-20")
    studio.set_bill("Bag")
    taken = studio.book.do(LetTakeNewVersion(class_date_ids=tuple(studio.classes)))
    assert taken.said == "C01, C02 take the newest version."
    assert studio.behind() == []
    assert [step.step for step in studio.book.studio.ask(KitRun(studio.classes[0])).steps][-1] == "seal"
    studio.book.do(Undo(history_id=taken.history_id))
    assert studio.behind() == studio.classes


def test_past_and_cancelled_classes_are_not_offered_it_and_kits_that_are_begun_are_told() -> None:
    studio = ClassFirst("2027-01-10", "2027-02-20", "2027-03-20")
    _past, cancelled, begun = studio.classes
    studio.set_bill("Bag")
    studio.book.on("2027-01-11T09:00")
    studio.book.do(Decide(class_date_id=cancelled, choice="call off"))
    studio.book.do(LetTakeNewVersion(class_date_ids=(begun,)))
    studio.book.book(begun, studio.book.person("Ada"))
    studio.book.do(TickKits(class_date_id=begun, step="check", done=1))
    studio.set_bill("Bag", "Card")
    (one,) = studio.book.studio.ask(BillOf(studio.book.project)).behind
    assert isinstance(one, ClassBehind)
    assert (one.class_date_id, one.version, one.begun) == (begun, 2, True)


def test_a_class_that_starts_today_is_still_to_come() -> None:
    studio = ClassFirst("2027-01-10")
    studio.set_bill("Bag")
    studio.book.on("2027-01-10T23:30")
    assert studio.behind() == studio.classes
    studio.book.on("2027-01-11T00:00")
    assert studio.behind() == []


def test_one_class_that_is_not_there_takes_nothing_over() -> None:
    studio = ClassFirst("2027-02-20")
    studio.set_bill("Bag")
    with pytest.raises(NotFoundError):
        studio.book.do(LetTakeNewVersion(class_date_ids=(*studio.classes, 99)))
    assert studio.behind() == studio.classes

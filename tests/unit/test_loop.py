"""One booking, and needs, cut plan, plan and money all say so: the loop closed, with figures worked out by hand.

One head is booked on C10 of the demo, P3 live online with mailed kits, on 1 Feb: 3 heads become 4, and 3 + 1 spare +
1 demo copy = 5 kits become 4 + 1 + 1 = 6.

Needs. A kit takes 20 folios at 5 a sheet: drawing paper of C10 alone 5 x 4 = 20 sheets become 24; of all classes from
one plan 65 become 69, with 14 in stock 51 or 55 to buy, 6 packs of 10 either way. Needles 5 become 6 (25 to 26), PVA
cups 104 to 105, bags 88 to 89; a mailer for each head, 3 to 4 (12 to 13). Boards: 2 a kit at 15 a sheet, 1 sheet
either way.

Cut plan. 100 folios on 20 sheets become 120 on 24; outer papers 12 at 6 a sheet and linings 12 at 12: still 3 sheets.

Plan. Cutting: 15 min for each of 4 materials and 0.4 min for each of 27 pieces a kit: 60 + 54 = 114 min become 60 +
64.8 = 124.8, so 125. Scoring 5 a kit more: 40 to 45. Bagging 20 + 3.5 a kit: 37.5, so 38, to 41. Checking 5 + 1.5 a
kit: 12.5, so 13, to 14. Posting 20 + 5 a head: 35 to 40. Labels 20 + 1 a kit: 25 to 26. Answers 10 + 1 a head: 13 to
14. In all 708 min of open prep become 735.

Money. Fee 64.00, but the early bird takes 15 percent off: 54.40. Card 2.9 percent + 0.30: 64.00 costs 2.16 and 54.40
costs 1.88. A kit is 10.81, a mailer 0.95. Left before: 3 x (64.00 - 2.16 - 10.81 - 0.95) - 2 x 10.81 = 150.24 - 21.62
= 128.62; after: 128.62 + 54.40 - 1.88 - 10.81 - 0.95 = 169.38. The break-even of 1 head stays.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.undoing import Undo
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.cut_plans import CutPlans
from scheduling.queries.needs import Needs
from scheduling.queries.plan import PrepTasks
from scheduling.queries.roster import Roster
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy

CLASS, PAYER = 10, 4
PAPER, DECORATED, BOARD, NEEDLE, PVA, BAG, MAILER = 3, 6, 9, 15, 19, 20, 22
GROWS = (
    "Cut all pieces", "Score, fold, punch, glue ahead", "Sort, bag and label", "Check kits again and seal",
    "Pack, weigh and post kits", "Print handouts and labels", "Read access and allergy answers",
)  # fmt: skip


@dataclass(frozen=True)
class Everything:
    """What the loop changes.

    together: needs of all classes from one plan, in sheets or pieces. paper_alone, paper_to_buy: sheets of the class
    alone; sheets and packs to buy. sheets: of the cut plan. minutes, laid: of the tasks that grow, as kept and as laid
    by the plan; prep: of all open ones.
    """

    heads: int
    together: tuple[int, ...]
    paper_alone: int
    paper_to_buy: tuple[int, int]
    pieces: int
    sheets: tuple[int, ...]
    minutes: tuple[int, ...]
    laid: tuple[int, ...]
    prep: int
    income: int
    left: int
    break_even: int | None


@dataclass(frozen=True, slots=True)
class AllOfIt:
    """Needs, cut plan, plan and money of C10 from one snapshot of the file."""

    def fetch(self, reader: Reader) -> Everything:
        needs = {row.material.id: row for row in Needs().fetch(reader)}
        cuts = {one.material.id: one for one in CutPlans((CLASS,)).fetch(reader)}
        tasks = [task for task in PrepTasks(class_date_id=CLASS).fetch(reader) if task.is_open]
        by_title = {task.title: task for task in tasks}
        money = ClassMoney(CLASS).fetch(reader)
        of_paper = needs[PAPER]
        return Everything(
            heads=Roster(CLASS).fetch(reader).class_row.heads,
            together=tuple(needs[number].need.together for number in (PAPER, BOARD, NEEDLE, PVA, BAG, MAILER)),
            paper_alone=next(one.need.alone for one in of_paper.classes if one.class_id == CLASS),
            paper_to_buy=(of_paper.need.to_buy, of_paper.need.packs),
            pieces=dict(cuts[PAPER].pieces)["Folio (4 per section)"],
            sheets=tuple(cuts[number].plans[0].sheets for number in (PAPER, DECORATED, BOARD)),
            minutes=tuple(by_title[title].minutes for title in GROWS),
            laid=tuple(sum(stretch.minutes for stretch in by_title[title].stretches) for title in GROWS),
            prep=sum(task.minutes for task in tasks),
            income=money.income.amount,
            left=money.left.amount,
            break_even=money.break_even,
        )


_BEFORE_MINUTES, _AFTER_MINUTES = (114, 40, 38, 13, 35, 25, 13), (125, 45, 41, 14, 40, 26, 14)
BEFORE = Everything(
    3, (65, 4, 25, 104, 88, 12), 20, (51, 6), 100, (20, 3, 1), _BEFORE_MINUTES, _BEFORE_MINUTES, 708, 19200, 12862, 1
)
AFTER = Everything(
    4, (69, 4, 26, 105, 89, 13), 24, (55, 6), 120, (24, 3, 1), _AFTER_MINUTES, _AFTER_MINUTES, 735, 24640, 16938, 1
)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as opened:
        yield opened


def test_one_booking_is_seen_in_needs_cut_plan_plan_and_money_at_once(studio: Studio) -> None:
    assert studio.ask(AllOfIt()) == BEFORE
    booked = studio.do(Book(class_date_id=CLASS, payer_id=PAYER))
    assert studio.ask(AllOfIt()) == AFTER
    studio.do(Undo(history_id=booked.history_id))
    assert studio.ask(AllOfIt()) == BEFORE


def test_what_a_booking_would_do_is_told_in_one_answer_and_nothing_of_it_is_kept(studio: Studio) -> None:
    _, supposed = studio.suppose([Book(class_date_id=CLASS, payer_id=PAYER)], AllOfIt())
    assert supposed == AFTER
    assert studio.ask(AllOfIt()) == BEFORE


def test_a_head_given_up_closes_the_loop_the_other_way(studio: Studio) -> None:
    booked = studio.do(Book(class_date_id=CLASS, payer_id=PAYER))
    studio.do(CancelBooking(booking_id=booked.booking_id))
    assert studio.ask(AllOfIt()) == BEFORE

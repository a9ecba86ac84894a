"""The demo studio's money, to the cent (demo.md, "How the figures come")."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from demo.load import make_demo
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.decisions import Decide
from scheduling.commands.payments import GiveCredit
from scheduling.commands.transfers import TransferBooking
from scheduling.commands.undoing import Undo
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.queries.plan import PrepTasks
from scheduling.queries.roster import Roster
from scheduling.studio import Studio

BREAK_EVEN = {1: 1, 2: 2, 3: 2, 4: 6, 5: 1, 6: 2, 7: 1, 8: 3, 9: 3, 10: 1, 11: 2, 12: 1, 13: 2, 14: 1}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.kitwright"
    make_demo(path)
    return path


@pytest.fixture
def studio(made: Path, tmp_path: Path) -> Iterator[Studio]:
    copy = tmp_path / "demo.kitwright"
    copy.write_bytes(made.read_bytes())
    with Studio(str(copy)) as opened:
        yield opened


def test_both_figures_of_what_is_owed(studio: Studio) -> None:
    owed = studio.ask(Owed()).liability
    assert (owed.fees, owed.deposits) == (229000, 16000)
    assert (owed.cash, owed.credit, owed.deposits_kept) == (176200, 24000, 16000)
    assert owed.credits == 4200
    assert (owed.to_give_back, owed.to_credit) == (0, 0)


def test_what_is_owed_by_tier_adds_up_to_the_whole(studio: Studio) -> None:
    owed = studio.ask(Owed()).liability
    assert owed.by_part() == {"full": (147400, 0), "half": (28800, 0), "credit": (0, 24000)}
    assert sum(cash for cash, _ in owed.by_part().values()) == owed.cash


def test_hosts_have_the_rest_of_their_party_to_pay(studio: Studio) -> None:
    assert {one.class_date_id: one.balance.to_pay for one in studio.ask(Owed()).to_pay} == {8: 45800, 13: 14800}


def test_the_break_even_of_every_class(studio: Studio) -> None:
    assert {number: studio.ask(ClassMoney(number)).break_even for number in BREAK_EVEN} == BREAK_EVEN


def test_c09_leaves_51_20_with_its_four_heads(studio: Studio) -> None:
    page = studio.ask(ClassMoney(9))
    assert page.fixed.amount == 14796
    assert page.net_per_head.amount == 4979
    assert page.left.amount == 5120
    assert sum(amount for _, amount in page.left.lines) == 5120


def test_calling_c09_off_owes_232(studio: Studio) -> None:
    studio.do(Decide(class_date_id=9, choice="call off"))
    page = studio.ask(Owed())
    assert sum(one.balance.to_give_back for one in page.to_give_back) == 23200
    assert page.liability.fees == 229000 - 23200
    assert page.liability.to_give_back == 23200


def test_the_one_credit_runs_for_a_year(studio: Studio) -> None:
    (credit,) = studio.ask(Owed()).credits
    assert (credit.person, credit.left, credit.ends_on) == ("Anselm Pudderley", 4200, dt.date(2028, 1, 17))


FEES = {4: 24000, 5: 57600, 6: 19000, 7: 41400, 9: 23200, 10: 19200, 11: 6000, 12: 34800, 14: 3800}
"""Heads x fee of all but the parties: 10 x 24, 8 x 72, 5 x 38, 9 x 46, 4 x 58, 3 x 64, 2 x 30, 6 x 58, 1 x 38."""


def test_what_is_owed_by_class_is_as_worked_out_by_hand(studio: Studio) -> None:
    """On 1 Feb C04 is at T-6, credit of the whole; C05 at T-12, half; all others at T-14 or more, full."""
    found = {one.class_date_id: one for one in studio.ask(Owed()).liability.classes}
    assert {number: one.fees for number, one in found.items() if one.fees} == FEES
    assert {number: one.deposits for number, one in found.items() if one.deposits} == {8: 10000, 13: 6000}
    cash = {number: one.cash for number, one in found.items() if one.cash}
    assert cash == {number: fee for number, fee in FEES.items() if number not in (4, 5)} | {5: 28800}
    assert {number: one.credit for number, one in found.items() if one.credit} == {4: 24000}


def test_situation_6_the_kit_abroad_goes_with_c10_or_becomes_a_credit(studio: Studio) -> None:
    """A30 paid 46.00 for C07, whose kits for abroad went by Fri 29 Jan. C10 costs 64.00: 18.00 more, and its kits for
    abroad go by Sat 20 Feb. Or she gives up at T-20, all of it, and has it as a credit."""
    booking = next(one.id for one in studio.ask(ClassMoney(7)).bookings if one.payer == "Sunniva Greyholt")
    moved = studio.do(TransferBooking(booking_id=booking, class_date_id=10))
    assert (moved.carried_minor, moved.to_pay_minor) == (4600, 1800)
    assert "Sunniva Greyholt lives abroad: post that kit by Sat 20 Feb." in moved.warnings
    assert any("abroad" in task.title and task.is_open for task in studio.ask(PrepTasks(class_date_id=10)))
    assert not any("abroad" in warning for warning in studio.ask(Roster(7)).warnings)
    studio.do(Undo(history_id=moved.history_id))
    studio.do(CancelBooking(booking_id=booking))
    assert studio.do(GiveCredit(booking_id=booking)).amount_minor == 4600
    assert studio.ask(Owed()).liability.credits == 4200 + 4600

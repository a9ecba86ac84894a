"""Actions on kits, stock and orders in any row: taken back they give the old states, made again the new ones; stock is
never below nothing and always the sum of its journal."""

from __future__ import annotations

import datetime as dt
import random
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.commands.bill_rows import BillEntry
from scheduling.commands.bills import SetBill, TakeNewVersion
from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.cutting import CutSheets
from scheduling.commands.kit_rules import SetKitRules
from scheduling.commands.kit_runs import BeginKitRun, NoteKits, PostKit, ReturnKits, TickKits
from scheduling.commands.materials import ChangeMaterial, KeepTool, RetireMaterial
from scheduling.commands.orders import CancelOrder, PlaceOrder, PromiseOrder, ReceiveOrder
from scheduling.commands.request import Request
from scheduling.commands.rewards import PoolSum, RetireReward
from scheduling.commands.stock import AllotStock, CountStock, MoveStock
from scheduling.commands.suppliers import ChangeSupplier, CloseSupplier
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import SchedulingError
from scheduling.queries.needs import Needs
from scheduling.studio import Studio
from tests.support.builders import dump
from tests.support.kit_studio import demo_studio

FEWER = settings(max_examples=max(6, settings().max_examples // 10), deadline=None)
"""An example is a whole demo studio with many actions."""

RISING = frozenset({"sequence", "modified_at"})


def a_class(rng: random.Random) -> int:
    return rng.randint(4, 14)


def a_material(rng: random.Random) -> int:
    return rng.randint(1, 22)


MAKERS: tuple[Callable[[random.Random], Request[Any]], ...] = (
    lambda rng: CutSheets(class_date_ids=(a_class(rng),), material_id=a_material(rng)),
    lambda rng: CutSheets(class_date_ids=(8, 9), material_id=rng.choice((7, 10, 11, 16)), pattern=1, sheets=1),
    lambda rng: TickKits(class_date_id=a_class(rng), step=rng.choice(("bag", "sort", "check")), done=rng.randint(0, 9)),
    lambda rng: BeginKitRun(class_date_id=a_class(rng)),
    lambda rng: NoteKits(class_date_id=a_class(rng), note="creased"),
    lambda rng: PostKit(seat_id=rng.randint(1, 90), again=rng.random() < 0.2),
    lambda rng: ReturnKits(class_date_id=a_class(rng), kits=1, to_class_id=rng.choice((None, a_class(rng)))),
    lambda rng: CountStock(material_id=a_material(rng), whole=rng.randint(0, 80), note="counted"),
    lambda rng: CountStock(material_id=rng.choice((13, 14, 16)), lengths=("3 yd", "12 in"), note="counted"),
    lambda rng: CountStock(material_id=rng.choice((3, 4)), off_cuts=(("9 x 12", 2),), note="counted"),
    lambda rng: MoveStock(material_id=a_material(rng), change=-rng.randint(1, 5), reason="waste"),
    lambda rng: AllotStock(class_date_id=a_class(rng), material_id=a_material(rng), amount=rng.randint(0, 6)),
    lambda rng: PlaceOrder(supplier_id=1, lines=((rng.randint(1, 8), rng.randint(1, 3)),)),
    lambda rng: PlaceOrder(supplier_id=3, lines=((rng.choice((13, 14, 15, 16)), 1),)),
    lambda rng: ReceiveOrder(supply_order_id=rng.randint(1, 4), rest_given_up=rng.random() < 0.3),
    lambda rng: ReceiveOrder(supply_order_id=rng.randint(1, 4), came=((rng.randint(1, 8), 1),), swaps=((6, 5),)),
    lambda rng: PromiseOrder(supply_order_id=rng.randint(1, 4), promised_day=dt.date(2027, 2, rng.randint(2, 20))),
    lambda rng: CancelOrder(supply_order_id=rng.randint(1, 4)),
    lambda rng: PoolSum(reward_id=1, who=f"W{rng.randint(1, 3)}", amount_minor=rng.choice((0, 1000))),
    lambda rng: RetireReward(reward_id=1, back=rng.random() < 0.5),
    lambda rng: ChangeMaterial(material_id=a_material(rng), price_minor=rng.randint(0, 9000)),
    lambda rng: RetireMaterial(material_id=a_material(rng), back=rng.random() < 0.6),
    lambda rng: ChangeSupplier(supplier_id=rng.randint(1, 5), lead_days=rng.randint(1, 9)),
    lambda rng: CloseSupplier(supplier_id=1, day=dt.date(2027, 2, rng.randint(2, 9)), back=rng.random() < 0.3),
    lambda rng: KeepTool(tool_id=rng.randint(1, 7), owned=rng.randint(0, 9)),
    lambda rng: SetKitRules(waste_percent=rng.randint(0, 10), kerf=rng.choice(("0", "1/32"))),
    lambda rng: SetBill(project_id=rng.randint(1, 6), lines=(BillEntry(part="Bag", material_id=20),)),
    lambda rng: TakeNewVersion(class_date_id=a_class(rng)),
    lambda rng: Book(class_date_id=a_class(rng), payer_id=rng.randint(1, 40)),
    lambda rng: CancelBooking(booking_id=rng.randint(1, 60)),
)


def state(studio: Studio) -> dict[str, list[dict[str, object]]]:
    """All that undo is to restore: everything but the history, the counters that only rise, and the order of rows."""
    found = dump(studio, without=RISING)
    del found["history"]
    return {table: sorted(rows, key=lambda row: str(row.get("id"))) for table, rows in found.items()}


def stock_adds_up(studio: Studio) -> None:
    sums: Counter[tuple[object, ...]] = Counter()
    for row in dump(studio)["stock_movement"]:
        change = row["change"]
        assert isinstance(change, int)
        sums[row["material_id"], row["along_counts"], row["across_counts"], row["grain"]] += change
        assert change != 0
    assert all(count >= 0 for count in sums.values())


@FEWER
@given(st.integers(0, 2**32), st.integers(1, 12))
def test_kits_stock_and_orders_are_taken_back_and_made_again(seed: int, many: int) -> None:
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder, demo_studio(Path(folder)) as studio:
        states = [state(studio)]
        for _ in range(many):
            try:
                outcome = studio.do(rng.choice(MAKERS)(rng))
            except SchedulingError:
                assert state(studio) == states[-1], "what is refused leaves no trace"
                continue
            stock_adds_up(studio)
            if outcome.history_id:
                states.append(state(studio))
        for before in reversed(states[:-1]):
            studio.do(Undo())
            assert state(studio) == before
        for after in states[1:]:
            studio.do(Redo())
            assert state(studio) == after


@FEWER
@given(st.integers(0, 2**32))
def test_needs_add_up_after_any_actions(seed: int) -> None:
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder, demo_studio(Path(folder)) as studio:
        for _ in range(8):
            try:
                studio.do(rng.choice(MAKERS)(rng))
            except SchedulingError:
                continue
        kept_apart = {row["material_id"] for row in dump(studio)["allotment"]}
        for row in studio.ask(Needs()):
            need = row.need
            assert need.packs * row.material.pack >= need.to_buy >= 0
            assert need.left_of_packs < row.material.pack
            for one in need.classes:
                assert one.from_stock + one.from_orders + one.short == one.alone
                assert min(one.from_stock, one.from_orders, one.short) >= 0
                assert (one.from_orders > 0) == bool(one.orders)
                assert (one.ready_on is not None) == (one.from_orders > 0 and not one.short)
            if row.material.id not in kept_apart and any(one.short for one in need.classes):
                assert need.packs > 0

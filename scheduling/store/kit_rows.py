"""Suppliers, materials, bills and stock as the domain knows them, read from their rows."""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections import defaultdict
from dataclasses import dataclass

from scheduling.lengths import Length
from scheduling.model.day_calendar import EVERY_WEEKDAY, MONDAY_TO_FRIDAY, DayCalendar
from scheduling.model.deadlines import Delivery
from scheduling.model.materials import Bench, BillLine, Form, Heads, Holding, LinePer, Material, Supplier
from scheduling.store.class_facts import ClassFacts
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class StockPiece:
    """Equal things on hand: whole sheets or things (no sizes), a begun reel or roll, or off-cuts with their grain."""

    material_id: int
    along: int
    across: int
    grain: str
    count: int

    @property
    def is_whole(self) -> bool:
        return not self.along

    @property
    def is_off_cut(self) -> bool:
        return bool(self.across)


def suppliers(reader: Reader, *, with_retired: bool = True) -> dict[int, Supplier]:
    """Suppliers by number, with their calendars: their own closures and the studio's."""
    closed: dict[int, set[dt.date]] = defaultdict(set)
    for row in reader.rows("SELECT supplier_id, day FROM supplier_closure"):
        closed[row["supplier_id"]].add(dt.date.fromisoformat(row["day"]))
    shared = {
        dt.date.fromisoformat(row["day"]) for row in reader.rows("SELECT day FROM closed_day WHERE kind = 'closure'")
    }
    zone = reader.zone()
    return {
        row["id"]: _supplier(row, frozenset(shared | closed[row["id"]]), zone)
        for row in reader.rows(
            "SELECT * FROM supplier WHERE ? OR retired_at IS NULL ORDER BY name, id", (with_retired,)
        )
    }


def _supplier(row: sqlite3.Row, closures: frozenset[dt.date], zone: str) -> Supplier:
    working = row["lead_in"] == "working days"
    weekdays = frozenset(int(digit) - 1 for digit in row["takes_orders_on"])
    return Supplier(
        id=row["id"],
        name=row["name"],
        delivery=Delivery(
            lead_days=row["lead_days"],
            counting=DayCalendar(MONDAY_TO_FRIDAY, closures) if working else DayCalendar(EVERY_WEEKDAY),
            taking=DayCalendar(weekdays, closures),
            zone=zone,
            order_before=None if row["order_before"] is None else dt.time.fromisoformat(row["order_before"]),
        ),
        least_order=row["least_order_minor"],
        carriage=row["carriage_minor"],
        carriage_free=row["carriage_free_minor"],
        note=row["note"],
        lead_in=row["lead_in"],
    )


def materials(reader: Reader, *, with_retired: bool = True) -> dict[int, Material]:
    """Materials by number."""
    return {
        row["id"]: material_of(row)
        for row in reader.rows("SELECT * FROM material WHERE ? OR retired_at IS NULL ORDER BY id", (with_retired,))
    }


def material_of(row: sqlite3.Row) -> Material:
    """A material from its row."""
    return Material(
        id=row["id"],
        name=row["name"],
        form=Form(row["form"]),
        supplier_id=row["supplier_id"],
        along=Length.kept(row["along_counts"], row["along_form"]),
        across=Length.kept(row["across_counts"], row["across_form"]),
        grain=row["grain"],
        one_way=bool(row["one_way"]),
        two_sided=bool(row["two_sided"]),
        trim=Length.kept(row["trim_counts"], row["trim_form"]),
        leader=Length(row["leader_counts"]),
        pack=row["pack"],
        price=row["price_minor"],
        price_from=_day(row["price_from"]),
        price_then=row["price_then_minor"],
        last_order_day=_day(row["last_order_day"]),
        swap=row["swap"],
        weight_mg=row["weight_mg"],
        thickness_counts=row["thickness_counts"],
        packaging=bool(row["packaging"]),
        cautions=row["cautions"],
    )


def bills(reader: Reader) -> dict[int, tuple[BillLine, ...]]:
    """The bill of every project version that has one, by the version's number, in its order."""
    options: dict[int, list[tuple[str, int | None]]] = defaultdict(list)
    for row in reader.rows("SELECT * FROM bill_option ORDER BY id"):
        options[row["bill_line_id"]].append((row["name"], row["material_id"]))
    found: dict[int, list[BillLine]] = defaultdict(list)
    for row in reader.rows("SELECT * FROM bill_line ORDER BY project_version_id, position"):
        found[row["project_version_id"]].append(
            BillLine(
                part=row["part"],
                material_id=row["material_id"],
                quantity=row["quantity"],
                per=LinePer(row["per"]),
                along=Length.kept(row["along_counts"], row["along_form"]),
                across=Length.kept(row["across_counts"], row["across_form"]),
                free_grain=bool(row["free_grain"]),
                one_way=bool(row["one_way"]),
                fold=row["fold"],
                hand=row["hand"],
                face=row["face"],
                options=tuple(options[row["id"]]),
                formula=row["size_formula"],
            )
        )
    return {version: tuple(lines) for version, lines in found.items()}


def stock_on_hand(reader: Reader) -> dict[int, tuple[StockPiece, ...]]:
    """What is on hand of each material: whole ones first, then the longest."""
    found: dict[int, list[StockPiece]] = defaultdict(list)
    for row in reader.rows(
        """SELECT * FROM stock_on_hand
           ORDER BY material_id, along_counts > 0, along_counts DESC, across_counts DESC, grain"""
    ):
        found[row["material_id"]].append(
            StockPiece(row["material_id"], row["along_counts"], row["across_counts"], row["grain"], row["count"])
        )
    return {number: tuple(pieces) for number, pieces in found.items()}


def holding_of(pieces: tuple[StockPiece, ...], material: Material) -> Holding:
    """Stock as the needs and the cut planner take it."""
    return Holding(
        whole=sum(piece.count for piece in pieces if piece.is_whole),
        lengths=tuple(
            piece.along for piece in pieces if not piece.is_whole and not piece.is_off_cut for _ in range(piece.count)
        ),
        off_cuts=tuple((piece.along, piece.across, piece.grain, piece.count) for piece in pieces if piece.is_off_cut)
        if material.form is Form.SHEET
        else (),
    )


def bench_of(reader: Reader) -> Bench:
    """The studio's cutter and the least off-cut that it keeps."""
    row = reader.first("SELECT * FROM studio")
    if row is None:
        return Bench()
    return Bench(
        row["kerf_counts"],
        row["knife_kerf_counts"],
        row["longest_cut_counts"],
        row["smallest_strip_counts"],
        row["keep_long_counts"],
        row["keep_short_counts"],
        row["units"],
    )


def heads_of(reader: Reader, facts: ClassFacts) -> Heads:
    """What a class builds for, with the options that its seats chose."""
    rows = reader.rows(
        """SELECT seat_option.name, count(*) AS seats FROM seat_option JOIN seat ON seat.id = seat_option.seat_id
           JOIN booking ON booking.id = seat.booking_id
           JOIN person ON person.id = coalesce(seat.person_id, booking.payer_id)
           WHERE booking.class_date_id = ? AND booking.state IN ('held', 'deposit', 'confirmed', 'offered')
             AND seat.given_up_at IS NULL AND person.erased_at IS NULL
           GROUP BY seat_option.name ORDER BY seat_option.name""",
        (facts.id,),
    )
    mailed = facts.heads if facts.dates.post_by is not None else 0
    return Heads(facts.kits, facts.heads, mailed, tuple((row["name"], row["seats"]) for row in rows))


def _day(text: str | None) -> dt.date | None:
    return None if text is None else dt.date.fromisoformat(text)

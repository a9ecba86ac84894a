"""The money of one class date: costs, break-even, what n heads leave, and where each booking stands."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.model.ledger import ClassCosts, heads_worth_showing
from scheduling.model.prices import Figure, Line
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.classes import ClassDate, ClassRow
from scheduling.queries.kit_costs import kit_by_bill
from scheduling.store.booking_money import BookingMoney, booking_money, class_costs
from scheduling.store.class_facts import class_facts, recipe_lines
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class AtHeads:
    """What so many heads at the full fee leave; per_hour: for all her work, None while no work is known."""

    heads: int
    left: Figure
    per_hour: int | None
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClassMoneyPage:
    """Sums in minor units; each Figure holds the lines it is the sum of.

    fixed: costs however many pay, at the heads booked; net_per_head: what a head at the full fee leaves;
    break_even: heads that cover the costs, None when none do; full_pay_heads: and her work at her rate.
    income: prices as booked and fees kept; left: income less all costs, as booked; per_hour: of all her work.
    work: minutes of all her work as (words, minutes).
    received, held, to_pay, to_give_back, to_credit: of all its bookings; due_if_called_off: all that is held.
    """

    class_row: ClassRow
    currency: Currency
    fixed: Figure
    net_per_head: Figure
    break_even: int | None
    full_pay_heads: int | None
    at_heads: tuple[AtHeads, ...]
    income: Figure
    left: Figure
    per_hour: int | None
    work: tuple[Line, ...]
    received: int
    held: int
    to_pay: int
    to_give_back: int
    to_credit: int
    bookings: tuple[BookingMoney, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClassMoney:
    """The money of a class date; raises NotFoundError."""

    class_date_id: int

    def fetch(self, reader: Reader) -> ClassMoneyPage:
        row = ClassDate(self.class_date_id).fetch(reader).row
        planned, logged = prep_minutes(reader, self.class_date_id)
        costs = class_costs(
            reader,
            self.class_date_id,
            prep_minutes=planned + logged,
            kit_by_bill=kit_by_bill(reader, self.class_date_id),
        )
        bookings = booking_money(reader, "booking.class_date_id = ?", (self.class_date_id,))
        income = income_of(bookings)
        left = costs.profit(row.heads, income.amount, card_of(costs, bookings))
        there = costs.work_minutes - planned - logged
        return ClassMoneyPage(
            class_row=row,
            currency=costs.currency,
            fixed=costs.fixed_costs(row.heads),
            net_per_head=costs.net_per_head(),
            break_even=costs.heads_for(),
            full_pay_heads=costs.heads_for(costs.full_pay),
            at_heads=at_heads(costs, row),
            income=income,
            left=left,
            per_hour=costs.pay_per_hour(left.amount),
            work=tuple(
                line
                for line in (
                    ("prep logged", logged),
                    ("prep planned", planned),
                    ("travel, set-up, class, clear-down", there),
                )
                if line[1]
            ),
            received=sum(
                one.balance.sums.paid + one.balance.sums.used + one.balance.sums.carried_in for one in bookings
            ),
            held=sum(one.held for one in bookings),
            to_pay=sum(one.balance.to_pay for one in bookings),
            to_give_back=sum(one.balance.to_give_back for one in bookings),
            to_credit=sum(one.balance.to_credit for one in bookings),
            bookings=tuple(bookings),
            warnings=tuple(cost_warnings(costs)),
        )


def income_of(bookings: list[BookingMoney]) -> Figure:
    """What a class brings as booked: prices of the heads there are, charges, and fees kept of those given up."""
    lines: list[Line] = [(f"{ref('booking', one.id)} {one.payer}", one.price) for one in bookings]
    lines.append(("charged besides the fee", sum(one.balance.sums.charged for one in bookings)))
    lines.append(("fees kept of heads given up", sum(one.balance.sums.kept for one in bookings)))
    lines.append(("given past the terms", -sum(one.balance.sums.waived for one in bookings)))
    return Figure.of(tuple(line for line in lines if line[1]))


def card_of(costs: ClassCosts, bookings: list[BookingMoney]) -> int:
    """What taking cards costs for what a class brings, each sum by itself."""
    return sum(
        costs.card.of(amount)
        for one in bookings
        for amount in (one.price, one.balance.sums.kept, one.balance.sums.charged)
    )


def at_heads(costs: ClassCosts, row: ClassRow) -> tuple[AtHeads, ...]:
    """A line for each number of heads that is worth one."""
    found: list[AtHeads] = []
    for heads in heads_worth_showing(costs, row.heads, row.minimum, row.seats):
        left = costs.profit(heads)
        marks = [
            word
            for word, number in (
                ("booked", row.heads),
                ("minimum", row.minimum),
                ("break-even", costs.heads_for()),
                ("full pay", costs.heads_for(costs.full_pay) if costs.hourly_rate else None),
                ("full", row.seats),
            )
            if number == heads
        ]
        found.append(AtHeads(heads, left, costs.pay_per_hour(left.amount), tuple(marks)))
    return tuple(found)


def cost_warnings(costs: ClassCosts) -> list[str]:
    """What the figures leave out because it is not known."""
    said = []
    if costs.kit is None:
        said.append("What a kit costs is not known, so it counts as nothing: set it for the project.")
    if costs.heads_for() is None:
        said.append("A head costs more than its fee leaves, so no number of heads breaks even.")
    return said


def prep_minutes(reader: Reader, class_date_id: int) -> tuple[int, int]:
    """Her prep for a class: still planned, and logged. A task that was ticked without minutes counts as planned."""
    facts = class_facts(reader, [class_date_id])[class_date_id]
    lines = recipe_lines(reader, facts.recipe_id)
    planned = logged = 0
    for row in reader.rows(
        """SELECT task.recipe_line_id, task.minutes, task.state, task.owed,
             coalesce((SELECT sum(minutes) FROM minutes_log WHERE task_id = task.id), 0) AS logged
           FROM task WHERE class_date_id = ? AND state <> 'cancelled'""",
        (class_date_id,),
    ):
        logged += row["logged"]
        line = lines.get(row["recipe_line_id"])
        whole = row["minutes"] if row["minutes"] is not None else (facts.minutes(line) if line else 0)
        if row["state"] == "completed":
            planned += 0 if row["logged"] else whole
        elif row["owed"]:
            planned += max(0, whole - row["logged"])
    return planned, logged

"""The money page's lists as rows: owed both ways, held and at stake, what came and went."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.model.prices import Figure
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.cash import CashDate, CashDatesPage, MoneyMovedPage
from scheduling.queries.classes import ClassRow
from scheduling.queries.money_room import MoneyRoomPage
from scheduling.queries.waitlist import PendingRow
from scheduling.store.booking_money import BookingMoney
from scheduling.words import counted, show_day, show_moment
from tui.cells import Column
from tui.money_lines import TERMS, MoneyLines
from tui.widgets.rows import Cell, Row, Section

COLUMNS: Final = (
    Column("", share=3, least=22),
    Column("", share=2, least=18),
    Column("", 12, align="right"),
    Column("", 20, drop=1),
)


PERIOD: Final = "period"
PERIOD_ABOUT: Final = "what came and went between two days that you type"
PROMOTIONS: Final = "promotions"
PROMOTIONS_ABOUT: Final = "early birds, bundles and hosts' places, what each cost and brought"


@dataclass(frozen=True, slots=True)
class View:
    """One list of the page; first, last: the days of a period, None where it is about this moment."""

    id: str
    label: str
    about: str
    first: dt.date | None = None
    last: dt.date | None = None


def views(today: dt.date) -> tuple[View, ...]:
    """What v offers, this month and this year as of today."""
    month = today.replace(day=1)
    before = (month - dt.timedelta(days=1)).replace(day=1)
    year = today.replace(month=1, day=1)
    past_year = year.replace(year=year.year - 1)
    end = dt.timedelta(days=1)
    return (
        View("owed", "owed", "who owes what, what is to go back, credits, offers that lapsed"),
        View("held", "held", "what is held for classes to come, and what would go back"),
        View("cash", "cash dates", "what is to come in and go out, on which day"),
        View("month", f"{month:%B %Y}", "what came and went this month", month, today),
        View("before", f"{before:%B %Y}", "what came and went in the month before", before, month - end),
        View("year", f"{year.year}", "what came and went this year", year, today),
        View("past year", f"{past_year.year}", "what came and went last year", past_year, year - end),
    )


def owed_lines(page: MoneyRoomPage, *, today: dt.date) -> MoneyLines:
    """What lapsed first, since it waits for a key; then money both ways and credits."""
    lines = MoneyLines()
    owed, money = page.owed, page.owed.currency
    due = {one.booking_id: one for one in page.cash.dates if one.booking_id and one.kind in ("fees", "refund")}
    _pending(lines, page, today)
    if owed.to_give_back:
        total = sum(one.balance.over for one in owed.to_give_back)
        lines.rows.append(Section("To give back", f"{money.show(total)} {money.code}; R gives it"))
        for one in owed.to_give_back:
            _booking(lines, one, owed.classes, money, one.balance.over, today, "back", due.get(one.id))
    total = sum(one.balance.to_pay for one in owed.to_pay)
    lines.rows.append(Section("Still to be paid", f"{money.show(total)} {money.code}; P takes it"))
    for one in owed.to_pay:
        _booking(lines, one, owed.classes, money, one.balance.to_pay, today, "pay", due.get(one.id))
    if not owed.to_pay:
        lines.rows.append(Row("all paid", ("Everybody has paid", "", "", "")))
    if owed.credits:
        lines.rows.append(Section("Credits", "with something left"))
    for credit in owed.credits:
        key = ("credit", credit.id)
        ends = Cell(
            f"{'over since' if credit.over else 'to'} {show_day(credit.ends_on, today=today)}",
            "warn" if credit.over else "",
        )
        lines.rows.append(Row(key, (f"{credit.ref} {credit.person}", ends, money.show(credit.left), "")))
        lines.about[key] = (
            f"{credit.ref} of {credit.person} for {ref('booking', credit.booking_id)}:"
            f" {money.show(credit.amount)} given on {show_day(credit.day, year=True)}, {money.show(credit.used)} used,"
            f" {money.show(credit.left)} left to the end of {show_day(credit.ends_on, year=True)}."
            " P on a booking of theirs uses it."
        )
        lines.people[key] = credit.person_id
    return lines


def _pending(lines: MoneyLines, page: MoneyRoomPage, today: dt.date) -> None:
    """Offers and holds: those that lapsed wait for her key, the others say until when they stand."""
    lapsed, running = page.waitlist.lapsed, page.waitlist.open
    if lapsed:
        lines.rows.append(Section("Lapsed", "g settles them all: seats go on to who waits"))
    for one in lapsed:
        _pending_row(lines, one, page.waitlist.classes[one.class_date_id], today)
    if running:
        lines.rows.append(Section("Offers and holds", "until when they stand"))
    for one in running:
        _pending_row(lines, one, page.waitlist.classes[one.class_date_id], today)


def _pending_row(lines: MoneyLines, one: PendingRow, row: ClassRow, today: dt.date) -> None:
    key = ("pending", one.booking_id)
    until = "by telephone" if one.lapses is None else show_moment(one.lapses.local, today=today)
    day = until if one.lapses is None else show_day(one.lapses.local.date(), today=today)
    cells = (f"{one.ref} {one.payer}", f"{row.ref} {row.title}", day, Cell(one.state, "quiet"))
    lines.rows.append(Row(key, cells, "!" if one.lapsed else "", "warn" if one.lapsed else ""))
    word = "lapsed" if one.lapsed else "stands until"
    reach = ", ".join(part for part in (one.phone, one.email) if part)
    lines.about[key] = (
        f"{one.payer} ({heads_text(one.heads)}), {one.state} on {row.ref}: {word} {until}. {reach}".strip()
    )
    lines.bookings[key], lines.classes[key], lines.people[key] = one.booking_id, one.class_date_id, one.payer_id


def _booking(
    lines: MoneyLines,
    one: BookingMoney,
    classes: dict[int, ClassRow],
    money: Currency,
    amount: int,
    today: dt.date,
    side: str,
    due: CashDate | None,
) -> None:
    row = classes[one.class_date_id]
    key = (side, one.id)
    how = f"class {show_day(row.first_day, today=today)}" if due is None else _due_words(due, today)
    if side == "back" and one.balance.to_credit and not one.balance.to_give_back:
        how = "as credit"
    cells = (f"{ref('booking', one.id)} {one.payer}", f"{row.ref} {row.title}", money.show(amount), Cell(how, "quiet"))
    late = due is not None and due.overdue
    lines.rows.append(Row(key, cells, "!" if late else "", "warn" if late else ""))
    title = f"{one.payer}, {one.state}, {row.ref}" + ("" if due is None else f", {_due_words(due, today)}")
    lines.explain(key, title, Figure.of(one.balance.lines()), money)
    lines.bookings[key], lines.classes[key], lines.people[key] = one.id, one.class_date_id, one.payer_id


def _due_words(due: CashDate, today: dt.date) -> str:
    """By when it is to move, or since when it should have."""
    return f"{'since' if due.overdue else 'by'} {show_day(due.day, today=today)}"


def held_lines(page: MoneyRoomPage, *, today: dt.date) -> MoneyLines:
    """Both liability figures, then each class with its tier of today."""
    lines = MoneyLines()
    owed, money = page.owed.liability, page.owed.currency
    lines.rows.append(Section("If you call everything off", "fees and deposits go back"))
    for words, amount in (("Fees", owed.fees), ("Deposits", owed.deposits)):
        lines.rows.append(Row(("off", words), (words, "", money.show(amount), "")))
    lines.rows.append(Section("If everybody cancels today", "by the terms kept with each booking"))
    for part, (cash, credit) in owed.by_part().items():
        if cash or credit:
            how = Cell(f"and credit {money.show(credit)}" if credit else "", "quiet")
            lines.rows.append(Row(("all", part), ("Notice today gives", TERMS[part], money.show(cash), how)))
    kept = Cell("stay with you", "quiet")
    lines.rows.append(Row(("all", "money"), ("In money, together", "", money.show(owed.cash), "")))
    lines.rows.append(Row(("all", "credit"), ("As credit, together", "", money.show(owed.credit), "")))
    lines.rows.append(Row(("all", "kept"), ("Deposits", "", money.show(owed.deposits_kept), kept)))
    lines.rows.append(Row(("all", "credits"), ("Credits given before", "", money.show(owed.credits), "")))
    for line in lines.rows:
        if isinstance(line, Row):
            lines.about[line.id] = "By the terms kept with each booking; the law of the place goes before them."
    if owed.classes:
        lines.rows.append(Section("Held, class by class", "money if you call it off; o opens its ledger"))
    for one in owed.classes:
        row = page.owed.classes[one.class_date_id]
        key = ("held", one.class_date_id, one.part)
        cells = (
            f"{row.ref} {row.title}",
            f"{show_day(row.first_day, today=today)}; {TERMS[one.part]} today",
            money.show(one.fees + one.deposits),
            Cell(f"{heads_text(row.heads)}", "quiet"),
        )
        lines.rows.append(Row(key, cells))
        lines.about[key] = (
            f"{row.ref}, {counted(one.bookings, 'booking')}. If you call it off: fees {money.show(one.fees)}, deposits"
            f" {money.show(one.deposits)}. If all cancel today: money {money.show(one.cash)}, credit"
            f" {money.show(one.credit)}; kept: fees {money.show(one.kept)}, deposits {money.show(one.deposits_kept)}."
        )
        lines.classes[key] = one.class_date_id
    return lines


def moved_lines(page: MoneyMovedPage, view: View) -> MoneyLines:
    """What came and went, newest first, under its sums."""
    lines = MoneyLines()
    money = page.currency
    lines.rows.append(Section(f"Came and went, {view.label}", f"{money.code}"))
    lines.rows.append(Row("came", ("Came in", "", money.show(page.came_in), "")))
    lines.rows.append(Row("went", ("Went back", "", money.show(page.went_back), "")))
    for method, (came, back) in page.by_method.items():
        went = Cell(f"and {money.show(back)} back" if back else "", "quiet")
        lines.rows.append(Row(("by", method), (f"by {method}", "", money.show(came), went)))
    day: dt.date | None = None
    for n, one in enumerate(reversed(page.rows)):
        if one.day != day:
            day = one.day
            lines.rows.append(Section(show_day(day, year=True)))
        key = ("moved", n)
        how = Cell("did not come" if one.bounced else one.method, "warn" if one.bounced else "quiet")
        what = f"{ref('class_date', one.class_date_id)} {one.class_title}"
        booking = ref("booking", one.booking_id)
        lines.rows.append(Row(key, (f"{booking} {one.person}", what, money.show(one.amount), how)))
        paper = f", {one.reference}" if one.reference else ""
        number = f"{ref('payment', one.payment_id)} " if one.payment_id else ""
        lines.about[key] = f"{number}{one.person} for {booking}: {money.show(one.amount)} by {one.method}{paper}."
        lines.bookings[key], lines.classes[key], lines.people[key] = one.booking_id, one.class_date_id, one.person_id
        if one.payment_id:
            lines.payments[key] = (one.payment_id, one.bounced)
    return lines


def cash_lines(page: CashDatesPage, *, today: dt.date) -> MoneyLines:
    """What is to come in and go out, on which day, as far as the file knows."""
    lines = MoneyLines()
    money = page.currency
    lines.rows.append(Section("Cash dates", f"to {show_day(page.through, today=today)}, as far as is known"))
    for words, amount in (("Comes in", page.comes_in), ("Goes out", page.goes_out), ("Together", page.balance)):
        lines.rows.append(Row(("all", words), (words, "", money.show(amount), "")))
    for n, one in enumerate(page.dates):
        key = ("cash", n)
        when = show_day(one.day, today=today)
        cells = (one.what, f"by {when}", money.show(one.amount), Cell(one.kind, "quiet"))
        lines.rows.append(Row(key, cells, "!" if one.overdue else "", "warn" if one.overdue else ""))
        late = "; that day is past" if one.overdue else ""
        lines.about[key] = f"{one.what}: {money.show(one.amount)} by the end of {when}{late}."
        if one.booking_id:
            lines.bookings[key] = one.booking_id
        if one.class_date_id:
            lines.classes[key] = one.class_date_id
    return lines

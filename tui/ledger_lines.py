"""The ledger of a class as rows: what comes in, what it costs, what is left, and where each booking stands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.model.liability import ClassLiability
from scheduling.model.prices import Figure
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.class_charges import ClassChargesPage
from scheduling.queries.class_money import ClassMoneyPage
from scheduling.words import counted, show_minutes
from tui.cells import Column
from tui.money_lines import TERMS, MoneyLines, balance_words
from tui.widgets.rows import Cell, Row, Section, Tone

COLUMNS: Final = (Column("", share=1, least=30), Column("", 12, align="right"), Column("", 24))


def ledger_lines(page: ClassMoneyPage, charges: ClassChargesPage, owed: Sequence[ClassLiability]) -> MoneyLines:
    """Every figure with the lines that it is the sum of; below each row, the whole sum in words.

    owed: what is held for the class, an entry for each tier that its bookings stand in today.
    """
    lines = MoneyLines()
    money = page.currency
    _answers(lines, page)
    _figure(lines, "in", "What comes in", page.income, money)
    _figure(lines, "fixed", "Costs, however many come", page.fixed, money)
    _figure(lines, "head", "What a head at the full fee leaves", page.net_per_head, money)
    lines.rows.append(Section("What so many heads leave", "at the full fee, an hour of all your work"))
    for one in page.at_heads:
        hour = "" if one.per_hour is None else f"{money.show(one.per_hour)} an hour"
        heads = ", ".join([heads_text(one.heads), *one.marks])
        tone: Tone = "bad" if one.left.amount < 0 else ""
        key = ("heads", one.heads)
        lines.rows.append(Row(key, (heads, Cell(money.show(one.left.amount), tone), Cell(hour, "quiet"))))
        lines.explain(key, heads, one.left, money)
    lines.rows.append(Section("Your work for it", "minutes"))
    for words, minutes in page.work:
        lines.rows.append(Row(("work", words), (words, show_minutes(minutes), "")))
    _with_attendees(lines, page, owed)
    _bookings(lines, page)
    _charges(lines, charges, money)
    return lines


def _answers(lines: MoneyLines, page: ClassMoneyPage) -> None:
    """The four figures that she opens the page for."""
    money, row = page.currency, page.class_row
    lines.rows.append(
        Section("In short", f"{heads_text(row.heads)} booked, fee {money.show(row.fee_minor)} {money.code}")
    )
    tone: Tone = "good" if page.left.amount >= 0 else "bad"
    hour = "" if page.per_hour is None else f"{money.show(page.per_hour)} an hour"
    lines.rows.append(Row("left", ("Left, as booked", Cell(money.show(page.left.amount), tone), Cell(hour, "quiet"))))
    lines.explain("left", "Left, as booked", page.left, money)
    for key, words, heads, against in (
        ("even", "Break-even", page.break_even, "costs are covered"),
        ("full", "Full pay", page.full_pay_heads, "and your work at your rate"),
    ):
        shown = "never" if heads is None else heads_text(heads)
        lines.rows.append(Row(key, (words, shown, Cell(against, "quiet"))))
    lines.about["even"] = (
        f"The fewest heads that cover {money.show(page.fixed.amount)} of costs however many come, at"
        f" {money.show(page.net_per_head.amount)} a head: {_heads(page.break_even)}."
    )
    lines.about["full"] = (
        f"The fewest heads that cover the costs and all your work at your rate: {_heads(page.full_pay_heads)}."
    )
    for n, warning in enumerate(page.warnings):
        lines.rows.append(Row(("note", n), (warning, "", ""), "!", "warn"))
        lines.about["note", n] = warning


def _heads(heads: int | None) -> str:
    return "no number does" if heads is None else str(heads)


def _figure(lines: MoneyLines, key: str, title: str, figure: Figure, money: Currency) -> None:
    lines.rows.append(Section(title, money.show(figure.amount)))
    for n, (words, amount) in enumerate(figure.lines):
        lines.rows.append(Row((key, n), (words, money.show(amount), "")))
        lines.explain((key, n), title, figure, money)


def _with_attendees(lines: MoneyLines, page: ClassMoneyPage, owed: Sequence[ClassLiability]) -> None:
    money = page.currency
    lines.rows.append(Section("With attendees", "what came and what would go back"))
    for key, words, amount in (
        ("received", "Received", page.received),
        ("held", "Held now", page.held),
        ("to pay", "Still to be paid", page.to_pay),
        ("to give back", "To give back already", page.to_give_back),
        ("to credit", "To give as credit already", page.to_credit),
    ):
        if amount or key in ("received", "held"):
            lines.rows.append(Row(key, (words, money.show(amount), "")))
    if not owed:
        return
    fees, deposits = sum(one.fees for one in owed), sum(one.deposits for one in owed)
    cash, credit = sum(one.cash for one in owed), sum(one.credit for one in owed)
    besides = Cell(f"and deposits {money.show(deposits)}" if deposits else "", "quiet")
    lines.rows.append(Row("off", ("To give back if you call it off", money.show(fees), besides)))
    lines.about["off"] = (
        f"If you call it off, what is held goes back to {counted(sum(one.bookings for one in owed), 'booking')}:"
        f" fees {money.show(fees)}, deposits {money.show(deposits)}."
    )
    besides = Cell(f"and credit {money.show(credit)}" if credit else "", "quiet")
    lines.rows.append(Row("all", ("To give back if all cancel today", money.show(cash), besides)))
    kept, kept_deposits = sum(one.kept for one in owed), sum(one.deposits_kept for one in owed)
    lines.about["all"] = (
        f"Notice today gives {' or '.join(dict.fromkeys(TERMS[one.part] for one in owed))}: money {money.show(cash)},"
        f" credit {money.show(credit)}, fees kept {money.show(kept)}, deposits kept {money.show(kept_deposits)}."
        " The law of the place goes before these terms."
    )


def _bookings(lines: MoneyLines, page: ClassMoneyPage) -> None:
    money = page.currency
    lines.rows.append(Section("Bookings", "P takes a payment, R gives money back, T transfers"))
    for one in page.bookings:
        if not (one.takes_seats or one.held or one.balance.over):
            continue
        key = ("booking", one.id)
        open_words = balance_words(one, money)
        state = Cell(open_words or one.state, "warn" if open_words else "quiet")
        lines.rows.append(Row(key, (f"{ref('booking', one.id)} {one.payer}", money.show(one.price), state)))
        lines.explain(key, f"{one.payer}, {one.state}", Figure.of(one.balance.lines()), money)
        lines.bookings[key] = one.id


def _charges(lines: MoneyLines, charges: ClassChargesPage, money: Currency) -> None:
    lines.rows.append(Section("Charges and own costs", "c changes, n adds a cost, x takes one away"))
    for key, words, amount in (
        ("postage", "Postage on top, a mailed head", charges.postage),
        ("deposit", "Deposit asked", charges.deposit),
        ("kit", "A kit, instead of its bill's sum", charges.kit_cost or 0),
    ):
        if amount:
            lines.rows.append(Row(("charge", key), (words, money.show(amount), "")))
    if charges.host_free_from is not None:
        words = f"The host's place is free with {charges.host_free_from} others"
        lines.rows.append(Row(("charge", "host"), (words, "", "")))
    if charges.least_heads:
        lines.rows.append(
            Row(("charge", "least"), (f"A party pays for {counted(charges.least_heads, 'head')} at least", "", ""))
        )
    for cost in charges.costs:
        per = "a head" if cost.per == "head" else "for the class"
        lines.rows.append(Row(("cost", cost.what), (cost.what, money.show(cost.amount), Cell(per, "quiet"))))
    if not isinstance(lines.rows[-1], Row):
        lines.rows.append(Row(("charge", "none"), ("Nothing besides the fee and the studio's terms", "", "")))

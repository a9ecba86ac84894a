"""Sums in words and rows: what a booking owes, what its terms say, figures with the lines they are the sum of."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field

from scheduling.amounts import read_money
from scheduling.errors import InvalidError
from scheduling.model.prices import Figure
from scheduling.model.refunds import Tiers
from scheduling.money import Currency
from scheduling.queries.owed import CreditRow
from scheduling.queries.settlement import SettlementPage
from scheduling.store.booking_money import BookingMoney
from scheduling.words import show_day
from tui.widgets.rows import Cell, Row, Section

TERMS = {"full": "the whole", "half": "half", "credit": "the whole as credit", "none": "nothing"}


@dataclass(slots=True)
class MoneyLines:
    """Rows with what stands below each, and what each one is about; payments: with whether they bounced.

    sums: the title and the lines of a figure, for the page that opens it.
    """

    rows: list[Row | Section] = field(default_factory=list)
    about: dict[Hashable, str] = field(default_factory=dict)
    sums: dict[Hashable, tuple[str, Figure]] = field(default_factory=dict)
    bookings: dict[Hashable, int] = field(default_factory=dict)
    classes: dict[Hashable, int] = field(default_factory=dict)
    people: dict[Hashable, int] = field(default_factory=dict)
    payments: dict[Hashable, tuple[int, bool]] = field(default_factory=dict)

    def explain(self, key: Hashable, title: str, figure: Figure, currency: Currency) -> None:
        """Say below the row what it is the sum of, and keep the sum to be opened."""
        self.about[key] = sum_words(title, figure, currency)
        self.sums[key] = (title, figure)


def read_sum(typed: str, currency: Currency) -> int:
    """A sum of more than nothing, in minor units; raises InvalidError at the entry of that name."""
    amount = read_money(typed, currency, field="amount_minor").value
    if not amount:
        raise InvalidError("A sum of nothing is not kept.", hint="Type what came or went.", field="amount_minor")
    return amount


def shown_sum(typed: str, currency: Currency) -> str:
    """What was understood of a typed sum."""
    return read_money(typed, currency, field="amount_minor").shown


def credit_words(credit: CreditRow, currency: Currency) -> str:
    """A credit as a way to pay."""
    return f"credit {credit.ref}, {currency.show(credit.left)} left to {show_day(credit.ends_on)}"


def pay_hint(page: SettlementPage) -> str:
    """What is asked of this booking, beside the entry of the sum."""
    show = page.currency.show
    if page.deposit_lacks and page.money.balance.to_pay:
        return f"{show(page.money.balance.to_pay)} in all; the deposit asked is {show(page.money.deposit_asked)}"
    return f"{show(page.money.balance.to_pay)} is to pay" if page.money.balance.to_pay else "nothing is left to pay"


def standing(page: SettlementPage) -> str:
    """Where a booking stands, line by line, the last the answer."""
    return "\n".join([*figure_lines(Figure.of(page.money.balance.lines()), page.currency), f"= {where(page)}"])


def where(page: SettlementPage) -> str:
    """To pay, to give back, or settled."""
    return balance_words(page.money, page.currency) or f"settled, {page.currency.show(page.money.held)} held"


def balance_words(money: BookingMoney, currency: Currency) -> str:
    """What is open on a booking; empty when nothing is."""
    words = []
    if money.balance.to_pay:
        words.append(f"{currency.show(money.balance.to_pay)} to pay")
    if money.balance.to_give_back:
        words.append(f"{currency.show(money.balance.to_give_back)} to give back")
    if money.balance.to_credit:
        words.append(f"{currency.show(money.balance.to_credit)} to give as credit")
    return ", ".join(words)


def class_words(bookings: Iterable[BookingMoney], currency: Currency) -> str:
    """The money of a class in a line: held, and what is open."""
    held = to_pay = back = 0
    for one in bookings:
        held += one.held
        to_pay += one.balance.to_pay
        back += one.balance.over
    open_words = "".join(
        f", {currency.show(amount)} {word}" for amount, word in ((to_pay, "to pay"), (back, "to give back")) if amount
    )
    return f"{currency.show(held)} held{open_words}"


def balance_cell(money: BookingMoney | None, currency: Currency) -> Cell | str:
    """The same in a narrow column: the sum with its sign in words."""
    if money is None:
        return ""
    if money.balance.to_pay:
        return Cell(f"owes {currency.show(money.balance.to_pay)}", "warn")
    if money.balance.over:
        return Cell(f"back {currency.show(money.balance.over)}", "warn")
    return Cell("paid", "quiet") if money.held else ""


def figure_lines(figure: Figure, currency: Currency) -> list[str]:
    """The lines of a sum, amounts under each other."""
    shown = [(words, currency.show(amount)) for words, amount in figure.lines]
    wide = max((len(amount) for _, amount in shown), default=0)
    return [f"{amount:>{wide}}  {words}" for words, amount in shown]


def sum_words(title: str, figure: Figure, currency: Currency) -> str:
    """A sum with its lines as one sentence: how it came about."""
    if not figure.lines:
        return f"{title}: {currency.show(figure.amount)}."
    parts = "; ".join(f"{words} {currency.show(amount)}" for words, amount in figure.lines)
    return f"{title}: {parts}; in all {currency.show(figure.amount)}."


def tier_words(tiers: Tiers) -> str:
    """Kept terms as a sentence: "the whole to T-14, half to T-7, ..."."""
    return ", ".join(f"{TERMS[part]} to T-{days}" for days, part in tiers)


def terms(page: SettlementPage) -> str:
    """What the terms of a booking say today, and what is open by them; short, since a form stands below it."""
    open_words = where(page)
    if not page.money.balance.over:
        open_words += "; nothing is owed back while the booking stands"
    return (
        f"Terms: {tier_words(page.money.tiers)}. Notice today gives {TERMS[page.part]}.\n"
        f"Now: {open_words}. The law of the place goes before the terms."
    )

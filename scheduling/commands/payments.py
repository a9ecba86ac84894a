"""Money in and back: payments, refunds, credits (domain.md, rule 3). Each is one entry and can be undone."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.found import found, in_use, number, text
from scheduling.commands.giving_up import giving_back_says, settle_by_terms
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.balances import METHODS, Method
from scheduling.model.refs import ref
from scheduling.model.refunds import CAUTION
from scheduling.store.booking_money import BookingMoney, currency_of, one_booking_money
from scheduling.store.rows import Transaction
from scheduling.words import show_day

Amount = Annotated[int, Field(gt=0, le=10**14)]


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyKept(Outcome):
    """amount_minor: of the entry; to_pay_minor, to_give_back_minor, to_credit_minor: where the booking stands now."""

    booking_id: int
    amount_minor: int
    to_pay_minor: int
    to_give_back_minor: int
    to_credit_minor: int
    payment_id: int = 0
    credit_id: int = 0
    state: str = ""


class TakePayment(Request[MoneyKept]):
    """Keep a payment for a booking; a hold or deposit that is paid in full is confirmed, in part it is a deposit.

    amount_minor: None takes all that is still to pay; only_deposit: of it, what the deposit lacks.
    payer_id: who pays, where it is not the booking's payer (a gift). day: None is today.
    A booking without a seat pays what it still owes (a charge, a payment that bounced), and no more.
    Raises ConflictError for one that owes nothing, InvalidError for a day to come.
    """

    booking_id: int
    amount_minor: Amount | None = None
    only_deposit: bool = False
    method: Method = METHODS[0]
    reference: Annotated[str, Field(max_length=120)] = ""
    day: dt.date | None = None
    payer_id: int | None = None

    def run(self, tx: Transaction) -> MoneyKept:
        found(tx, "booking", self.booking_id)
        money = one_booking_money(tx, self.booking_id)
        _refuse_unless_owed(tx, money, self.amount_minor)
        wanted = max(0, money.deposit_asked - money.held) if self.only_deposit else money.balance.to_pay
        amount = self.amount_minor or min(wanted, money.balance.to_pay)
        if not amount:
            what = "has nothing left to pay" if not money.balance.to_pay else "has no deposit left to pay"
            raise ConflictError(
                f"{ref('booking', self.booking_id)} {what}.",
                hint="Give the sum if more was paid.",
                field="amount_minor",
            )
        payer_id = self.payer_id or money.payer_id
        # Who has booked may pay what is owed, retired since or not.
        own = payer_id == money.payer_id
        payer = found(tx, "person", payer_id) if own else in_use(tx, "person", payer_id, field="payer_id")
        payment_id = tx.insert(
            "payment",
            {
                "booking_id": self.booking_id,
                "payer_id": payer_id,
                "day": _past_day(tx, self.day).isoformat(),
                "amount_minor": amount,
                "method": self.method,
                "reference": self.reference,
                "created_at": tx.now_text,
            },
        )
        state = raise_state(tx, self.booking_id)
        after = one_booking_money(tx, self.booking_id)
        currency = currency_of(tx)
        said = f"{text(payer, 'name')} paid {currency.show(amount)} for {ref('booking', self.booking_id)}"
        return _outcome(
            after,
            amount,
            summary=f"{ref('payment', payment_id)} of {currency.show(amount)} for {ref('booking', self.booking_id)}",
            said=f"{said}{_standing(tx, after)}.",
            payment_id=payment_id,
            state=state,
        )


class MarkBounced(Request[MoneyKept]):
    """Say that a payment did not come after all (a cheque sent back, a card charge reversed), or take that back."""

    payment_id: int
    back: bool = False

    def run(self, tx: Transaction) -> MoneyKept:
        row = found(tx, "payment", self.payment_id)
        if (row["bounced_at"] is None) == self.back:
            known = "counts" if self.back else "is marked so"
            raise ConflictError(f"{ref('payment', self.payment_id)} {known} already.", hint="Look at the ledger.")
        tx.update("payment", self.payment_id, {"bounced_at": None if self.back else tx.now_text})
        after = one_booking_money(tx, number(row, "booking_id"))
        word = "counts again" if self.back else "did not come"
        return _outcome(
            after,
            number(row, "amount_minor"),
            summary=f"{ref('payment', self.payment_id)} {word}",
            said=f"{ref('payment', self.payment_id)} of {currency_of(tx).show(number(row, 'amount_minor'))}"
            f" {word}{_standing(tx, after)}.",
            payment_id=self.payment_id,
        )


class SettleByTerms(Request[MoneyKept]):
    """Decide what becomes of the money of heads that an outside file took away: by the terms, on a day of notice.

    noticed_on: the day on which they said so; None is today. Giving it back is an entry of its own.
    Raises ConflictError where nothing waits to be decided.
    """

    booking_id: int
    noticed_on: dt.date | None = None

    def run(self, tx: Transaction) -> MoneyKept:
        booking = found(tx, "booking", self.booking_id)
        money = one_booking_money(tx, self.booking_id)
        name = ref("booking", self.booking_id)
        if not money.undecided:
            raise ConflictError(f"Nothing of {name} waits to be decided.", hint="Look at what is owed.")
        noticed_on = _past_day(tx, self.noticed_on)
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        shared = settle_by_terms(tx, money, class_date, noticed_on)
        after = one_booking_money(tx, self.booking_id)
        return _outcome(
            after,
            shared.back + shared.credit,
            summary=f"{name} is settled by its terms",
            said=f"{name}, noticed on {show_day(noticed_on, year=True)}:"
            f"{giving_back_says(tx, shared) or ' nothing was held.'}",
            warnings=(CAUTION,) if shared.kept else (),
            state=after.state,
        )


class GiveRefund(Request[MoneyKept]):
    """Keep that money was given back for a booking.

    amount_minor: None gives all that is owed back. past_terms: True gives more than the terms say, up to all held.
    Raises ConflictError where nothing, or less, is owed or held.
    """

    booking_id: int
    amount_minor: Amount | None = None
    method: Method = METHODS[0]
    reference: Annotated[str, Field(max_length=120)] = ""
    day: dt.date | None = None
    past_terms: bool = False

    def run(self, tx: Transaction) -> MoneyKept:
        found(tx, "booking", self.booking_id)
        money = one_booking_money(tx, self.booking_id)
        amount = self.amount_minor or money.balance.to_give_back
        waived = _check_out(tx, money, amount, past_terms=self.past_terms)
        tx.insert(
            "refund",
            {
                "booking_id": self.booking_id,
                "day": _past_day(tx, self.day).isoformat(),
                "amount_minor": amount,
                "waived_minor": waived,
                "method": self.method,
                "reference": self.reference,
                "created_at": tx.now_text,
            },
        )
        after = one_booking_money(tx, self.booking_id)
        shown = currency_of(tx).show(amount)
        return _outcome(
            after,
            amount,
            summary=f"Gave back {shown} for {ref('booking', self.booking_id)}",
            said=f"{shown} went back to {money.payer} for {ref('booking', self.booking_id)}{_standing(tx, after)}.",
            warnings=(CAUTION,) if waived or after.balance.sums.kept else (),
        )


class GiveCredit(Request[MoneyKept]):
    """Keep what is owed for a booking as credit of its payer, to be used until a day.

    amount_minor: None gives all that the terms say goes as credit, else all that is owed back.
    ends_on: its last day; None counts the studio's days from today.
    """

    booking_id: int
    amount_minor: Amount | None = None
    ends_on: dt.date | None = None
    past_terms: bool = False

    def run(self, tx: Transaction) -> MoneyKept:
        found(tx, "booking", self.booking_id)
        money = one_booking_money(tx, self.booking_id)
        amount = self.amount_minor or money.balance.to_credit or money.balance.over
        waived = _check_out(tx, money, amount, past_terms=self.past_terms)
        today = tx.today()
        ends_on = self.ends_on or today + dt.timedelta(days=int(tx.value("SELECT credit_days FROM studio")))
        if ends_on < today:
            raise InvalidError("A credit ends today or later.", hint="Give its last day.", field="ends_on")
        credit_id = tx.insert(
            "credit",
            {
                "person_id": money.payer_id,
                "booking_id": self.booking_id,
                "day": today.isoformat(),
                "ends_on": ends_on.isoformat(),
                "amount_minor": amount,
                "waived_minor": waived,
                "created_at": tx.now_text,
            },
        )
        after = one_booking_money(tx, self.booking_id)
        shown = currency_of(tx).show(amount)
        return _outcome(
            after,
            amount,
            summary=f"{ref('credit', credit_id)} of {shown} for {ref('booking', self.booking_id)}",
            said=f"{money.payer} has a credit of {shown} ({ref('credit', credit_id)}) to the end of"
            f" {show_day(ends_on, year=True)}.",
            credit_id=credit_id,
        )


class UseCredit(Request[MoneyKept]):
    """Pay a booking with a credit. amount_minor: None takes as much as is left of it and to pay.

    Raises ConflictError for a credit that is used up or over, or for more than is to pay: what is paid past that
    would go back in money.
    """

    credit_id: int
    booking_id: int
    amount_minor: Amount | None = None

    def run(self, tx: Transaction) -> MoneyKept:
        credit = found(tx, "credit", self.credit_id)
        found(tx, "booking", self.booking_id)
        money = one_booking_money(tx, self.booking_id)
        _refuse_unless_owed(tx, money, self.amount_minor)
        ends_on = dt.date.fromisoformat(text(credit, "ends_on"))
        if tx.today() > ends_on:
            raise ConflictError(
                f"{ref('credit', self.credit_id)} ended on {show_day(ends_on, year=True)}.",
                hint="Give a new one if you will.",
                field="credit_id",
            )
        used = tx.value("SELECT coalesce(sum(amount_minor), 0) FROM credit_use WHERE credit_id = ?", (self.credit_id,))
        left = number(credit, "amount_minor") - int(used)
        amount = self.amount_minor or min(left, money.balance.to_pay)
        currency = currency_of(tx)
        if not amount or amount > min(left, money.balance.to_pay):
            raise ConflictError(
                f"{ref('credit', self.credit_id)} has {currency.show(left)} left and"
                f" {ref('booking', self.booking_id)} has {currency.show(money.balance.to_pay)} to pay.",
                hint="Give a smaller sum, or another booking.",
                field="amount_minor",
            )
        tx.insert(
            "credit_use",
            {
                "credit_id": self.credit_id,
                "booking_id": self.booking_id,
                "day": tx.today().isoformat(),
                "amount_minor": amount,
                "created_at": tx.now_text,
            },
        )
        state = raise_state(tx, self.booking_id)
        after = one_booking_money(tx, self.booking_id)
        return _outcome(
            after,
            amount,
            summary=f"{currency.show(amount)} of {ref('credit', self.credit_id)} for {ref('booking', self.booking_id)}",
            said=f"{currency.show(amount)} of {ref('credit', self.credit_id)} is used{_standing(tx, after)};"
            f" {currency.show(left - amount)} of it is left.",
            credit_id=self.credit_id,
            state=state,
        )


def raise_state(tx: Transaction, booking_id: int) -> str:
    """Bring a held or deposit booking to what has been paid: in full it is confirmed, in part a deposit."""
    money = one_booking_money(tx, booking_id)
    state = money.state
    if state in ("held", "deposit") and money.held > 0:
        state = "confirmed" if not money.balance.to_pay else "deposit"
        tx.update("booking", booking_id, {"state": state, "lapses_at": None})
    return state


def _refuse_unless_owed(tx: Transaction, money: BookingMoney, amount: int | None) -> None:
    """Raise where a booking has no seat to pay for, and owes nothing, or less, from before."""
    if money.takes_seats and money.state != "offered" and not money.called_off:
        return
    state = "on a class that was called off" if money.called_off else money.state
    owed = money.balance.to_pay
    if not owed:
        raise ConflictError(
            f"{ref('booking', money.id)} is {state}; it is not paid for.",
            hint="Give it a seat first, or name the booking that is meant.",
            field="booking_id",
        )
    if amount is not None and amount > owed:
        raise ConflictError(
            f"{ref('booking', money.id)} is {state}; it owes {currency_of(tx).show(owed)} and no more.",
            hint="Give that much at most.",
            field="amount_minor",
        )


def _past_day(tx: Transaction, day: dt.date | None) -> dt.date:
    today = tx.today()
    if day is not None and day > today:
        raise InvalidError("Money is kept once it has moved.", hint="Give today or an earlier day.", field="day")
    return day or today


def _check_out(tx: Transaction, money: BookingMoney, amount: int, *, past_terms: bool) -> int:
    """What of `amount` goes past the terms; raises ConflictError when it may not, or is more than is held."""
    show = currency_of(tx).show
    name = ref("booking", money.id)
    if not amount:
        raise ConflictError(
            f"Nothing is owed back for {name}.",
            hint="Say that it goes past the terms if it is a favour.",
            field="amount_minor",
        )
    if amount > money.held:
        raise ConflictError(
            f"Only {show(max(0, money.held))} is held for {name}.",
            hint="Give back that much at most.",
            field="amount_minor",
        )
    waived = max(0, amount - money.balance.over)
    if waived and not past_terms:
        raise ConflictError(
            f"The terms of {name} give back {show(money.balance.over)}, not {show(amount)}.",
            hint="Give that much, or say that it goes past the terms.",
            field="past_terms",
        )
    return waived


def _standing(tx: Transaction, money: BookingMoney) -> str:
    """How a booking stands, to end a sentence with."""
    show = currency_of(tx).show
    if money.balance.to_pay:
        return f"; {show(money.balance.to_pay)} is still to pay"
    if money.balance.over:
        return f"; {show(money.balance.over)} is to be given back"
    return "; all is settled"


def _outcome(money: BookingMoney, amount: int, *, summary: str, said: str, **also: object) -> MoneyKept:
    return MoneyKept(
        summary=summary,
        said=said,
        booking_id=money.id,
        amount_minor=amount,
        to_pay_minor=money.balance.to_pay,
        to_give_back_minor=money.balance.to_give_back,
        to_credit_minor=money.balance.to_credit,
        **also,  # type: ignore[arg-type]  # named at each call
    )

"""Nothing appears or vanishes: any sequence of actions against a second, simpler model of the rules.

The model knows no store: it keeps heads, sums and states in plain dicts and a cash box, and works tiers out anew.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.newcomers import BookNewcomer
from scheduling.commands.offers import AcceptOffer, OfferSeats, RefuseOffer, SettleLapsed
from scheduling.commands.parties import AddCharge
from scheduling.commands.payments import GiveCredit, GiveRefund, TakePayment, UseCredit
from scheduling.commands.people import AddPerson
from scheduling.commands.transfers import AnswerAgain, TransferBooking
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import SchedulingError
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.queries.roster import SeatsOf
from tests.support.book_studio import BookStudio

CLASS_DAYS = ("2027-01-10", "2027-01-15", "2027-01-26")
SEATS, FEE = 4, (7201, 5000, 6001)
WEIGHTS = {"book": 4, "pay": 3, "use": 2, "offer": 2, "answer": 2}
ONCE = (
    "refund", "credit", "cancel", "head", "transfer", "accept", "refuse", "settle", "favour", "off", "day",
    "charge", "move",
)  # fmt: skip
ACTIONS = [*(action for action, weight in WEIGHTS.items() for _ in range(weight)), *ONCE]


@dataclass
class Account:
    """One booking as the model sees it; asked: for each head, in order, whether it is asked again."""

    class_at: int
    heads: int
    state: str
    held: int = 0
    kept: int = 0
    charged: int = 0
    promised: int = 0
    called_off: bool = False
    asked: list[bool] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.asked = [False] * self.heads

    @property
    def due(self) -> int:
        costs = self.state in ("held", "deposit", "confirmed") and not self.called_off
        return max(0, (self.heads * FEE[self.class_at] if costs else 0) + self.kept + self.charged)


@dataclass
class Model:
    """The cash box, credits and accounts; `day` counts from 4 January."""

    box: int = 0
    credits: dict[int, int] = field(default_factory=dict)
    accounts: dict[int, Account] = field(default_factory=dict)

    def leave(self, account: Account, heads: int, days: int) -> None:
        """Heads leave on notice so many days before: full to 14, half to 7, credit to 2, then nothing.

        Of heads that all leave nothing but the state is changed; of some the last ones go.
        """
        fee = FEE[account.class_at]
        counted = account.state in ("held", "deposit", "confirmed")
        before = account.heads * fee if counted else 0
        after = (account.heads - heads) * fee if counted else 0
        base = max(0, min(account.held - account.kept - account.charged, before) - after)
        if days >= 14:
            kept, credit = 0, 0
        elif days >= 7:
            kept, credit = base // 2, 0
        elif days >= 2:
            kept, credit = 0, base
        else:
            kept, credit = base, 0
        account.kept += kept
        account.promised += credit
        if heads == account.heads:
            account.state = "cancelled"
        else:
            account.heads -= heads
            del account.asked[account.heads :]


class Pair:
    """The studio and the model side by side; `act` does one action in both, or finds it refused and does neither."""

    def __init__(self) -> None:
        self.book = BookStudio()
        self.model = Model()
        self.classes = [
            self.book.class_date(day, seats=SEATS, fee=fee) for day, fee in zip(CLASS_DAYS, FEE, strict=True)
        ]
        self.people = 0
        self.today = dt.date(2027, 1, 4)
        self.off: set[int] = set()

    def act(self, action: str, pick: int, size: int) -> None:
        accounts = self.model.accounts
        if action == "day":
            self.today += dt.timedelta(days=1 + size % 3)
            self.book.on(f"{self.today}T12:00")
            return
        if action == "book":
            self._book(pick % 3, 1 + size % 3)
            return
        if action == "off":
            self._call_off(pick % 3)
            return
        if action == "move":
            self._move(pick % 3, size)
            return
        if action in ("offer", "settle"):
            self._waitlist(action, pick % 3)
            return
        fitting = [booking for booking in sorted(accounts) if self._suits(action, accounts[booking])]
        chosen = fitting if fitting and size % 4 else sorted(accounts)
        if chosen:
            booking = chosen[pick % len(chosen)]
            getattr(self, f"_{action}")(booking, accounts[booking], size)

    @staticmethod
    def _suits(action: str, account: Account) -> bool:
        """Whether an action is likely to be possible; one time in four it is tried on any booking all the same."""
        over = account.held - account.due
        return {
            "accept": account.state == "offered",
            "refuse": account.state == "offered",
            "refund": over > 0,
            "credit": over > 0,
            "favour": account.held > 0,
            "answer": any(account.asked) and account.state in ("held", "deposit", "confirmed", "offered"),
            "use": account.state in ("held", "deposit", "confirmed") and over < 0,
        }.get(action, account.state in ("held", "deposit", "confirmed"))

    def tried(self, command: Any, *, may_do_nothing: bool = False) -> Any:
        """The outcome, once it has been taken back and made again; None where it is refused."""
        before = self.picture()
        try:
            outcome = self.book.do(command)
        except SchedulingError:
            assert self.picture() == before
            return None
        after = self.picture()
        if may_do_nothing and not outcome.history_id:
            return outcome
        self.book.do(Undo(history_id=outcome.history_id))
        assert self.picture() == before
        self.book.do(Redo())
        assert self.picture() == after
        return outcome

    def picture(self) -> list[tuple[Any, ...]]:
        """Every booking's state and money."""
        found = []
        for class_date in self.classes:
            for one in self.book.studio.ask(ClassMoney(class_date)).bookings:
                balance = one.balance
                found.append((one.id, one.state, one.heads, one.held, balance.due, balance.to_pay, balance.over))
        return sorted(found)

    def _book(self, at: int, heads: int) -> None:
        self.people += 1
        state, others = "held" if self.people % 2 else "confirmed", (None,) * (heads - 1)
        new = AddPerson(name=f"P{self.people}")
        if self.people % 3:
            person = self.book.do(new).person_id
            command: Any = Book(class_date_id=self.classes[at], payer_id=person, people=(person, *others), state=state)
        else:
            command = BookNewcomer(person=new, class_date_id=self.classes[at], others=others, state=state)
        made = self.tried(command)
        if made is not None:
            self.model.accounts[made.booking_id] = Account(at, heads, made.state)

    def _pay(self, booking: int, account: Account, size: int) -> None:
        amount = (None, 1000, 9999)[size % 3]
        done = self.tried(TakePayment(booking_id=booking, amount_minor=amount))
        if done is not None:
            paid = amount or max(0, account.due - account.held)
            self.model.box += paid
            account.held += paid
            self._raise_state(account)

    def _raise_state(self, account: Account) -> None:
        if account.state in ("held", "deposit") and account.held > 0:
            account.state = "confirmed" if account.held >= account.due else "deposit"

    def _refund(self, booking: int, account: Account, size: int) -> None:
        over = max(0, account.held - account.due)
        credit = min(over, account.promised)
        if self.tried(GiveRefund(booking_id=booking)) is not None:
            account.held -= over - credit
            self.model.box -= over - credit
            assert over - credit > 0

    def _favour(self, booking: int, account: Account, size: int) -> None:
        over = max(0, account.held - account.due)
        amount = 1 + size * 500
        if self.tried(GiveRefund(booking_id=booking, amount_minor=amount, past_terms=True)) is not None:
            assert amount <= account.held
            account.held -= amount
            account.kept -= max(0, amount - over)
            self.model.box -= amount

    def _credit(self, booking: int, account: Account, size: int) -> None:
        over = max(0, account.held - account.due)
        amount = min(over, account.promised) or over
        done = self.tried(GiveCredit(booking_id=booking))
        if done is not None:
            account.held -= amount
            account.promised = max(0, account.promised - amount)
            self.model.credits[done.credit_id] = amount

    def _use(self, booking: int, account: Account, size: int) -> None:
        if not self.model.credits:
            return
        credit = sorted(self.model.credits)[size % len(self.model.credits)]
        amount = min(self.model.credits[credit], max(0, account.due - account.held))
        if self.tried(UseCredit(credit_id=credit, booking_id=booking)) is not None:
            account.held += amount
            self.model.credits[credit] -= amount
            self._raise_state(account)

    def _cancel(self, booking: int, account: Account, size: int) -> None:
        if self.tried(CancelBooking(booking_id=booking)) is not None:
            if all(account.asked):
                self._left_with_all(account, list(range(account.heads)))
            else:
                self._left(account, account.heads)

    def _head(self, booking: int, account: Account, size: int) -> None:
        seats = self.book.studio.ask(SeatsOf(booking))
        if len(seats) > 1 and self.tried(CancelBooking(booking_id=booking, seat_ids=(seats[-1].seat_id,))) is not None:
            if account.asked[-1]:
                self._left_with_all(account, [account.heads - 1])
            else:
                self._left(account, 1)

    def _left(self, account: Account, heads: int) -> None:
        days = (dt.date.fromisoformat(CLASS_DAYS[account.class_at]) - self.today).days
        if account.called_off:
            if heads == account.heads:
                account.state = "cancelled"
            else:
                account.heads -= heads
                del account.asked[account.heads :]
        else:
            self.model.leave(account, heads, days)

    def _transfer(self, booking: int, account: Account, size: int) -> None:
        at = (account.class_at + 1 + size % 2) % 3
        done = self.tried(TransferBooking(booking_id=booking, class_date_id=self.classes[at], over_the_list=True))
        if done is not None:
            carried = max(0, account.held - max(0, account.kept + account.charged))
            new = Account(at, account.heads, account.state, held=carried)
            account.held -= carried
            account.state = "transferred"
            self.model.accounts[done.booking_id] = new

    def _charge(self, booking: int, account: Account, size: int) -> None:
        command = AddCharge(booking_id=booking, what=f"extra {size}", amount_minor=100 * size + 1)
        if self.tried(command) is not None:
            account.charged += 100 * size + 1

    def _move(self, at: int, size: int) -> None:
        """To another hour of its day: every head with a seat, or an offer of one, is asked."""
        starts = dt.datetime.fromisoformat(f"{CLASS_DAYS[at]}T{12 + size:02}:00")
        spans = ((starts, starts + dt.timedelta(hours=1)),)
        done = self.tried(MoveClassDate(class_date_id=self.classes[at], sessions=spans), may_do_nothing=True)
        if done is None or not done.history_id:
            return
        for account in self.model.accounts.values():
            if account.class_at == at and account.state in ("held", "deposit", "confirmed", "offered"):
                account.asked = [True] * account.heads

    def _answer(self, booking: int, account: Account, size: int) -> None:
        """The last head that is asked answers, or all that are; who leaves after a move gets all of theirs back."""
        seats = [seat.seat_id for seat in self.book.studio.ask(SeatsOf(booking))]
        answer, alone = ("stays", "leaves")[size % 2], size % 3 > 0
        who = [n for n, asked in enumerate(account.asked) if asked and n < len(seats)]
        chosen = who[-1:] if alone else who
        named = tuple(seats[n] for n in chosen) if alone else ()
        if self.tried(AnswerAgain(booking_id=booking, answer=answer, seat_ids=named)) is None:
            return
        assert chosen, "only who is asked answers"
        for n in chosen:
            account.asked[n] = False
        if answer == "leaves":
            self._left_with_all(account, chosen)

    @staticmethod
    def _left_with_all(account: Account, chosen: list[int]) -> None:
        """Heads asked after a move leave: all of theirs goes back."""
        if len(chosen) == account.heads:
            counts = account.state in ("held", "deposit", "confirmed", "offered") or account.held > 0
            account.state = "cancelled"
            account.called_off = account.called_off or counts
        else:
            account.heads -= len(chosen)
            account.asked = [asked for n, asked in enumerate(account.asked) if n not in chosen]

    def _accept(self, booking: int, account: Account, size: int) -> None:
        if self.tried(AcceptOffer(booking_id=booking)) is not None:
            account.state = "confirmed"

    def _refuse(self, booking: int, account: Account, size: int) -> None:
        done = self.tried(RefuseOffer(booking_id=booking))
        if done is not None:
            account.state = "cancelled"
            self._offered(done.offered)

    def _waitlist(self, action: str, at: int) -> None:
        if action == "offer":
            done = self.tried(OfferSeats(class_date_id=self.classes[at]))
        else:
            done = self.tried(SettleLapsed())
        if done is None:
            return
        if action == "settle":
            for booking in done.offers:
                self.model.accounts[booking].state = "waitlist"
            for booking in done.holds:
                self._left(self.model.accounts[booking], self.model.accounts[booking].heads)
        self._offered(done.offered)

    def _offered(self, bookings: tuple[int, ...]) -> None:
        for booking in bookings:
            assert self.model.accounts[booking].state == "waitlist"
            self.model.accounts[booking].state = "offered"

    def _call_off(self, at: int) -> None:
        if self.people % 5 or at in self.off:
            return
        if self.tried(Decide(class_date_id=self.classes[at], choice="call off")) is not None:
            self.off.add(at)
            for account in self.model.accounts.values():
                if account.class_at == at and account.state in ("held", "deposit", "confirmed", "offered"):
                    account.called_off = True
                if account.class_at == at and account.state in ("waitlist", "enquiry") and account.held:
                    account.called_off = True

    def check(self) -> None:
        picture = {row[0]: row for row in self.picture()}
        assert picture.keys() == self.model.accounts.keys()
        for booking, account in self.model.accounts.items():
            _, state, heads, held, due, to_pay, over = picture[booking]
            assert (state, held, due) == (account.state, account.held, account.due), (booking, account)
            if state not in ("cancelled", "transferred"):
                assert heads == account.heads
            assert to_pay == max(0, due - held)
            assert over == max(0, held - due)
        page = self.book.studio.ask(Owed())
        assert {one.id: one.balance.to_pay for one in page.to_pay} == {
            n: row[5] for n, row in picture.items() if row[5]
        }
        assert {one.id: one.balance.over for one in page.to_give_back} == {
            n: row[6] for n, row in picture.items() if row[6]
        }
        credits_left = sum(one.left for one in page.credits)
        assert credits_left == sum(self.model.credits.values())
        assert sum(row[3] for row in picture.values()) + credits_left == self.model.box
        for class_date in self.classes:
            taken = sum(one.heads for one in self.book.studio.ask(ClassMoney(class_date)).bookings if one.takes_seats)
            assert taken <= SEATS


@given(st.lists(st.tuples(st.sampled_from(ACTIONS), st.integers(0, 11), st.integers(0, 11)), max_size=22))
def test_any_sequence_of_actions_keeps_every_sum_and_seat(actions: list[tuple[str, int, int]]) -> None:
    pair = Pair()
    for action in actions:
        pair.act(*action)
        pair.check()

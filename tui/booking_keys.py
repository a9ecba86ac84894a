"""The keys that change a booking as such: its heads, a party's final count, charges, cancelling, its receipt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from scheduling import commands
from scheduling.amounts import read_count
from scheduling.errors import SchedulingError
from scheduling.model.bookings import heads_text
from scheduling.queries.person_money import Receipt
from scheduling.queries.roster import SeatsOf
from scheduling.queries.settlement import Settlement, SettlementPage
from scheduling.words import read_minutes
from tui import checked, class_lines, money_lines
from tui.money_keys import MoneyKeys
from tui.widgets.ask import Answer, Ask
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome, Request

_OVER = "over_the_list"


class BookingKeys(MoneyKeys):
    """A page on which a booking can be changed, cancelled, and put on paper."""

    def open_receipt(self) -> None:
        """The receipt of the booking under the cursor."""
        booking_id = self.booking_here()
        if booking_id is None:
            self.says.note("There is no booking under the cursor: go to the one that the receipt is for.")
        else:
            self.kitwright.open_receipt(booking_id)

    # Cancelling

    def if_cancelled(self, booking_id: int, seat_ids: tuple[int, ...] = ()) -> str:
        """What the terms of a booking would give back now, without keeping anything."""
        try:
            (outcome,), _ = self.studio.suppose(
                [commands.CancelBooking(booking_id=booking_id, seat_ids=seat_ids)], Settlement(booking_id)
            )
        except SchedulingError:
            return "What is owed back goes by the terms kept with the booking."
        return f"If all of it is cancelled now: {outcome.said} Money moves only by R."

    def ask_cancel_booking(self, booking_id: int) -> None:
        """Cancel a booking whole, after saying what goes back."""
        page = self.studio.ask(Settlement(booking_id))

        def answered(answer: str | None) -> None:
            if answer == "all":
                self.perform(commands.CancelBooking(booking_id=booking_id))

        heads = heads_text(len(self.studio.ask(SeatsOf(booking_id))))
        answers = (
            Answer("stay", "Leave the booking as it is"),
            Answer("all", f"Cancel {page.ref} of {page.money.payer}, {heads}", is_grave=True),
        )
        question = f"Cancel {page.ref}, {class_lines.named(page.class_row)}?"
        self.app.push_screen(Ask(question, answers, details=self.if_cancelled(booking_id)), answered)

    # Heads and charges

    def ask_change_booking(self, booking_id: int, besides: Sequence[Answer] = ()) -> Ask:
        """The question what to change of a booking; `besides` stand first. Its answers go to `change_booking`."""
        page = self.studio.ask(Settlement(booking_id))
        answers = [*besides, Answer("heads", "How many heads come")]
        if page.class_row.private_party:
            answers.append(Answer("final", "The host's final count, charged from then on"))
        answers.append(Answer("charge", "Charge something besides the fee"))
        if self._charges(page):
            answers.append(Answer("drop", "Take a charge away again"))
        question = f"What changes of {page.ref} of {page.money.payer}, {class_lines.named(page.class_row)}?"
        return Ask(question, answers, details=money_lines.standing(page))

    def change_booking(self, booking_id: int, answer: str | None) -> None:
        """Do what was answered to `ask_change_booking`."""
        page = self.studio.ask(Settlement(booking_id))
        if answer in ("heads", "final"):
            self._ask_heads(page, is_final=answer == "final")
        elif answer == "charge":
            self._ask_charge(page)
        elif answer == "drop":
            self._ask_drop(page)

    def _ask_heads(self, page: SettlementPage, *, is_final: bool, typed: str = "") -> None:
        now = page.money.heads

        def command(values: Mapping[str, Any], *, over_the_list: bool = False) -> Request[Outcome]:
            heads = read_count(values["heads"], least=1, most=1000, field="heads").value
            make = commands.GiveFinalCount if is_final else commands.SetHeads
            wanted: Request[Outcome] = make(booking_id=page.money.id, heads=heads, over_the_list=over_the_list)
            return wanted

        def words(typed: str) -> str:
            """What it would come to, asked of the command itself."""
            outcomes, _ = self.studio.suppose(
                [command({"heads": typed}, over_the_list=True)], Settlement(page.money.id)
            )
            return outcomes[0].said

        def keep(values: Mapping[str, Any]) -> Outcome | str:
            try:
                return self.studio.do(command(values))
            except SchedulingError as error:
                if error.field != _OVER:
                    raise
                return f"{error.message} {values['heads']}"

        def kept(outcome: Outcome | str | None) -> None:
            if not isinstance(outcome, str):
                self.was_kept(outcome)
                return
            message, _, heads = outcome.rpartition(" ")
            self._ask_heads_over_the_list(message, command({"heads": heads}, over_the_list=True))

        form = Form(
            TextField(
                "heads", "Heads", value=typed or str(now), read=words, entry_cells=8,
                hint="all that come, with those who have no name yet",
            ),
            title=f"{'Final count' if is_final else 'Heads'} of {page.ref} of {page.money.payer}; {now} now",
            keep="Keep the count",
        )  # fmt: skip
        self.app.push_screen(FormSheet(form, keep, details=money_lines.terms(page)), kept)

    def _ask_heads_over_the_list(self, message: str, command: Request[Outcome]) -> None:
        def answered(answer: str | None) -> None:
            if answer == "over":
                self.perform(command)

        answers = (Answer("stay", "Keep to the list"), Answer("over", "Pass over the list", is_grave=True))
        self.app.push_screen(Ask(f"{message} Pass over the list?", answers), answered)

    def _ask_charge(self, page: SettlementPage) -> None:
        def keep(values: Mapping[str, Any]) -> Outcome:
            minutes = (
                read_minutes(values["overtime_minutes"], field="overtime_minutes").value
                if values["overtime_minutes"]
                else None
            )
            amount = money_lines.read_sum(values["amount_minor"], page.currency) if values["amount_minor"] else None
            charge: Request[Outcome] = commands.AddCharge(
                booking_id=page.money.id, what=values["what"], amount_minor=amount, overtime_minutes=minutes
            )
            return self.studio.do(charge)

        form = Form(
            TextField(
                "what", "What for", is_needed=False, hint="as it stands on the invoice; overtime has words of its own"
            ),
            TextField(
                "amount_minor", "Sum", is_needed=False, entry_cells=14,
                read=lambda typed: money_lines.shown_sum(typed, page.currency), hint=f"in {page.currency.code}",
            ),
            TextField(
                "overtime_minutes", "Or overtime", is_needed=False, read=checked.minutes, entry_cells=12,
                hint="such as 30 min, at the class's rate an hour",
            ),
            title=f"A charge for {page.ref} of {page.money.payer}",
        )  # fmt: skip
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def _charges(self, page: SettlementPage) -> list[tuple[str, int]]:
        return list(self.studio.ask(Receipt(page.money.id)).charges)

    def _ask_drop(self, page: SettlementPage) -> None:
        charges = self._charges(page)

        def answered(answer: str | None) -> None:
            if answer is not None and answer != "stay":
                self.perform(commands.DropCharge(booking_id=page.money.id, what=answer))

        answers = [Answer("stay", "Leave them as they are")]
        answers += [Answer(what, f"Take away: {what}, {page.currency.show(amount)}") for what, amount in charges]
        self.app.push_screen(Ask(f"Which charge of {page.ref} goes?", answers), answered)

"""The keys that move money and bookings, the same on every page that lists bookings."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import TYPE_CHECKING, Any

from scheduling import commands
from scheduling.errors import ConflictError, SchedulingError
from scheduling.model.balances import METHODS
from scheduling.queries.classes import Classes, ClassRow
from scheduling.queries.roster import SeatRow, SeatsOf
from scheduling.queries.settlement import Settlement, SettlementPage
from scheduling.words import read_day, show_day
from tui import class_lines, money_lines
from tui.cells import Column
from tui.class_keys import ClassKeys
from tui.money_lines import MoneyLines
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.lookup import Lookup
from tui.widgets.lookup_field import LookupField
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Row

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome

AS_CREDIT = "as credit"


class MoneyKeys(ClassKeys):
    """A page with bookings; `booking_here` says which one is under the cursor."""

    def booking_here(self) -> int | None:
        """The booking under the cursor, None where there is none."""
        raise NotImplementedError

    def seat_here(self) -> int | None:
        """The seat under the cursor, where the page shows single seats."""
        return None

    def _settlement(self) -> SettlementPage | None:
        """The money of the booking under the cursor; where there is none, says so and gives None."""
        booking_id = self.booking_here()
        if booking_id is None:
            self.says.note("There is no booking under the cursor.")
            return None
        return self.studio.ask(Settlement(booking_id))

    def _day(self, typed: str) -> Any:
        return read_day(typed, today=self.today, day_first=self.day_first, past=True, field="day")

    # Money in

    def action_pay(self) -> None:
        """Take a payment: all that is to pay stands there, a part or more can be typed; a credit is one of the ways."""
        page = self._settlement()
        if page is None:
            return
        ways = [Choice(method, method) for method in METHODS]
        ways += [Choice(one.id, money_lines.credit_words(one, page.currency)) for one in page.credits]
        form = Form(
            TextField(
                "amount_minor",
                "Sum",
                value=page.currency.show(page.money.balance.to_pay) if page.money.balance.to_pay else "",
                read=lambda typed: money_lines.shown_sum(typed, page.currency),
                hint=money_lines.pay_hint(page),
            ),
            ChoiceField("how", "How", ways, value=page.credits[0].id if page.credits else METHODS[0]),
            TextField("reference", "Reference", is_needed=False, hint="what the bank or the receipt names it by"),
            TextField(
                "day", "Came on", value=show_day(self.today, year=True), read=lambda typed: self._day(typed).shown
            ),
            LookupField(
                "payer_id",
                "Paid by",
                self._payers,
                value=Choice(page.money.payer_id, page.money.payer),
                hint="somebody else, where it is a gift",
            ),
            title=f"Payment for {page.ref} of {page.money.payer}, {class_lines.named(page.class_row)}",
            keep="Keep the payment",
        )

        def keep(values: Mapping[str, Any]) -> Outcome:
            amount = money_lines.read_sum(values["amount_minor"], page.currency)
            if isinstance(values["how"], int):
                return self.studio.do(
                    commands.UseCredit(credit_id=values["how"], booking_id=page.money.id, amount_minor=amount)
                )
            return self.studio.do(
                commands.TakePayment(
                    booking_id=page.money.id,
                    amount_minor=amount,
                    method=values["how"],
                    reference=values["reference"],
                    day=self._day(values["day"]).value,
                    payer_id=values["payer_id"],
                )
            )

        self.app.push_screen(FormSheet(form, keep, details=money_lines.standing(page)), self.was_kept)

    def _payers(self, typed: str) -> list[Choice]:
        rows, _total = self.kitwright.find_people(typed)
        return [Choice(person.id, f"{person.name}  {person.ref}") for person in rows[:20]]

    # Money back

    def action_refund(self) -> None:
        """Pay back what the terms say, in money or as credit; past the terms only when she says so."""
        page = self._settlement()
        if page is None:
            return
        balance = page.money.balance
        first = AS_CREDIT if balance.to_credit and not balance.to_give_back else METHODS[0]
        amount = balance.to_credit if first == AS_CREDIT else balance.to_give_back
        form = Form(
            TextField(
                "amount_minor",
                "Sum",
                value=page.currency.show(amount) if amount else "",
                read=lambda typed: money_lines.shown_sum(typed, page.currency),
                hint=f"at most {page.currency.show(max(0, page.money.held))}, which is held",
            ),
            ChoiceField("how", "How", [Choice(one, one) for one in (*METHODS, AS_CREDIT)], value=first),
            TextField("reference", "Reference", is_needed=False),
            TextField(
                "day",
                "Went on",
                value=show_day(self.today, year=True),
                read=lambda typed: self._day(typed).shown,
                hint="money only; a credit begins today",
            ),
            YesNoField("past_terms", "Past the terms", hint="yes gives more than they say, as a favour"),
            title=f"Money back for {page.ref} of {page.money.payer}, {class_lines.named(page.class_row)}",
            keep="Keep it",
        )

        def keep(values: Mapping[str, Any]) -> Outcome:
            entries = {
                "booking_id": page.money.id,
                "amount_minor": money_lines.read_sum(values["amount_minor"], page.currency),
                "past_terms": values["past_terms"],
            }
            if values["how"] == AS_CREDIT:
                return self.studio.do(commands.GiveCredit(**entries))
            return self.studio.do(
                commands.GiveRefund(
                    method=values["how"],
                    reference=values["reference"],
                    day=self._day(values["day"]).value,
                    **entries,
                )
            )

        self.app.push_screen(FormSheet(form, keep, details=money_lines.terms(page)), self.was_kept)

    # A booking to another person or date

    def action_transfer(self) -> None:
        """Ask which of the two, then to whom or when, then show what goes along before it is done."""
        page = self._settlement()
        if page is None:
            return
        seats = self.studio.ask(SeatsOf(page.money.id))
        here = next((one for one in seats if one.seat_id == self.seat_here()), seats[0] if len(seats) == 1 else None)

        def answered(answer: str | None) -> None:
            if answer == "date":
                self._to_date(page)
            elif answer == "person" and here is not None:
                self._to_person(page, here)
            elif answer == "person":
                self._pick_seat(page, seats)

        answers = [Answer("date", "To another class date"), Answer("person", "To another person")]
        question = f"Transfer {page.ref} of {page.money.payer}, {class_lines.named(page.class_row)}?"
        self.app.push_screen(Ask(question, answers, details=money_lines.standing(page)), answered)

    def _to_date(self, page: SettlementPage) -> None:
        coming = self.studio.ask(Classes("coming"))
        rows = [row for row in coming if row.id != page.money.class_date_id and row.state != "cancelled"]
        same_first = sorted(rows, key=lambda row: (row.project != page.class_row.project, row.starts.utc, row.id))

        def draw(row: ClassRow) -> Row:
            sign, tone = class_lines.mark(row)
            cells = (class_lines.named(row), class_lines.when(row, today=self.today), class_lines.seats(row, most=6))
            return Row(row.id, cells, sign, tone)

        def picked(answer: Picked | None) -> None:
            if answer is not None and isinstance(answer.row_id, int):
                self._show_and_do(
                    page, {"booking_id": page.money.id, "class_date_id": answer.row_id}, "TransferBooking"
                )

        picker: Picker[ClassRow] = Picker(
            f"To which date does {page.ref} go?",
            same_first,
            (Column("Class", least=14), Column("When", 22), Column("Seats", 23)),
            empty="No other class is to come. Press Esc, then n on page 2 to make one.",
            draw=draw,
            text_of=class_lines.findable,
        )
        self.app.push_screen(picker, picked)

    def _pick_seat(self, page: SettlementPage, seats: tuple[SeatRow, ...]) -> None:
        def picked(answer: Picked | None) -> None:
            if answer is not None:
                self._to_person(page, next(one for one in seats if one.seat_id == answer.row_id))

        rows = [Row(seat.seat_id, (seat.name or f"no name yet, with {page.money.payer}",)) for seat in seats]
        picker: Picker[Row] = Picker(
            f"Which seat of {page.ref} goes on?", rows, (Column("Seat", share=1, least=20),), empty="It has no seat."
        )
        self.app.push_screen(picker, picked)

    def _to_person(self, page: SettlementPage, seat: SeatRow) -> None:
        from tui import class_people

        def picked(answer: Picked | None) -> None:
            if answer is not None and isinstance(answer.row_id, int):
                self._show_and_do(page, {"seat_id": seat.seat_id, "person_id": answer.row_id}, "TransferSeat")

        who = seat.name or f"a guest of {page.money.payer}"
        lookup: Lookup[Any] = Lookup(
            f"Who takes the seat of {who}?",
            self.kitwright.find_people,
            class_people.NAME_COLUMNS,
            empty="Nobody is kept yet. Keep the attendee first, on page 3.",
            draw=class_people.name_row,
        )
        self.app.push_screen(lookup, picked)

    def _show_and_do(self, page: SettlementPage, entries: dict[str, Any], name: str) -> None:
        """Show what the command would say and warn of, then do it when she agrees."""
        command = getattr(commands, name)(**entries)
        try:
            (outcome,), _ = self.studio.suppose([command], Settlement(page.money.id))
        except ConflictError as error:
            if error.field == "over_the_list":
                self._ask_transfer_over_the_list(page, entries, name, error)
            else:
                self.says.refuse(error)
            return
        except SchedulingError as error:
            self.says.refuse(error)
            return

        def answered(answer: str | None) -> None:
            if answer == "do":
                self.perform(command)

        answers = (Answer("do", "Transfer it"), Answer("stay", "Leave it where it is"))
        about = "\n".join([outcome.said, *(f"Note: {warning}" for warning in outcome.warnings)])
        self.app.push_screen(Ask("This is what it would do", answers, details=about), answered)

    def _ask_transfer_over_the_list(
        self, page: SettlementPage, entries: dict[str, Any], name: str, error: SchedulingError
    ) -> None:
        def answered(answer: str | None) -> None:
            if answer == "over":
                self._show_and_do(page, {**entries, "over_the_list": True}, name)

        answers = (Answer("stay", "Keep to the list"), Answer("over", "Pass over the list", is_grave=True))
        self.app.push_screen(Ask(f"{error.message} Pass over the list?", answers), answered)

    # Where it stands

    def open_sum(self, lines: MoneyLines, here: Hashable | None) -> None:
        """The sum behind the figure under the cursor, line by line; else what is known about the row."""
        if here in lines.sums:
            title, figure = lines.sums[here]
            currency = self.kitwright.facts.currency
            about = "\n".join([*money_lines.figure_lines(figure, currency), f"= {currency.show(figure.amount)}"])
            self.app.push_screen(Ask(title, [Answer("back", "Back")], details=about))
        else:
            self.says.note(lines.about.get(here, "") or "This line stands for itself.")

    def class_here(self) -> int | None:
        """That of the booking under the cursor."""
        booking_id = self.booking_here()
        return None if booking_id is None else self.studio.ask(Settlement(booking_id)).money.class_date_id

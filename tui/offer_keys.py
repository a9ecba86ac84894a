"""The key that gives seats to those who wait: offers in join order, their answers, and what lapsed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from scheduling import commands
from scheduling.errors import SchedulingError
from scheduling.model.bookings import heads_text
from scheduling.queries.roster import RosterPage, RosterRow
from scheduling.queries.waitlist import PendingRow
from tui import class_people
from tui.screens.studio_page import StudioPage
from tui.widgets.ask import Answer, Ask


class OfferKeys(StudioPage):
    """A page with the roster of a class."""

    def give_seat(self, page: RosterPage, head: RosterRow | None, pending: Mapping[int, PendingRow]) -> None:
        """What g does: what lapsed is settled first; then the head under the cursor, else who waits longest."""
        if any(one.lapsed for one in pending.values()):
            self._ask_lapsed(page, head, pending)
            return
        offered = None if head is None else pending.get(head.booking_id)
        if offered is not None and offered.state == "offered":
            self._ask_answer(offered)
            return
        waiting = [*page.waiting, *page.asking]
        chosen = head if head is not None and head in waiting else next(iter(waiting), None)
        if chosen is None:
            self.says.note("Nobody is waiting for a seat on this class.")
        elif chosen in page.asking:
            self._settle(chosen)
        else:
            self._ask_offer(page, chosen)

    def _ask_lapsed(self, page: RosterPage, head: RosterRow | None, pending: Mapping[int, PendingRow]) -> None:
        lapsed = [one for one in pending.values() if one.lapsed]
        here = None if head is None else pending.get(head.booking_id)
        names = ", ".join(f"{one.payer} ({one.ref}, {one.state})" for one in lapsed)
        answers = [Answer("settle", "Settle what lapsed: the seats go on to who waits")]
        if here is not None and here.lapsed and here.state == "offered":
            answers.append(Answer("accept", f"{here.payer} takes the seat all the same"))

        def answered(answer: str | None) -> None:
            if answer == "settle":
                self.perform(commands.SettleLapsed(class_date_id=page.class_row.id))
            elif answer == "accept" and here is not None:
                self.perform(commands.AcceptOffer(booking_id=here.booking_id))

        self.app.push_screen(Ask("An offer or hold has lapsed", answers, details=f"Lapsed: {names}."), answered)

    def _ask_answer(self, offered: PendingRow) -> None:
        def answered(answer: str | None) -> None:
            if answer == "accept":
                self.perform(commands.AcceptOffer(booking_id=offered.booking_id))
            elif answer in ("refuse", "wait"):
                self.perform(commands.RefuseOffer(booking_id=offered.booking_id, stays_waiting=answer == "wait"))

        answers = (
            Answer("accept", f"{offered.payer} takes the seat"),
            Answer("refuse", "They do not come; offer it to the next"),
            Answer("wait", "Not this time; they wait on, at the end of the list"),
        )
        self.app.push_screen(
            Ask(f"What does {offered.payer} say?", answers, details=class_people.pending_says(offered)), answered
        )

    def _ask_offer(self, page: RosterPage, head: RosterRow) -> None:
        heads = sum(one.booking_id == head.booking_id for one in page.waiting)
        free = page.class_row.seats_left
        if free <= 0:
            self._settle(head)  # refused, with the reason
            return
        answers = [
            Answer("give", "They have said yes: give it to them"),
            Answer("offer", "Offer it, and wait for their answer"),
        ]
        if heads > free:
            answers = [Answer("split", f"Offer {free} of the {heads} seats they ask for; the rest keep their turn")]

        def answered(answer: str | None) -> None:
            if answer == "give":
                self._settle(head)
            elif answer in ("offer", "split"):
                self._offer(page, head, heads=free if answer == "split" else None)

        name = class_people.head_name(head)
        self.app.push_screen(
            Ask(f"A seat for {name}, {heads_text(heads)}?", answers, details=f"{heads_text(free)} of room."), answered
        )

    def _offer(
        self, page: RosterPage, head: RosterRow, *, heads: int | None = None, over_the_list: bool = False
    ) -> None:
        command = commands.OfferSeats(
            class_date_id=page.class_row.id, booking_id=head.booking_id, heads=heads, over_the_list=over_the_list
        )
        try:
            outcome = self.studio.do(command)
        except SchedulingError as error:
            if error.field != "over_the_list":
                self.says.refuse(error)
                return
            self._ask_over_the_list(head, error, lambda: self._offer(page, head, heads=heads, over_the_list=True))
            return
        self.was_kept(outcome)

    def _settle(self, head: RosterRow, *, over_the_list: bool = False) -> None:
        """Give the seat at once."""
        try:
            outcome = self.studio.do(commands.SettleBooking(booking_id=head.booking_id, over_the_list=over_the_list))
        except SchedulingError as error:
            if error.field != "over_the_list":
                self.says.refuse(error)
                return
            self._ask_over_the_list(head, error, lambda: self._settle(head, over_the_list=True))
            return
        self.was_kept(outcome)

    def _ask_over_the_list(self, head: RosterRow, error: SchedulingError, go_on: Callable[[], None]) -> None:
        def answered(answer: str | None) -> None:
            if answer == "over":
                go_on()

        answers = (
            Answer("stay", "Keep to the list"),
            Answer("over", f"Pass over the list for {class_people.head_name(head)}", is_grave=True),
        )
        self.app.push_screen(Ask(f"{error.message} Pass over the list?", answers), answered)

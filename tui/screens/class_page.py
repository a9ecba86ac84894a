"""One class date whole: facts and seats, roster and waitlist, prep, deadlines, kits, what to look at."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import Any

from textual.containers import Container
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.commands.bookings import CancelBooking, MarkSeat, NameSeat
from scheduling.commands.classes import MarkTaught
from scheduling.commands.decisions import Decide
from scheduling.commands.prep import TickTask
from scheduling.model.bookings import heads_text
from scheduling.model.refs import ref
from scheduling.queries.class_deadlines import ClassDeadlines
from scheduling.queries.classes import ClassDate, ClassRow
from scheduling.queries.plan import PlannedTask, PrepTasks
from scheduling.queries.roster import Roster, RosterPage, RosterRow
from scheduling.queries.settlement import ClassBalances
from scheduling.queries.waitlist import PendingRow, Waitlist
from tui import cells, class_facts, class_lines, class_people, money_lines
from tui.booking_keys import BookingKeys
from tui.calendar_files import CalendarFiles
from tui.class_questions import ask_cancel
from tui.keys import bindings
from tui.offer_keys import OfferKeys
from tui.prep_keys import PrepKeys
from tui.week_lines import class_about
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.lookup import Lookup
from tui.widgets.picker import Picked
from tui.widgets.rows import Rows


class ClassScreen(PrepKeys, BookingKeys, OfferKeys, CalendarFiles):
    """Two lists under the class's facts: its people, and its prep with its dates."""

    CSS_PATH = "class_page.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS = bindings(
        "book", "tick", "give_seat", "kits", "pay", "ledger", "refund", "transfer", "cancel", "log_minutes", "change",
        "move_date", "again", "new", "export", "why", "step_back", "lay", new="add task",
    )  # fmt: skip
    AUTO_FOCUS = "#people"
    title_words = "Class"

    def __init__(self, class_date_id: int) -> None:
        super().__init__()
        self.class_date_id = class_date_id
        self.title_words = ref("class_date", class_date_id)
        self._roster: RosterPage | None = None
        self._pending: dict[int, PendingRow] = {}
        self._heads: dict[Hashable, RosterRow] = {}
        self._tasks: dict[Hashable, PlannedTask] = {}
        self._about: dict[Hashable, str] = {}

    def body(self) -> Iterable[Widget]:
        yield Static("", id="facts")
        yield Container(
            Rows[Any](
                class_people.PEOPLE_COLUMNS, empty="Nobody is booked yet. Press b to book the first.", id="people"
            ),
            Rows[Any](class_facts.COLUMNS, empty="No prep is open. Press n to add a task of your own.", id="prep"),
            id="parts",
        )
        yield Aside()

    def reload(self) -> None:
        today, currency = self.today, self.kitwright.facts.currency
        entries = self.studio.ask(ClassDate(self.class_date_id))
        page = self.studio.ask(Roster(self.class_date_id))
        dates = self.studio.ask(ClassDeadlines(self.class_date_id))
        tasks = self.studio.ask(PrepTasks(self.class_date_id, with_closed=True))
        balances = self.studio.ask(ClassBalances(self.class_date_id))
        waitlist = self.studio.ask(Waitlist(self.class_date_id))
        self._pending = {one.booking_id: one for one in (*waitlist.lapsed, *waitlist.open)}
        self._roster = page
        self._heads = {("head", head.seat_id): head for head in (*page.seated, *page.waiting, *page.asking)}
        self._tasks = {("task", task.id): task for task in tasks}
        lines = class_facts.prep_lines(tasks, dates, page.warnings, today=today)
        self._about = lines.about | {
            key: class_people.head_about(
                head,
                money=money_lines.balance_words(balances[head.booking_id], currency)
                if head.booking_id in balances
                else "",
                pending=self._pending.get(head.booking_id),
            )
            for key, head in self._heads.items()
        }
        money = money_lines.class_words(balances.values(), currency)
        facts = class_facts.heading(entries, dates, currency=currency, today=today, money=money)
        self.query_one("#facts", Static).update(Content(cells.lines("\n".join(facts))))
        standing = {number: money_lines.balance_cell(money, currency) for number, money in balances.items()}
        self._people.show(class_people.people_rows(page, today=today, balances=standing, pending=self._pending))
        self._prep.show(lines.rows)
        self._say_about()

    # What is under the cursor

    @property
    def _people(self) -> Rows[Any]:
        return self.query_one("#people", Rows)

    @property
    def _prep(self) -> Rows[Any]:
        return self.query_one("#prep", Rows)

    @property
    def _class_row(self) -> ClassRow:
        return self.studio.ask(ClassDate(self.class_date_id)).row

    def _cursor(self) -> Hashable | None:
        return (self._prep if self._prep.has_focus else self._people).cursor_id

    def _head(self) -> RosterRow | None:
        return self._heads.get(self._cursor())

    def booking_here(self) -> int | None:
        head = self._head()
        return None if head is None else head.booking_id

    def seat_here(self) -> int | None:
        head = self._head()
        return None if head is None else head.seat_id

    def class_here(self) -> int | None:
        return self.class_date_id

    def task_here(self) -> PlannedTask | None:
        return self._tasks.get(self._cursor())

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._about.get(self._cursor(), ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_descendant_focus(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        head, task = self._head(), self.task_here()
        if head is not None:
            self.kitwright.open_person(head.person_id or head.payer_id)
        elif task is not None:
            self.kitwright.open_task(task.id)

    # Bookings

    def action_book(self) -> None:
        self.kitwright.book(self.class_date_id)

    def action_tick(self) -> None:
        """A task, a head (attended, no-show, not marked), or the class itself as taught."""
        head, task = self._head(), self.task_here()
        if head is not None:
            self._mark(head)
        elif task is not None:
            self.perform(TickTask(task_id=task.id, done=task.state != "completed"))
        else:
            self.perform(MarkTaught(class_date_id=self.class_date_id, back=self._class_row.taught))

    def _mark(self, head: RosterRow) -> None:
        row = self._class_row
        if row.starts.utc > self.studio.now:
            begins = class_lines.session_words(row.sessions[0], today=self.today)
            self.says.note(f"Heads are marked once the class has begun: {begins}.")
            return
        after = {"": "attended", "attended": "no-show", "no-show": ""}
        self.perform(MarkSeat(seat_id=head.seat_id, mark=after[head.mark]))

    def action_give_seat(self) -> None:
        """Settle what lapsed, answer for the offer under the cursor, or offer the seat on in join order."""
        page, head = self._roster, self._head()
        if page is not None:
            self.give_seat(page, head, self._pending)

    def action_cancel(self) -> None:
        """The booking under the cursor, the task under it, or the class."""
        head, task = self._head(), self.task_here()
        if head is not None:
            self._ask_cancel_booking(head)
        elif task is not None:
            self.drop_task(task)
        else:
            self._ask_cancel_class()

    def _ask_cancel_booking(self, head: RosterRow) -> None:
        seats = [one for one in self._heads.values() if one.booking_id == head.booking_id]
        name = class_people.head_name(head)
        answers = [Answer("stay", "Leave the booking as it is")]
        if len(seats) > 1:
            answers.append(Answer("one", f"Give up the seat of {name} only", is_grave=True))
        whole = f"Cancel {head.booking_ref} of {head.payer}, {heads_text(len(seats))}"
        answers += [
            Answer("all", whole, is_grave=True),
            Answer("class", "Call off the whole class; this asks again", is_grave=True),
        ]
        details = self.if_cancelled(head.booking_id)

        def answered(answer: str | None) -> None:
            if answer == "one":
                self.perform(CancelBooking(booking_id=head.booking_id, seat_ids=(head.seat_id,)))
            elif answer == "all":
                self.perform(CancelBooking(booking_id=head.booking_id))
            elif answer == "class":
                self._ask_cancel_class()

        self.app.push_screen(Ask(f"Cancel the booking of {name}?", answers, details=details), answered)

    def _ask_cancel_class(self) -> None:
        def answered(answer: str | None) -> None:
            if answer == "cancel":
                self.perform(Decide(class_date_id=self.class_date_id, choice="call off"))

        self.app.push_screen(ask_cancel(self._class_row, today=self.today), answered)

    # The class, its seats' names, its tasks

    def action_change(self) -> None:
        """What of the booking under the cursor: its names, heads, charges; the task under it; else the class."""
        head, task = self._head(), self.task_here()
        if head is not None:
            self._ask_change(head)
        elif task is not None:
            self.kitwright.open_task(task.id)
        else:
            self.kitwright.change_class(self.class_date_id)

    def _ask_change(self, head: RosterRow) -> None:
        def answered(answer: str | None) -> None:
            if answer == "name":
                self._ask_name(head)
            elif answer == "class":
                self.kitwright.change_class(self.class_date_id)
            else:
                self.change_booking(head.booking_id, answer)

        name = (Answer("name", f"Who takes the seat with {head.payer}"),) if head.person_id is None else ()
        besides = (*name, Answer("class", "The class itself: fee, seats, title"))
        self.app.push_screen(self.ask_change_booking(head.booking_id, besides), answered)

    def _ask_name(self, head: RosterRow) -> None:
        def picked(answer: Picked | None) -> None:
            if answer is not None and isinstance(answer.row_id, int):
                self.perform(NameSeat(seat_id=head.seat_id, person_id=answer.row_id))

        lookup: Lookup[Any] = Lookup(
            f"Who takes the seat booked by {head.payer}?",
            self.kitwright.find_people,
            class_people.NAME_COLUMNS,
            empty="Nobody is kept yet. Keep the attendee first, on page 3.",
            draw=class_people.name_row,
        )
        self.app.push_screen(lookup, picked)

    def action_move_date(self) -> None:
        self.kitwright.move_class(self.class_date_id)

    def action_again(self) -> None:
        self.kitwright.run_class_again(self.class_date_id)

    def action_new(self) -> None:
        self.add_task(self.class_date_id)

    def action_why(self) -> None:
        task = self.task_here()
        if task is not None:
            self.why_task(task)
        else:
            self.says.note(self.query_one(Aside).text or class_about(self._class_row, self.today))

"""The stock page: what is there, what is short, what to order and what is on its way; v chooses what it shows."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import TYPE_CHECKING, Any

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling import commands
from scheduling.queries.kit_shelves import Suppliers
from scheduling.queries.need_why import WhyNeed
from scheduling.queries.needs import ClassShortage, NeedRow
from scheduling.queries.order_proposals import Proposal, ProposedOrder
from scheduling.queries.orders import OrderRow, Orders
from scheduling.queries.reward_pages import RewardPage, RewardPages
from scheduling.queries.stock import Journal, Movement, StockRow
from scheduling.queries.stock_room import StockRoom, StockRoomPage, TakeNeeds
from scheduling.queries.supplier_rows import SupplierRow, SupplierRows
from tui import cells, order_forms, stock_forms, stock_lines, supply_lines
from tui.calendar_files import CalendarFiles
from tui.cells import Column
from tui.keys import bindings
from tui.lines_page import LinesPage
from tui.stock_lines import Lines
from tui.stock_views import VIEW, VIEWS
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.listing import Listing
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Cell, Row, Rows

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome

MOST_MOVEMENTS = 2_000
COUNTING = "Counting what the classes to come need..."
_VIEW_COLUMNS = (Column("", 10), Column("", share=1, least=20))


class StockScreen(LinesPage, CalendarFiles):
    """One list at a time. The needs and the proposed orders are worked out beside the page."""

    CSS_PATH = "prep.tcss"
    BINDINGS = bindings(
        "view", "new", "change", "give_seat", "take_in", "move_date", "cancel", "why", "export",
        give_seat="allot", take_in="take in", move_date="new day", cancel="retire",
    )  # fmt: skip
    AUTO_FOCUS = "#stock"
    title_words = "Stock"

    def __init__(self) -> None:
        super().__init__()
        self._view = "stock"
        self._room: StockRoomPage | None = None
        self._room_of = -1
        self._cursors: dict[str, Hashable | None] = {}

    def body(self) -> Iterable[Widget]:
        yield Static("", id="heading")
        yield Listing(Rows[Any](VIEW["stock"].columns, empty=COUNTING, id="stock"))
        yield Aside()

    def reload(self) -> None:
        if self._room is None or self._room_of != self.studio.revision or self._room.today != self.today:
            self.ask_beside(StockRoom())
        if self.studio.plans.may_wait:
            self._draw()

    def ask_beside_again(self) -> None:
        self.ask_beside(StockRoom())

    def take_answer(self, answer: Any, revision: int) -> None:
        self._room, self._room_of = answer, revision
        self.studio.ask(TakeNeeds(answer.needs, revision))
        self._draw()

    def show_view(self, view: str, row_id: Hashable | None = None) -> None:
        """Show another list, with the cursor on a row of it, or where it was there."""
        self._cursors[self._view] = self._rows.cursor_id
        self._view = view
        self._rows.narrow("")
        self._draw()
        cursor = row_id or self._cursors.get(view)
        if cursor is None or not self._rows.go_to(cursor):
            self._rows.action_first_row()
        self._say_about()

    def was_kept(self, outcome: Outcome | None) -> None:
        """After an order was placed or changed, the cursor is on it."""
        super().was_kept(outcome)
        number = getattr(outcome, "supply_order_id", None)
        if number is not None and self._view == "orders":
            self._rows.go_to(("order", number))

    # What is shown

    def _draw(self) -> None:
        view = VIEW[self._view]
        self._lines = self._lines_now()
        waits = self._room is None and self._view in ("stock", "needs", "orders", "materials")
        self._rows.take_columns(view.columns)
        self._rows.say_empty(COUNTING if waits else view.empty)
        self._rows.show(self._lines.rows)
        heading = f"    {view.name}{self._counted()}.  {view.keys}, v other lists."
        if self._room is not None and self._room_of != self.studio.revision:
            heading = f"    {view.name}: counting anew after the last change..."
        self.query_one("#heading", Static).update(Content(cells.lines(heading)))
        self._say_about()

    def _lines_now(self) -> Lines:
        ground, room = self._ground, self._room
        if self._view == "journal":
            return stock_lines.journal_lines(self.studio.ask(Journal(None, MOST_MOVEMENTS)), ground)
        if self._view == "suppliers":
            return supply_lines.supplier_lines(self.studio.ask(SupplierRows(with_retired=True)), ground)
        if self._view == "rewards":
            return supply_lines.reward_lines(self.studio.ask(RewardPages(with_retired=True)), ground)
        if self._view == "orders":
            proposals, stock = ((), ()) if room is None else (room.proposals, room.stock)
            return supply_lines.order_lines(proposals, self.studio.ask(Orders(with_closed=True)), stock, ground)
        if room is None:
            return Lines()
        if self._view == "needs":
            return stock_lines.need_lines(room.needs, ground)
        return (stock_lines.materials_of if self._view == "materials" else stock_lines.stock_lines)(room, ground)

    def _counted(self) -> str:
        room, show = self._room, self.kitwright.facts.currency.show
        if room is not None and self._view == "stock":
            return f", worth {show(sum(row.value for row in room.stock if not row.retired))}"
        if room is not None and self._view == "needs":
            return f": {show(sum(row.cost for row in room.needs))} to buy"
        if room is not None and self._view == "orders":
            number = sum(len(one.orders) for one in room.proposals)
            return f": {number} to place" if number else ""
        return ""

    # Keys

    def action_view(self) -> None:
        def picked(answer: Picked | None) -> None:
            if answer is not None and answer.row_id is not None:
                self.show_view(str(answer.row_id))

        picker: Picker[Row] = Picker(
            "What should this page show?",
            [Row(view.id, (view.name, Cell(view.about, "quiet"))) for view in VIEWS],
            _VIEW_COLUMNS,
            empty="There is no such list.",
            text_of=lambda row: str(row.id),
        )
        self.app.push_screen(picker, picked)

    def on_rows_opened(self) -> None:
        here = self._here
        if isinstance(here, StockRow):
            self.kitwright.open_material(here.material.id)
        elif isinstance(here, Movement):
            self.kitwright.open_material(here.material_id)
        elif isinstance(here, SupplierRow):
            self.kitwright.change_supplier(here.id)
        elif isinstance(here, RewardPage):
            order_forms.try_basket(self, here)
        elif isinstance(here, OrderRow):
            self.kitwright.open_order(here.id)
        elif self._proposed() is not None:
            self.action_new()
        else:
            self.action_why()

    def action_why(self) -> None:
        """The sum behind the number under the cursor."""
        material, one = self._need_here()
        if material is None:
            self.says.note(self.query_one(Aside).text or "There is nothing under the cursor to explain.")
            return
        sentences = self.studio.ask(WhyNeed(material.material.id, None if one is None else one.class_id))
        if one is None:
            title = f"Why {_many(material.need.packs, 'pack')} of {material.ref} {material.material.name}?"
        else:
            title = f"Why so much of {material.ref} {material.material.name} for {one.ref}?"
        details = "\n".join(f"{n}. {sentence}" for n, sentence in enumerate(sentences, 1))
        self.app.push_screen(Ask(title, (Answer("back", "Back"),), details=details))

    def _need_here(self) -> tuple[NeedRow | None, ClassShortage | None]:
        here = self._here
        if isinstance(here, tuple) and isinstance(here[0], NeedRow):
            return here[0], here[1]
        if isinstance(here, StockRow):
            return self._need_of(here.material.id), None
        cursor = self._rows.cursor_id
        if isinstance(cursor, tuple) and cursor[0] == "propose" and len(cursor) == 5:
            return self._need_of(cursor[3]), None
        return None, None

    def _need_of(self, material_id: int) -> NeedRow | None:
        needs = self._room.needs if self._room is not None else ()
        return next((row for row in needs if row.material.id == material_id), None)

    def _stock_here(self) -> StockRow | None:
        """The stock of the material under the cursor, whatever the list; where there is none, says so."""
        here = self._here
        if isinstance(here, StockRow):
            return here
        need, _ = self._need_here()
        number = here.material_id if isinstance(here, Movement) else need.material.id if need is not None else 0
        stock = self._room.stock if self._room is not None else ()
        found = next((row for row in stock if row.material.id == number), None)
        if found is None:
            self.says.note("There is no material under the cursor.")
        return found

    def action_change(self) -> None:
        """The count of a material; in the list of materials its entries; a supplier, a reward."""
        here = self._here
        if isinstance(here, SupplierRow):
            self.kitwright.change_supplier(here.id)
        elif isinstance(here, RewardPage):
            self.kitwright.change_reward(here.id)
        elif isinstance(here, StockRow) and self._view == "materials":
            self.kitwright.change_material(here.material.id)
        elif isinstance(here, OrderRow):
            self.action_move_date()
        elif (row := self._stock_here()) is not None:
            stock_forms.count_stock(self, row)

    def action_give_seat(self) -> None:
        """Keep stock for a class by hand; on a reward, add someone's sum."""
        if isinstance(self._here, RewardPage):
            order_forms.pool_sum(self, self._here)
        elif (row := self._stock_here()) is not None:
            _, one = self._need_here()
            number = None if one is None else one.class_id
            stock_forms.allot_stock(self, row, self._need_of(row.material.id), number)

    def action_new(self) -> None:
        """A new one of what the list shows; in the needs and orders an order, as it is proposed."""
        if self._view in ("stock", "materials"):
            self.kitwright.change_material(None)
        elif self._view == "suppliers":
            self.kitwright.change_supplier(None)
        elif self._view == "rewards":
            self.kitwright.change_reward(None)
        elif self._view == "journal":
            self.says.note(
                "Movements come from counting, cutting and taking in. Press c to count what is under the cursor."
            )
        else:
            self._place()

    def _place(self) -> None:
        proposed = self._proposed()
        need, _ = self._need_here()
        if proposed is not None:
            proposal, order = proposed
            packs: dict[int, int] = {}
            for line in order.lines:
                packs[line.material.id] = packs.get(line.material.id, 0) + line.packs
            self.kitwright.place_order(proposal.supplier.id, tuple(packs.items()))
        elif need is not None and need.supplier is not None:
            self.kitwright.place_order(need.supplier.id, self._wanted_of(need.supplier.id))
        else:
            self._ask_supplier()

    def _wanted_of(self, supplier_id: int) -> tuple[tuple[int, int], ...]:
        """What the first proposed order to a supplier holds."""
        proposals = self._room.proposals if self._room is not None else ()
        for proposal in proposals:
            if proposal.supplier.id == supplier_id and proposal.orders:
                return tuple((line.material.id, line.packs) for line in proposal.orders[0].lines)
        return ()

    def _ask_supplier(self) -> None:
        def picked(answer: Picked | None) -> None:
            if answer is not None and isinstance(answer.row_id, int):
                self.kitwright.place_order(answer.row_id, self._wanted_of(answer.row_id))

        rows = [Row(one.id, ("", one.name)) for one in self.studio.ask(Suppliers())]
        empty = "No suppliers yet. Press Esc, then v for the suppliers, then n."
        picker: Picker[Row] = Picker("Order from whom?", rows, (Column("", 1), Column("", share=1)), empty=empty)
        self.app.push_screen(picker, picked)

    def _proposed(self) -> tuple[Proposal, ProposedOrder] | None:
        """The proposed order under the cursor; on a sentence about one, the supplier's first."""
        here = self._here
        if isinstance(here, tuple) and isinstance(here[0], Proposal):
            return here[0], here[1]
        if isinstance(here, Proposal) and here.orders:
            return here, here.orders[0]
        return None

    def _order_here(self) -> OrderRow | None:
        if isinstance(self._here, OrderRow):
            return self._here
        self.says.note("There is no order on its way under the cursor. Press v for the orders.")
        return None

    def action_take_in(self) -> None:
        if (order := self._order_here()) is not None:
            order_forms.receive_order(self, order)

    def action_move_date(self) -> None:
        if (order := self._order_here()) is not None:
            order_forms.promise_order(self, order)

    def action_cancel(self) -> None:
        """Cancel the order under the cursor; retire a material, a supplier, a reward, or bring it back."""
        here = self._here
        if isinstance(here, OrderRow):
            order_forms.cancel_order(self, here)
        elif isinstance(here, StockRow):
            self._retire(
                here.material.name,
                commands.RetireMaterial(material_id=here.material.id, back=here.retired),
                back=here.retired,
                stays="Bills that name it stay as they are.",
            )
        elif isinstance(here, SupplierRow):
            self._retire(
                here.supplier.name,
                commands.RetireSupplier(supplier_id=here.id, back=here.retired),
                back=here.retired,
                stays="What was ordered there stays.",
            )
        elif isinstance(here, RewardPage):
            self._retire(
                here.reward.what,
                commands.RetireReward(reward_id=here.id, back=here.retired),
                back=here.retired,
                stays="Sums that were pooled stay with it.",
            )
        else:
            self.says.note("There is nothing under the cursor to cancel or retire.")

    def _retire(self, name: str, request: Any, *, back: bool, stays: str) -> None:
        if back:
            self.perform(request)
            return

        def answered(answer: str | None) -> None:
            if answer == "retire":
                self.perform(request)

        answers = (Answer("no", "Leave it in the lists"), Answer("retire", "Retire it"))
        details = f"{stays} Its list shows it last, and x brings it back."
        self.app.push_screen(Ask(f"Take {name} out of the lists?", answers, details=details), answered)


def _many(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"

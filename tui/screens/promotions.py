"""The promotions on bookings: made, changed, ended; what each cost and brought, whole and class by class."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import Any

from textual.widget import Widget

from scheduling.commands.promotions import EndPromotion
from scheduling.queries.promotions import HostReward, OnePromotion, PromotionAt, PromotionRow, Promotions
from tui import promotion_lines
from tui.keys import bindings
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.listing import Listing
from tui.widgets.rows import Rows


def ask_to_end(page: StudioPage, row: PromotionRow) -> None:
    """End a promotion after asking; one that has ended goes on again."""
    promotion = row.promotion
    if row.ended:
        page.perform(EndPromotion(promotion_id=promotion.id, back=True))
        return

    def answered(answer: str | None) -> None:
        if answer == "end":
            page.perform(EndPromotion(promotion_id=promotion.id))

    answers = (Answer("no", "Let it go on"), Answer("end", "End it now"))
    about = (
        f"{row.bookings} booked with it keep their price. What is still to be announced for it is dropped from the"
        " prep. v shows what has ended, x lets it go on again."
    )
    page.app.push_screen(Ask(f"End {promotion.name} ({row.ref})?", answers, details=about), answered)


class PromotionsScreen(StudioPage):
    """All of them in one list, with the hosts whose own place may be free; Enter shows one class by class."""

    BINDINGS = bindings("new", "change", "cancel", "view", "find", "why", "step_back", cancel="end")
    AUTO_FOCUS = "Rows"
    title_words = "Promotions"

    def __init__(self) -> None:
        super().__init__()
        self._with_ended = False
        self._things: dict[Hashable, PromotionRow | HostReward] = {}

    def body(self) -> Iterable[Widget]:
        empty = "No promotion is kept. Press n to make an early bird or a bundle."
        yield Listing(Rows[Any](promotion_lines.LIST_COLUMNS, empty=empty))
        yield Aside()

    def reload(self) -> None:
        page = self.studio.ask(Promotions())
        self._things = {("promotion", row.promotion.id): row for row in page.rows}
        self._things |= {("host", host.booking_id): host for host in page.hosts}
        self._rows.show(promotion_lines.list_rows(page.rows, page.hosts, page.currency, with_ended=self._with_ended))
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    def _here(self) -> PromotionRow | HostReward | None:
        return self._things.get(self._rows.cursor_id)

    def _say_about(self) -> None:
        here, currency = self._here(), self.kitwright.facts.currency
        if isinstance(here, HostReward):
            said = promotion_lines.host_about(here, currency)
        else:
            said = "" if here is None else promotion_lines.promotion_about(here, currency)
        self.query_one(Aside).show(said)

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        here = self._here()
        if isinstance(here, HostReward):
            self.kitwright.open_class(here.class_row.id)
        elif here is not None:
            self.kitwright.open_promotion(here.promotion.id)

    def action_new(self) -> None:
        self.kitwright.change_promotion(None)

    def action_change(self) -> None:
        here = self._here()
        if isinstance(here, PromotionRow):
            self.kitwright.change_promotion(here.promotion.id)
        elif here is not None:
            self.says.note("A host's terms are set with the money of the class; each booking keeps its own.")

    def action_cancel(self) -> None:
        here = self._here()
        if isinstance(here, PromotionRow):
            ask_to_end(self, here)
        else:
            self.says.note("There is no promotion under the cursor.")

    def action_view(self) -> None:
        self._with_ended = not self._with_ended
        self.reload()
        self.says.note("What has ended is shown too." if self._with_ended else "What has ended is left out.")

    def action_why(self) -> None:
        self.on_rows_opened()


class PromotionScreen(StudioPage):
    """One promotion, class by class; Enter opens the class."""

    BINDINGS = bindings("open", "change", "cancel", "why", "step_back", open="open class", cancel="end")
    AUTO_FOCUS = "Rows"

    def __init__(self, promotion_id: int) -> None:
        super().__init__()
        self._promotion_id = promotion_id
        self._row: PromotionRow | None = None
        self._at: dict[Hashable, PromotionAt] = {}

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](promotion_lines.ONE_COLUMNS, empty="It has no classes. Press c to name them.")
        yield Aside()

    def reload(self) -> None:
        row = self._row = self.studio.ask(OnePromotion(self._promotion_id))
        self._at = {("class", at.class_row.id): at for at in row.classes}
        self.title_words = f"{row.ref} {row.promotion.name}, {promotion_lines.standing(row)}"
        self.query_one(Rows).show(promotion_lines.class_sections(row, self.kitwright.facts.currency))
        self._say_about()

    def _say_about(self) -> None:
        at, currency = self._at.get(self.query_one(Rows).cursor_id), self.kitwright.facts.currency
        self.query_one(Aside).show("" if at is None else promotion_lines.class_about(at, currency))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self, event: Rows.Opened) -> None:
        self.kitwright.open_class(self._at[event.row_id].class_row.id)

    def action_change(self) -> None:
        self.kitwright.change_promotion(self._promotion_id)

    def action_cancel(self) -> None:
        if self._row is not None:
            ask_to_end(self, self._row)

    def action_why(self) -> None:
        self.says.note(self.query_one(Aside).text)

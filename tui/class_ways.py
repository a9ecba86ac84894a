"""The ways to classes, bookings and prep: each screen names the next one here, so that none needs to know another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    _Base = App[Any]
else:
    _Base = object


class ClassWays(_Base):
    """Mixed into the app, before App. Screens are imported where they are first opened, to keep the start short."""

    def open_class(self, class_date_id: int) -> None:
        from tui.screens.class_page import ClassScreen

        self.push_screen(ClassScreen(class_date_id))

    def open_kits(self, class_date_id: int) -> None:
        """The kits of a class: how many, their cut plans, steps and parcels."""
        from tui.screens.kits import KitsScreen

        self.push_screen(KitsScreen(class_date_id))

    def open_cut_plan(self, class_date_ids: tuple[int, ...], material_id: int) -> None:
        """How one material is cut for some classes, drawn, with its cuts in order."""
        from tui.screens.cut_plan import CutPlanScreen

        self.push_screen(CutPlanScreen(class_date_ids, material_id))

    def open_ledger(self, class_date_id: int) -> None:
        """What a class brings in and costs."""
        from tui.screens.ledger import LedgerScreen

        self.push_screen(LedgerScreen(class_date_id))

    def new_class(self) -> None:
        """Make a class date: its project and venue are asked for first."""
        from tui.screens.class_start import start_class

        start_class(self)

    def fill_in_class(self, project_id: int, venue_id: int) -> None:
        """The form of a new class date of a project at a venue."""
        from tui.screens.class_form import NewClassScreen

        self.push_screen(NewClassScreen(project_id, venue_id))

    def propose_series(self, wanted: object, rule: str, through: object) -> None:
        """The dates that a rule proposes for a class that was filled in; see screens/series.py."""
        from tui.screens.series import SeriesScreen

        self.push_screen(SeriesScreen(wanted, rule, through))

    def change_class(self, class_date_id: int) -> None:
        from tui.screens.class_form import ChangeClassScreen

        self.push_screen(ChangeClassScreen(class_date_id))

    def move_class(self, class_date_id: int) -> None:
        """Ask for other times of a class date."""
        from tui.screens.class_moves import start_move

        start_move(self, class_date_id)

    def run_class_again(self, class_date_id: int) -> None:
        """Ask for the day on which a class is offered anew."""
        from tui.screens.class_moves import start_run_again

        start_run_again(self, class_date_id)

    def open_receipt(self, booking_id: int) -> None:
        """The receipt of a booking, or its invoice while something is to pay."""
        from tui.screens.receipt import ReceiptScreen

        self.push_screen(ReceiptScreen(booking_id))

    def open_task(self, task_id: int) -> None:
        from tui.screens.task import TaskScreen

        self.push_screen(TaskScreen(task_id))

    def book(self, class_date_id: int | None = None, person_id: int | None = None) -> None:
        """Start a booking: what is not given is asked for."""
        from tui.screens.booking import start_booking

        start_booking(self, class_date_id, person_id)

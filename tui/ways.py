"""The ways to the people, the parts of the settings and outside files: each screen names the next one here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    class _Base(App[Any]):
        def wear(self, look: str) -> None: ...
else:
    _Base = object


class Ways(_Base):
    """Mixed into the app, before App. Screens are imported where they are first opened, to keep the start short."""

    def new_person(self, name: str = "") -> None:
        from tui.screens.person_form import PersonFormScreen

        self.push_screen(PersonFormScreen(name=name))

    def change_person(self, person_id: int) -> None:
        from tui.screens.person_form import PersonFormScreen

        self.push_screen(PersonFormScreen(person_id))

    def open_venues(self) -> None:
        from tui.screens.venues import VenuesScreen

        self.push_screen(VenuesScreen())

    def change_venue(self, venue_id: int | None) -> None:
        """The form of a venue; None makes a new one."""
        from tui.screens.venue_form import VenueFormScreen

        self.push_screen(VenueFormScreen(venue_id))

    def open_projects(self) -> None:
        from tui.screens.projects import ProjectsScreen

        self.push_screen(ProjectsScreen())

    def change_project(self, project_id: int | None) -> None:
        """The form of a project; None makes a new one."""
        from tui.screens.projects import ProjectFormScreen

        self.push_screen(ProjectFormScreen(project_id))

    def open_bill(self, project_id: int) -> None:
        """The bill of materials of a project, its measures and tools."""
        from tui.screens.bill import BillScreen

        self.push_screen(BillScreen(project_id))

    def change_bill_line(self, project_id: int, part: str) -> None:
        """The form of one part of a bill; an empty name makes a new one."""
        from tui.screens.bill_line import BillLineScreen

        self.push_screen(BillLineScreen(project_id, part))

    def open_tools(self) -> None:
        from tui.screens.tools import ToolsScreen

        self.push_screen(ToolsScreen())

    def open_recipes(self) -> None:
        from tui.screens.recipes import RecipesScreen

        self.push_screen(RecipesScreen())

    def open_recipe(self, recipe_id: int) -> None:
        from tui.screens.recipes import RecipeScreen

        self.push_screen(RecipeScreen(recipe_id))

    def open_promotions(self) -> None:
        from tui.screens.promotions import PromotionsScreen

        self.push_screen(PromotionsScreen())

    def open_promotion(self, promotion_id: int) -> None:
        from tui.screens.promotions import PromotionScreen

        self.push_screen(PromotionScreen(promotion_id))

    def change_promotion(self, promotion_id: int | None) -> None:
        """The form of a promotion; None makes a new one."""
        from tui.screens.promotion_form import PromotionFormScreen

        self.push_screen(PromotionFormScreen(promotion_id))

    def open_closed_days(self) -> None:
        from tui.screens.closed_days import ClosedDaysScreen

        self.push_screen(ClosedDaysScreen())

    def change_studio(self, entry: str = "") -> None:
        """The form of the studio's facts and rules, at the entry of that name."""
        from tui.screens.studio_form import StudioFormScreen

        self.push_screen(StudioFormScreen(entry))

    def put_on(self, look: str) -> None:
        """Keep a look in the settings, and wear it."""
        from scheduling.commands.settings import ChangeStudio
        from tui.screens.studio_page import StudioPage

        if isinstance(self.screen, StudioPage) and self.screen.perform(ChangeStudio(theme=look)) is not None:
            self.wear(look)

    collection_trust: str = ""
    """The file with the certificates of a calendar server that count; empty: those that the machine trusts."""

    def open_publishing(self) -> None:
        from tui.screens.publishing import PublishScreen

        self.push_screen(PublishScreen())

    def take_copy_in(self) -> None:
        """Put a whole copy in the place of the open studio."""
        from tui.copy_ways import take_copy_in
        from tui.screens.studio_page import StudioPage

        if isinstance(self.screen, StudioPage):
            take_copy_in(self.screen)

    def open_imports(self) -> None:
        from tui.screens.imports import ImportScreen

        self.push_screen(ImportScreen())

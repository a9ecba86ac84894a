"""The first start: the form that sets a studio up, in a tiny program of its own."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from textual.app import App
from textual.screen import Screen
from textual.widget import Widget

from scheduling.commands.settings import SetUpStudio
from scheduling.currencies import places_of
from scheduling.errors import SchedulingError
from scheduling.studio import Studio
from tui import cells, theme
from tui.choices import currency_choices, unit_choices, zone_choices
from tui.keys import bindings
from tui.machine_zone import machine_zone
from tui.widgets.ahead import KeysInOrder
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.guard import RoomGuard
from tui.widgets.page import Page
from tui.widgets.top import TopFacts


class SetUpScreen(Page):
    """Asks what a studio cannot be without; all else has a default and is changed in the settings."""

    def __init__(self, path: Path, zone: str) -> None:
        super().__init__()
        self._path = path
        self._zone = zone

    def body(self) -> Iterable[Widget]:
        zones = zone_choices()
        known = {choice.id for choice in zones}
        if self._zone and self._zone not in known:
            zones.append(Choice(self._zone, self._zone))
        yield Form(
            TextField("name", "Studio", hint="as you call it; it stands on every page"),
            TextField("town", "Town", is_needed=False, hint="may stay empty"),
            ChoiceField(
                "time_zone",
                "Time zone",
                zones,
                value=self._zone or None,
                hint="where you work: type a place, such as lisb; this machine does not say",
            ),
            ChoiceField("currency", "Currency", currency_choices(), hint="type a code or a word, such as eur or yen"),
            ChoiceField("units", "Sizes in", unit_choices(), value="in"),
            YesNoField("day_first", "Day before month", value=True, hint="yes: 3/4 is 3 April; no: it is 4 March"),
            title="Set up your studio. All of this can be changed later in the settings, but for the currency: it is"
            " fixed once a class has a fee.",
            keep="Set it up",
        )

    def on_mount(self) -> None:
        self.top.show(TopFacts(page="First start"))
        self.says.note(f"The studio will be kept in {cells.clean(str(self._path))}.")
        self._form.begin()

    @property
    def _form(self) -> Form:
        return self.query_one(Form)

    def on_form_kept(self, event: Form.Kept) -> None:
        values: Mapping[str, Any] = event.values
        try:
            first = SetUpStudio(**values, currency_places=places_of(values["currency"]))
            Studio.made(str(self._path), first).close()
        except SchedulingError as error:
            if not self._form.refuse(error):
                self.says.refuse(error)
            return
        self.app.exit(True)

    def on_form_left(self) -> None:
        self.app.exit(False)


class SetUpApp(KeysInOrder, RoomGuard, App[bool]):
    """Its result says whether a studio was made at `path`.

    zone: the one to offer, empty for none; None offers the machine's.
    """

    CSS_PATH = Path(__file__).parent.parent / "app.tcss"
    TITLE = "Kitwright"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = bindings("quit")

    def __init__(
        self, path: Path, *, zone: str | None = None, look: str = "", environ: Mapping[str, str] = os.environ
    ) -> None:
        super().__init__(ansi_color=theme.ansi_color(environ))
        self._path = path
        self._zone = machine_zone(environ) if zone is None else zone
        theme.wear(self, theme.chosen(look, environ))

    def get_default_screen(self) -> Screen[Any]:
        return SetUpScreen(self._path, self._zone)

    async def action_quit(self) -> None:
        """Leave as Esc does: what was typed is asked about first."""
        if isinstance(self.screen, SetUpScreen):
            self.screen.query_one(Form).action_step_back()

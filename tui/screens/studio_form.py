"""The form of the studio's facts and rules."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from scheduling.amounts import read_count
from scheduling.commands.request import Outcome
from scheduling.commands.settings import ChangeStudio
from scheduling.currencies import places_of
from scheduling.model.terms_text import read_refund_tiers, refund_tiers_text
from scheduling.queries.settings import StudioFacts
from scheduling.words import read_minutes
from tui import checked
from tui.choices import currency_choices, unit_choices, zone_choices
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form

#: Entry, label, most, what is counted, hint.
RULES: Final = (
    ("spare_percent", "Spare kits", 100, "percent of the heads", "added to each class, rounded up"),
    ("spare_least", "Least spares", 99, "kit|kits", "in each class, however few come"),
    ("demo_copies", "Copies to show", 9, "kit|kits", "for you at the front"),
    ("transit_days", "Mail inland", 90, "day|days", "from posting to the door"),
    ("transit_days_abroad", "Mail abroad", 180, "day|days", "from posting to the door, with customs"),
    ("in_hand_days_before", "In hand before", 60, "day|days", "a mailed kit is there so long before the class"),
    (
        "close_days_room",
        "Sign-up closes",
        60,
        "day before a room|days before a room",
        "0 for the day itself",
    ),
    (
        "close_days_mailed",
        "Closes for mail",
        60,
        "day before posting|days before posting",
        "0 for the day itself",
    ),
    (
        "health_days_kept",
        "Health notes",
        3650,
        "day|days",
        "after the last class; then erased for good, in copies too",
    ),
)

REFUND_CAUTION: Final = "Consumer law where you teach stands above it; ask an adviser. Bookings keep their tiers."


class StudioFormScreen(FormPage):
    """Opens at the entry that was asked for; only what differs is changed."""

    title_words = "Change the studio"

    def __init__(self, entry: str = "") -> None:
        super().__init__()
        self.first_entry = entry

    def form(self) -> Form:
        facts: StudioFacts = self.kitwright.facts
        zones = zone_choices()
        if facts.time_zone not in (choice.id for choice in zones):
            zones.append(Choice(facts.time_zone, facts.time_zone))
        return Form(
            TextField("name", "Studio", value=facts.name, hint="as it stands on every page"),
            TextField("town", "Town", value=facts.town, is_needed=False),
            ChoiceField("time_zone", "Time zone", zones, value=facts.time_zone, hint="classes keep the zone they have"),
            ChoiceField(
                "currency",
                "Currency",
                currency_choices(),
                value=facts.currency.code,
            ),
            ChoiceField("units", "Sizes in", unit_choices(), value=facts.units, hint="the other is read too"),
            YesNoField("day_first", "Day before month", value=facts.day_first, hint="yes: 3/4 is 3 April"),
            TextField(
                "class_day_limit_minutes",
                "Prep on class days",
                value=checked.minutes_typed(facts.class_day_limit_minutes),
                read=checked.minutes,
                entry_cells=12,
                hint="the limit on a day with a class",
            ),
            *(self._rule(facts, *rule) for rule in RULES),
            TextField(
                "refund_tiers",
                "Refunds",
                value=refund_tiers_text(facts.refund_tiers),
                read=lambda typed: f"{read_refund_tiers(typed).shown}. {REFUND_CAUTION}",
                hint=f"such as 14 full, 7 half, 0 none. {REFUND_CAUTION}",
            ),
            title="The studio and its rules. The currency is fixed once a class has a fee: another one then needs a"
            " studio file of its own.",
        )

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        changed = {name: value for name, value in values.items() if self.shown.field(name).is_changed}
        if "currency" in changed:
            changed["currency_places"] = places_of(changed["currency"])
        if "class_day_limit_minutes" in changed:
            changed["class_day_limit_minutes"] = read_minutes(changed["class_day_limit_minutes"]).value
        if "refund_tiers" in changed:
            changed["refund_tiers"] = read_refund_tiers(changed["refund_tiers"]).value
        for name, _, most, _, _ in RULES:
            if name in changed:
                changed[name] = read_count(changed[name], most=most, field=name).value
        return self.studio.do(ChangeStudio(**changed))

    @staticmethod
    def _rule(facts: StudioFacts, name: str, label: str, most: int, word: str, hint: str) -> Field:
        read = checked.count(0, most, name, word)
        return TextField(name, label, value=str(getattr(facts, name)), read=read, entry_cells=8, hint=hint)

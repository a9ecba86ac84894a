"""The choices of fields that ask for a currency, a time zone or a unit."""

from __future__ import annotations

from scheduling.currencies import currencies
from scheduling.time_zones import zone_names
from tui.widgets.choice_field import Choice


def unit_choices() -> list[Choice]:
    """Inches or millimetres."""
    return [Choice("in", "inches"), Choice("mm", "millimetres")]


def currency_choices() -> list[Choice]:
    """All currencies, found by code or name."""
    return [Choice(one.code, f"{one.code} {one.name}") for one in currencies()]


def zone_choices() -> list[Choice]:
    """All time zones, found by place."""
    return [Choice(name, name.replace("_", " ")) for name in zone_names()]

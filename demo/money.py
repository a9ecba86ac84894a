"""The demo's costs and charges (money.json), put into the studio before the sign-ups come in, and its promotions."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from importlib.resources import files
from typing import Any

from scheduling.commands.costs import SetClassMoney, SetKitCost, SetStudioMoney, SetVenueCosts
from scheduling.commands.promotions import AddPromotion
from scheduling.studio import Studio


def minor(text: str) -> int:
    """A sum of the data in minor units; the demo's currency has two places."""
    return int(Decimal(text) * 100)


def _data() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(files("demo").joinpath("money.json").read_text("utf-8"))
    return found


def set_costs(studio: Studio, venues: dict[str, int], projects: dict[str, int], classes: dict[str, int]) -> None:
    """Set rates, hire, kits and what some classes ask; the arguments give row numbers by the names of the data."""
    data = _data()
    rates = data["rates"]
    studio.do(
        SetStudioMoney(
            hourly_rate_minor=minor(rates["hourly_rate"]),
            card_percent=Decimal(rates["card_percent"]),
            card_flat_minor=minor(rates["card_flat"]),
            mailer_minor=minor(rates["mailer"]),
        )
    )
    for name, costs in data["venues"].items():
        studio.do(
            SetVenueCosts(
                venue_id=venues[name],
                hire_by=costs["hire_by"],
                hire_minor=minor(costs["hire"]),
                hire_least_minutes=costs.get("least_minutes", 0),
                hire_deposit_minor=minor(costs.get("deposit", "0")),
                travel_minor=minor(costs.get("travel", "0")),
                drinks_minor=minor(costs.get("drinks", "0")),
            )
        )
    for name, cost in data["kits"].items():
        studio.do(SetKitCost(project_id=projects[name], kit_cost_minor=minor(cost)))
    for name, terms in data["classes"].items():
        studio.do(
            SetClassMoney(
                class_date_id=classes[name],
                postage_minor=minor(terms.get("postage", "0")),
                deposit_minor=minor(terms.get("deposit", "0")),
                host_free_from=terms.get("host_free_from"),
            )
        )


def add_promotions(studio: Studio, classes: dict[str, int]) -> None:
    """Let the promotions on bookings open, today; who has booked already keeps their price."""
    for entry in _data()["promotions"]:
        studio.do(
            AddPromotion(
                name=entry["name"],
                kind=entry["kind"],
                percent=Decimal(entry["percent"]) if "percent" in entry else None,
                off_minor=minor(entry["off"]) if "off" in entry else None,
                ends=dt.date.fromisoformat(entry["ends"]) if "ends" in entry else None,
                ends_days_before=entry.get("ends_days_before"),
                **{
                    side: tuple(classes[name] for name in entry.get(side, ())) for side in ("classes", "ones", "others")
                },
            )
        )

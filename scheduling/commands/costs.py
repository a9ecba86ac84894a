"""What things cost and how classes are charged: the studio's rates, a venue's hire, a kit, one class's own terms."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, field_validator

from scheduling.commands.found import found, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.model.refunds import Tiers, check_tiers
from scheduling.store.booking_money import currency_of
from scheduling.store.database import Value
from scheduling.store.rows import Transaction

Sum = Annotated[int, Field(ge=0, le=10**14)]


class SetStudioMoney(Request[Outcome]):
    """Set the studio's rates; None leaves a value as it is.

    card_percent: of each card payment, up to three places; credit_days: how long a credit lasts.
    """

    hourly_rate_minor: Sum | None = None
    card_percent: Annotated[Decimal, Field(ge=0, le=100, decimal_places=3)] | None = None
    card_flat_minor: Sum | None = None
    mailer_minor: Sum | None = None
    credit_days: Annotated[int, Field(ge=1, le=3650)] | None = None

    def run(self, tx: Transaction) -> Outcome:
        columns: dict[str, Value] = {
            name: getattr(self, name)
            for name in ("hourly_rate_minor", "card_flat_minor", "mailer_minor", "credit_days")
            if getattr(self, name) is not None
        }
        if self.card_percent is not None:
            columns["card_percent_thousandths"] = int(self.card_percent * 1000)
        tx.update("studio", 1, columns)
        return Outcome(summary="Changed the studio's rates", said="The rates are kept.")


class SetVenueCosts(Request[Outcome]):
    """Set what a venue costs: hire by the hour (door to door, with least minutes) or by the evening, and the rest."""

    venue_id: int
    hire_by: Literal["none", "hour", "evening"] | None = None
    hire_minor: Sum | None = None
    hire_least_minutes: Annotated[int, Field(ge=0, le=1440)] | None = None
    hire_deposit_minor: Sum | None = None
    travel_minor: Sum | None = None
    drinks_minor: Sum | None = None

    def run(self, tx: Transaction) -> Outcome:
        row = found(tx, "venue", self.venue_id)
        tx.update("venue", self.venue_id, _given(self, "venue_id"))
        return Outcome(
            summary=f"Changed the costs of {ref('venue', self.venue_id)}",
            said=f"The costs of {text(row, 'name')} are kept.",
        )


class SetKitCost(Request[Outcome]):
    """Set what one kit of a project costs, as typed; None when it is not known."""

    project_id: int
    kit_cost_minor: Sum | None

    def run(self, tx: Transaction) -> Outcome:
        found(tx, "project", self.project_id)
        tx.update("project", self.project_id, {"kit_cost_minor": self.kit_cost_minor})
        currency = currency_of(tx)
        cost = "not known" if self.kit_cost_minor is None else f"{currency.show(self.kit_cost_minor)} {currency.code}"
        return Outcome(
            summary=f"A kit of {ref('project', self.project_id)} costs {cost}",
            said=f"A kit of {ref('project', self.project_id)} costs {cost}.",
        )


class SetClassMoney(Request[Outcome]):
    """Set how one class is charged; bookings made already keep their terms (decisions 4).

    postage_minor: what a mailed head pays on top, in no figure. deposit_minor: asked to hold a place; a private
    party's is kept when its host gives up. host_free_from: the host's place is free with so many others.
    least_heads_charged: a party pays for so many at least. kit_cost_minor: instead of the project's.
    refund_tiers: instead of the studio's; falling days, ending with 0.
    """

    class_date_id: int
    postage_minor: Sum | None = None
    deposit_minor: Sum | None = None
    host_free_from: Annotated[int, Field(ge=1, le=10000)] | None = None
    least_heads_charged: Annotated[int, Field(ge=0, le=10000)] | None = None
    overtime_minor: Sum | None = None
    kit_cost_minor: Sum | None = None
    refund_tiers: Tiers | None = None

    @field_validator("refund_tiers")
    @classmethod
    def _tiers_fall(cls, value: Tiers | None) -> Tiers | None:
        if value is not None:
            check_tiers(value)
        return value

    def run(self, tx: Transaction) -> Outcome:
        row = found(tx, "class_date", self.class_date_id)
        columns = _given(self, "class_date_id")
        for name in ("host_free_from", "kit_cost_minor", "refund_tiers"):
            if name in self.model_fields_set and getattr(self, name) is None:
                columns[name] = None
        if self.refund_tiers is not None:
            columns["refund_tiers"] = json.dumps(self.refund_tiers)
        tx.update("class_date", self.class_date_id, columns)
        return Outcome(
            summary=f"Changed the charges of {ref('class_date', self.class_date_id)}",
            said=f"The charges of {text(row, 'title')} are kept; bookings made already keep their terms.",
        )


class AddClassCost(Request[Outcome]):
    """Add a further cost of one class: a helper, a listing, a share of insurance, a print for each head."""

    class_date_id: int
    what: Annotated[str, Field(min_length=1, max_length=60)]
    amount_minor: Sum
    per: Literal["class", "head"] = "class"

    def run(self, tx: Transaction) -> Outcome:
        found(tx, "class_date", self.class_date_id)
        tx.insert(
            "class_cost",
            {
                "class_date_id": self.class_date_id,
                "what": self.what,
                "per": self.per,
                "amount_minor": self.amount_minor,
            },
        )
        shown = currency_of(tx).show(self.amount_minor)
        where = ref("class_date", self.class_date_id)
        return Outcome(
            summary=f"Added a cost of {shown} to {where}",
            said=f"{self.what}: {shown} {'a head' if self.per == 'head' else 'for the class'} at {where}.",
        )


class DropClassCost(Request[Outcome]):
    """Take a further cost of a class away, by its words."""

    class_date_id: int
    what: str

    def run(self, tx: Transaction) -> Outcome:
        rows = tx.rows(
            "SELECT id FROM class_cost WHERE class_date_id = ? AND lower(what) = lower(?)",
            (self.class_date_id, self.what),
        )
        if not rows:
            raise InvalidError(
                f"{ref('class_date', self.class_date_id)} has no cost {self.what}.",
                hint="Look at its money for the words.",
                field="what",
            )
        for row in rows:
            tx.delete("class_cost", row["id"])
        return Outcome(
            summary=f"Took a cost of {ref('class_date', self.class_date_id)} away", said=f"{self.what} is taken away."
        )


def _given(request: Request[Outcome], *but: str) -> dict[str, Value]:
    """The entries given, but for those named and for None."""
    return {
        name: getattr(request, name)
        for name in sorted(request.model_fields_set - {*but, "refund_tiers"})
        if getattr(request, name) is not None
    }

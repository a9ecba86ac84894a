"""Promotions on bookings: made and ended. price_terms.py puts them on a booking, giving_up.py undoes a bundle."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, text
from scheduling.commands.request import Outcome, Request
from scheduling.commands.task_rows import keep_tasks
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class PromotionKept(Outcome):
    promotion_id: int


class AddPromotion(Request[PromotionKept]):
    """Keep a promotion on bookings; bookings made already keep their price.

    percent or off_minor: off the fee of a head. opens: None is today. ends: its last day, or ends_days_before: to the
    end of T minus so many days of each class. first_heads: of each class.
    classes: of an early bird; of a bundle `ones` and `others`: a booking on one of each, by the same payer.
    Raises InvalidError where these do not go together.
    """

    name: Annotated[str, Field(min_length=1, max_length=60)]
    kind: Literal["early bird", "bundle"]
    percent: Annotated[Decimal, Field(gt=0, le=100, decimal_places=3)] | None = None
    off_minor: Annotated[int, Field(gt=0, le=10**14)] | None = None
    opens: dt.date | None = None
    ends: dt.date | None = None
    ends_days_before: Annotated[int, Field(ge=0, le=400)] | None = None
    first_heads: Annotated[int, Field(ge=1, le=10000)] | None = None
    with_others: bool = False
    classes: tuple[int, ...] = ()
    ones: tuple[int, ...] = ()
    others: tuple[int, ...] = ()

    def run(self, tx: Transaction) -> PromotionKept:
        self._refuse_unclear()
        opens = self.opens or tx.today()
        if self.ends is not None and self.ends < opens:
            raise InvalidError("A promotion ends on the day it opens or later.", hint="Give a later day.", field="ends")
        promotion_id = tx.insert(
            "promotion",
            {
                "name": self.name,
                "kind": self.kind,
                "percent_thousandths": None if self.percent is None else int(self.percent * 1000),
                "off_minor": self.off_minor,
                "opens": opens.isoformat(),
                "ends": None if self.ends is None else self.ends.isoformat(),
                "ends_days_before": self.ends_days_before,
                "first_heads": self.first_heads,
                "with_others": int(self.with_others),
            },
        )
        roles = [(number, "each") for number in self.classes]
        roles += [(number, "one") for number in self.ones] + [(number, "other") for number in self.others]
        for class_date_id, role in roles:
            found(tx, "class_date", class_date_id)
            tx.insert("promotion_class", {"promotion_id": promotion_id, "class_date_id": class_date_id, "role": role})
        _keep_tasks(tx, [class_date_id for class_date_id, _ in roles])
        return PromotionKept(
            summary=f"Added {ref('promotion', promotion_id)} {self.name}",
            said=f"{self.name} is kept as {ref('promotion', promotion_id)}; bookings made already keep their price.",
            promotion_id=promotion_id,
        )

    def _refuse_unclear(self) -> None:
        if (self.percent is None) == (self.off_minor is None):
            raise InvalidError(
                "A promotion takes off a percentage or a sum.", hint="Give one of them.", field="off_minor"
            )
        every = (*self.classes, *self.ones, *self.others)
        if len(every) != len(set(every)):
            raise InvalidError("A class is named twice.", hint="Name each once.", field="classes")
        if self.kind == "early bird" and (not self.classes or self.ones or self.others):
            raise InvalidError("An early bird names its classes.", hint="Give one or more.", field="classes")
        if self.kind == "bundle" and (self.classes or not self.ones or not self.others):
            raise InvalidError("A bundle names classes on both sides.", hint="Give one or more of each.", field="ones")


class EndPromotion(Request[PromotionKept]):
    """Let a promotion end now, or go on again; bookings that have it keep their price."""

    promotion_id: int
    back: bool = False

    def run(self, tx: Transaction) -> PromotionKept:
        row = found(tx, "promotion", self.promotion_id)
        tx.update("promotion", self.promotion_id, {"retired_at": None if self.back else tx.now_text})
        rows = tx.rows("SELECT class_date_id FROM promotion_class WHERE promotion_id = ?", (self.promotion_id,))
        _keep_tasks(tx, [row["class_date_id"] for row in rows])
        word = "goes on" if self.back else "has ended"
        return PromotionKept(
            summary=f"{ref('promotion', self.promotion_id)} {word}",
            said=f"{text(row, 'name')} {word}.",
            promotion_id=self.promotion_id,
        )


def _keep_tasks(tx: Transaction, class_date_ids: list[int]) -> None:
    """Bring what is to be done for the promotions' ends into the prep of their classes, or drop it with them."""
    for class_date_id in class_date_ids:
        row = found(tx, "class_date", class_date_id)
        if row["state"] != "cancelled" and row["taught_at"] is None:
            keep_tasks(tx, class_date_id)

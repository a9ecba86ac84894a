"""Promotions on bookings: made, changed, ended. price_terms.py puts them on a booking, giving_up.py undoes a bundle."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import Field

from scheduling.commands.found import found, text
from scheduling.commands.request import Outcome, Request
from scheduling.commands.task_rows import keep_tasks
from scheduling.errors import InvalidError
from scheduling.model.promotions import Promotion
from scheduling.model.refs import ref
from scheduling.store.database import Value
from scheduling.store.promotion_facts import promotion_of
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class PromotionKept(Outcome):
    promotion_id: int


class _Promotion(Request[PromotionKept]):
    """The entries of a promotion.

    percent or off_minor: off the fee of a head. opens: None is today. ends: its last day, or ends_days_before: to the
    end of T minus so many days of each class. first_heads: of each class.
    classes: of an early bird; of a bundle `ones` and `others`: a booking on one of each, by the same payer.
    """

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

    def _columns(self, opens: dt.date) -> dict[str, Value]:
        return {
            "percent_thousandths": None if self.percent is None else int(self.percent * 1000),
            "off_minor": self.off_minor,
            "opens": opens.isoformat(),
            "ends": None if self.ends is None else self.ends.isoformat(),
            "ends_days_before": self.ends_days_before,
            "first_heads": self.first_heads,
            "with_others": int(self.with_others),
        }

    def _roles(self) -> dict[int, str]:
        """The side of each class that is named."""
        sides = ((self.classes, "each"), (self.ones, "one"), (self.others, "other"))
        return {number: role for numbers, role in sides for number in numbers}

    def _refuse_unclear(self, kind: str, opens: dt.date) -> None:
        if (self.percent is None) == (self.off_minor is None):
            raise InvalidError(
                "A promotion takes off a percentage or a sum.", hint="Give one of them.", field="off_minor"
            )
        every = (*self.classes, *self.ones, *self.others)
        if len(every) != len(set(every)):
            raise InvalidError(
                "A class is named twice.", hint="Name each once.", field="others" if self.others else "classes"
            )
        if kind == "early bird" and (not self.classes or self.ones or self.others):
            raise InvalidError("An early bird names its classes.", hint="Give one or more.", field="classes")
        if kind == "bundle" and (self.classes or not self.ones or not self.others):
            lacks = "others" if self.ones else "ones"
            raise InvalidError("A bundle names classes on both sides.", hint="Give one or more of each.", field=lacks)
        if self.ends is not None and self.ends < opens:
            raise InvalidError("A promotion ends on the day it opens or later.", hint="Give a later day.", field="ends")


class AddPromotion(_Promotion):
    """Keep a promotion on bookings; bookings made already keep their price.

    Raises InvalidError where the entries do not go together.
    """

    name: Annotated[str, Field(min_length=1, max_length=60)]
    kind: Literal["early bird", "bundle"]

    def run(self, tx: Transaction) -> PromotionKept:
        opens = self.opens or tx.today()
        self._refuse_unclear(self.kind, opens)
        promotion_id = tx.insert("promotion", {"name": self.name, "kind": self.kind, **self._columns(opens)})
        for class_date_id, role in self._roles().items():
            _put_class(tx, promotion_id, class_date_id, role)
        _keep_tasks(tx, self._roles())
        return PromotionKept(
            summary=f"Added {ref('promotion', promotion_id)} {self.name}",
            said=f"{self.name} is kept as {ref('promotion', promotion_id)}; bookings made already keep their price.",
            promotion_id=promotion_id,
        )


class ChangePromotion(_Promotion):
    """Change what is given of a promotion; bookings made already keep their price, and its kind stays.

    percent, off_minor: the one that is given takes the place of the other. ends, ends_days_before, first_heads: None
    takes the one there is away. classes, ones, others: all that there are to be on that side.
    Raises NotFoundError, or InvalidError where what comes of it does not go together.
    """

    promotion_id: int
    name: Annotated[str, Field(min_length=1, max_length=60)] | None = None

    def run(self, tx: Transaction) -> PromotionKept:
        found(tx, "promotion", self.promotion_id)
        kept = promotion_of(tx.rows("SELECT * FROM promotion WHERE id = ?", (self.promotion_id,))[0])
        rows = tx.rows("SELECT * FROM promotion_class WHERE promotion_id = ? ORDER BY id", (self.promotion_id,))
        whole = self._over(kept, {int(row["class_date_id"]): str(row["role"]) for row in rows})
        opens, name = whole.opens or kept.opens, self.name or kept.name
        whole._refuse_unclear(kept.kind, opens)
        tx.update("promotion", self.promotion_id, {"name": name, **whole._columns(opens)})
        roles = whole._roles()
        for row in rows:
            if roles.get(row["class_date_id"]) != row["role"]:
                tx.delete("promotion_class", row["id"])
            else:
                del roles[row["class_date_id"]]
        for class_date_id, role in roles.items():
            _put_class(tx, self.promotion_id, class_date_id, role)
        _keep_tasks(tx, {*whole._roles(), *(row["class_date_id"] for row in rows)})
        return PromotionKept(
            summary=f"Changed {ref('promotion', self.promotion_id)} {name}",
            said=f"{name} is changed; bookings made already keep their price.",
            promotion_id=self.promotion_id,
        )

    def _over(self, kept: Promotion, roles: Mapping[int, str]) -> ChangePromotion:
        """The promotion whole, as it is to be: what is given, over what is kept."""
        given = {name: getattr(self, name) for name in self.model_fields_set}
        off = {} if given.keys() & {"percent", "off_minor"} else {"percent": kept.percent, "off_minor": kept.off}
        there: dict[str, Any] = {
            "opens": kept.opens,
            "ends": kept.ends,
            "ends_days_before": kept.ends_days_before,
            "first_heads": kept.first_heads,
            "with_others": kept.with_others,
        }
        for side, role in (("classes", "each"), ("ones", "one"), ("others", "other")):
            there[side] = tuple(number for number, its in roles.items() if its == role)
        return self.model_copy(update={**off, **there, **given})


def _put_class(tx: Transaction, promotion_id: int, class_date_id: int, role: str) -> None:
    found(tx, "class_date", class_date_id)
    tx.insert("promotion_class", {"promotion_id": promotion_id, "class_date_id": class_date_id, "role": role})


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


def _keep_tasks(tx: Transaction, class_date_ids: Iterable[int]) -> None:
    """Bring what is to be done for the promotions' ends into the prep of their classes, or drop it with them."""
    for class_date_id in class_date_ids:
        row = found(tx, "class_date", class_date_id)
        if row["state"] != "cancelled" and row["taught_at"] is None:
            keep_tasks(tx, class_date_id)

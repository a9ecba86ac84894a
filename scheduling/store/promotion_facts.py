"""Promotions as they are kept, and on which day each class's early bird ends."""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from scheduling.store.rows import Reader

if TYPE_CHECKING:
    from scheduling.model.promotions import Promotion


def promotion_of(row: sqlite3.Row) -> Promotion:
    """A promotion of its row."""
    # The rules of money are loaded with the first promotion: most studios' first screen has none.
    from scheduling.model.promotions import Promotion

    thousandths = row["percent_thousandths"]
    return Promotion(
        id=row["id"],
        name=row["name"],
        kind=row["kind"],
        opens=dt.date.fromisoformat(row["opens"]),
        percent=None if thousandths is None else Decimal(thousandths) / 1000,
        off=row["off_minor"],
        ends=None if row["ends"] is None else dt.date.fromisoformat(row["ends"]),
        ends_days_before=row["ends_days_before"],
        first_heads=row["first_heads"],
        with_others=bool(row["with_others"]),
    )


def early_bird_ends(reader: Reader, class_days: Mapping[int, dt.date]) -> dict[int, dt.date]:
    """The last day of each class's early bird, the soonest where it has several; classes without one are left out."""
    found: dict[int, dt.date] = {}
    for row in reader.rows(
        """SELECT promotion.*, promotion_class.class_date_id FROM promotion
           JOIN promotion_class ON promotion_class.promotion_id = promotion.id
           WHERE promotion.kind = 'early bird' AND promotion.retired_at IS NULL"""
    ):
        class_date_id = row["class_date_id"]
        if class_date_id in class_days:
            last = promotion_of(row).last_day(class_days[class_date_id])
            if last is not None:
                found[class_date_id] = min(last, found.get(class_date_id, last))
    return found

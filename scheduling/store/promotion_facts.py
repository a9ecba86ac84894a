"""Promotions as they are kept, and on which days those of a class end."""

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


def promotion_ends(reader: Reader, class_days: Mapping[int, dt.date]) -> dict[int, list[tuple[str, dt.date]]]:
    """The promotions that still stand for each class, as (early bird or bundle, last day), the soonest first.

    Early birds go before bundles, for after them the fee itself is another. Classes without one are left out.
    """
    found: dict[int, list[tuple[str, dt.date]]] = {}
    for row in reader.rows(
        """SELECT promotion.*, promotion_class.class_date_id FROM promotion
           JOIN promotion_class ON promotion_class.promotion_id = promotion.id
           WHERE promotion.retired_at IS NULL ORDER BY promotion.id"""
    ):
        class_date_id = row["class_date_id"]
        if class_date_id in class_days:
            last = promotion_of(row).last_day(class_days[class_date_id])
            if last is not None:
                found.setdefault(class_date_id, []).append((row["kind"], last))
    return {number: sorted(ends, key=lambda end: (end[0] != "early bird", end[1])) for number, ends in found.items()}

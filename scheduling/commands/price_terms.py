"""The terms of price, deposit and refund that a booking keeps from the day it is made (decisions 4)."""

from __future__ import annotations

from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction


def price_columns(tx: Transaction, class_date: Row) -> dict[str, Value]:
    """The columns of a new booking that are copied from its class date, or from the studio where it has none.

    A private party's deposit is kept when the host gives up; another deposit goes by the refund tiers.
    """
    tiers = class_date["refund_tiers"] or tx.value("SELECT refund_tiers FROM studio")
    return {
        "fee_minor": class_date["fee_minor"],
        "refund_tiers": tiers,
        "host_free_from": class_date["host_free_from"],
        "least_heads_charged": class_date["least_heads_charged"],
        "deposit_minor": class_date["deposit_minor"],
        "deposit_is_kept": class_date["private_party"],
    }

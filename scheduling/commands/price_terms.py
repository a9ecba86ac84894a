"""The terms of price, deposit and refund that a booking keeps from the day it is made (decisions 4)."""

from __future__ import annotations

from scheduling.commands.found import found, number, text
from scheduling.errors import ConflictError
from scheduling.model.bookings import TAKES_SEATS
from scheduling.model.promotions import best
from scheduling.store.booking_money import currency_of
from scheduling.store.database import Row, Value
from scheduling.store.promotion_facts import promotion_of
from scheduling.store.promotion_rows import heads_with, reductions
from scheduling.store.rows import Reader, Transaction


def price_columns(tx: Reader, class_date: Row) -> dict[str, Value]:
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


def put_promotion(tx: Transaction, booking_id: int, *, promotion_id: int | None = None) -> str:
    """Put the promotion that takes most off on a booking that has just taken its seats; gives a sentence, or nothing.

    promotion_id: this one or none; 0 puts none on. The reduction is kept with the booking and stays (decisions 4).
    Raises ConflictError where the one asked for does not apply.
    """
    booking = found(tx, "booking", booking_id)
    if promotion_id == 0 or booking["state"] not in TAKES_SEATS - {"offered"} or booking["promotion_id"] is not None:
        return ""
    heads = int(tx.value("SELECT count(*) FROM seat WHERE booking_id = ? AND given_up_at IS NULL", (booking_id,)))
    class_date_id, payer_id = number(booking, "class_date_id"), number(booking, "payer_id")
    offers = reductions(tx, class_date_id, payer_id, heads, number(booking, "fee_minor"))
    if promotion_id is not None:
        offers = [one for one in offers if one.promotion_id == promotion_id]
        if not offers:
            name = text(found(tx, "promotion", promotion_id), "name")
            raise ConflictError(
                f"{name} does not apply to this booking now.", hint="Book without it.", field="promotion_id"
            )
    chosen = best(offers, heads)
    if chosen is None:
        return ""
    tx.update(
        "booking",
        booking_id,
        {
            "promotion_id": chosen.promotion_id,
            "off_each_minor": chosen.off_each,
            "off_once_minor": chosen.off_once,
            "bundled_with": chosen.bundled_with,
        },
    )
    return f" {chosen.name}: {currency_of(tx).show(chosen.worth(heads))} off."


def keep_to_first_heads(tx: Transaction, booking_id: int, more: int) -> None:
    """Where a booking has `more` heads now than its early bird has left, take that off the first heads alone."""
    booking = found(tx, "booking", booking_id)
    off = number(booking, "off_each_minor")
    row = tx.first("SELECT * FROM promotion WHERE id = ?", (booking["promotion_id"],))
    first_heads = None if row is None else promotion_of(row).first_heads
    if first_heads is None or row is None or not off:
        return
    before = heads_with(tx, row["id"], number(booking, "class_date_id")) - more
    left = max(0, first_heads - before)
    if left < more:
        heads = int(tx.value("SELECT count(*) FROM seat WHERE booking_id = ? AND given_up_at IS NULL", (booking_id,)))
        tx.update("booking", booking_id, {"off_each_minor": 0, "off_once_minor": (heads - more + left) * off})

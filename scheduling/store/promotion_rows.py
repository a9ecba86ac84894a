"""Promotions read from the tables, and the reductions that a booking to be made could have."""

from __future__ import annotations

from scheduling.clock import day_in
from scheduling.model.promotions import Promotion, Reduction, bundle, early_bird
from scheduling.store.booking_money import first_session
from scheduling.store.promotion_facts import promotion_of
from scheduling.store.rows import Reader


def reductions(reader: Reader, class_date_id: int, payer_id: int, heads: int, fee: int) -> list[Reduction]:
    """What each promotion that runs now would take off a booking of so many heads."""
    starts = first_session(reader, class_date_id).starts
    today, class_day = day_in(reader.now, starts.zone), starts.local.date()
    found: list[Reduction | None] = []
    for row in reader.rows(
        """SELECT promotion.*, promotion_class.role FROM promotion
           JOIN promotion_class ON promotion_class.promotion_id = promotion.id
           WHERE promotion_class.class_date_id = ? AND promotion.retired_at IS NULL ORDER BY promotion.id""",
        (class_date_id,),
    ):
        promotion = promotion_of(row)
        if not promotion.runs_on(today, class_day):
            continue
        if promotion.kind == "early bird":
            before = heads_with(reader, promotion.id, class_date_id)
            found.append(early_bird(promotion, fee=fee, heads=heads, heads_before=before))
        else:
            found.append(_bundle(reader, promotion, row["role"], payer_id, heads, fee))
    return [one for one in found if one is not None]


def heads_with(reader: Reader, promotion_id: int, class_date_id: int) -> int:
    """The heads of the bookings of a class that have a promotion."""
    return int(
        reader.value(
            """SELECT count(*) FROM booking JOIN seat ON seat.booking_id = booking.id AND given_up_at IS NULL
               WHERE booking.class_date_id = ? AND booking.promotion_id = ?
                 AND booking.state IN ('held', 'deposit', 'confirmed')""",
            (class_date_id, promotion_id),
        )
    )


def _bundle(reader: Reader, promotion: Promotion, role: str, payer_id: int, heads: int, fee: int) -> Reduction | None:
    """The bundle with the payer's first booking on the other side that is not in a bundle yet."""
    other = reader.first(
        """SELECT booking.id, booking.promotion_id, count(seat.id) AS heads FROM booking
           JOIN promotion_class ON promotion_class.class_date_id = booking.class_date_id
             AND promotion_class.promotion_id = ?1 AND promotion_class.role <> ?2
           JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
           JOIN class_date ON class_date.id = booking.class_date_id AND class_date.state <> 'cancelled'
           WHERE booking.payer_id = ?3 AND booking.state IN ('held', 'deposit', 'confirmed')
             AND booking.bundled_with IS NULL
             AND (booking.promotion_id IS NULL OR ?4)
             AND NOT EXISTS (SELECT 1 FROM booking AS taken WHERE taken.bundled_with = booking.id
                             AND taken.state IN ('held', 'deposit', 'confirmed'))
           GROUP BY booking.id ORDER BY booking.id LIMIT 1""",
        (promotion.id, role, payer_id, int(promotion.with_others)),
    )
    if other is None:
        return None
    return bundle(promotion, fee=fee, heads=heads, other_heads=other["heads"], other_booking=other["id"])

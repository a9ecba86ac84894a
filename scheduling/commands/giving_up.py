"""What becomes of the money when heads are given up: worked out from the kept terms and written down with the act.

The row in `giving_up` fixes the tier on the day of notice, so that moving the class later changes nothing of it.
"""

from __future__ import annotations

from dataclasses import replace

from scheduling.commands.found import number
from scheduling.model.bookings import LIVE
from scheduling.model.refs import ref
from scheduling.model.refunds import GivenUp, GivingBack, giving_back, notice_days, part_on
from scheduling.store.booking_money import BookingMoney, booking_money, currency_of, first_session, one_booking_money
from scheduling.store.database import Row
from scheduling.store.rows import Transaction

NOTHING = GivingBack("none", 0, 0, 0, 0, ())


def record_giving_up(
    tx: Transaction, before: BookingMoney, class_date: Row, heads: int, *, called_off: bool = False
) -> GivingBack:
    """Write down what is owed back for `heads` that have just left a booking.

    before: the booking's money as it was before they left. Nothing is written where nothing was held and no seat
    taken: a place on the waitlist costs nothing.
    """
    if before.called_off or (not before.takes_seats and not before.held):
        return NOTHING
    days = notice_days(tx.now, first_session(tx, number(class_date, "id")).starts)
    sums = before.balance.sums
    part: GivenUp = "called off" if called_off else part_on(before.tiers, days)
    after = 0 if called_off else one_booking_money(tx, before.id).price
    shared = giving_back(
        part,
        held=before.held - sums.charged - sums.kept + sums.waived,
        price_before=before.price,
        price_after=after,
        deposit_kept=before.deposit if heads >= before.heads else 0,
    )
    tx.insert(
        "giving_up",
        {
            "booking_id": before.id,
            "notice_at": tx.now_text,
            "days_before": days,
            "part": part,
            "heads": heads,
            "kept_minor": shared.kept,
            "back_minor": shared.back,
            "credit_minor": shared.credit,
            "deposit_kept_minor": shared.deposit_kept,
        },
    )
    left = one_booking_money(tx, before.id)
    return shared if called_off or left.takes_seats else _unbundled(tx, before.id, shared)


def _unbundled(tx: Transaction, booking_id: int, shared: GivingBack) -> GivingBack:
    """Undo a bundle whose first booking is given up: the other is at its full price again (job.md 4).

    What it costs more is taken from what goes back, in money first, then as credit; the rest is still to pay.
    """
    other = tx.first(
        "SELECT * FROM booking WHERE bundled_with = ? AND state IN ('held', 'deposit', 'confirmed')", (booking_id,)
    )
    if other is None or not other["off_once_minor"]:
        return shared
    more = int(other["off_once_minor"])
    tx.update("booking", other["id"], {"off_once_minor": 0, "bundled_with": None, "promotion_id": None})
    back, credit = min(more, shared.back), min(max(0, more - shared.back), shared.credit)
    if back + credit:
        tx.insert(
            "carried",
            {
                "from_booking_id": booking_id,
                "to_booking_id": other["id"],
                "day": tx.today().isoformat(),
                "amount_minor": back + credit,
                "created_at": tx.now_text,
            },
        )
    show = currency_of(tx).show
    note = f" {ref('booking', other['id'])} is at its full price again, {show(more)} more"
    rest = more - back - credit
    note += f"; {show(rest)} of it is still to pay." if rest else ", taken from what goes back."
    return replace(shared, back=shared.back - back, credit=shared.credit - credit, note=note)


def giving_back_says(tx: Transaction, shared: GivingBack) -> str:
    """What is owed back, and what a bundle does, in sentences; empty where nothing was paid."""
    show = currency_of(tx).show
    parts = []
    if shared.back:
        parts.append(f"{show(shared.back)} goes back")
    if shared.credit:
        parts.append(f"{show(shared.credit)} is theirs as credit")
    if shared.kept:
        parts.append(f"{show(shared.kept)} is kept by the terms")
    return (f" {', '.join(parts)}." if parts else "") + shared.note


def give_all_back(tx: Transaction, class_date: Row) -> str:
    """Write down that everything paid for a class called off goes back; gives what that is, for a sentence."""
    total = 0
    states = ", ".join(f"'{state}'" for state in sorted(LIVE))
    for money in booking_money(tx, f"class_date_id = ? AND state IN ({states})", (class_date["id"],)):
        record_giving_up(tx, money, class_date, money.heads, called_off=True)
        total += one_booking_money(tx, money.id).balance.over
    currency = currency_of(tx)
    return f"{currency.show(total)} {currency.code}" if total else "nothing, for nothing was paid"

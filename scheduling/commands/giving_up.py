"""What becomes of the money when heads are given up: worked out from the kept terms and written down with the act.

The row in `giving_up` fixes the tier on the day of notice, so that moving the class later changes nothing of it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from scheduling.clock import WallTime, day_in
from scheduling.commands.found import found, number
from scheduling.model.bookings import LIVE
from scheduling.model.day_calendar import days_after
from scheduling.model.deadlines import DateRules
from scheduling.model.refs import ref
from scheduling.model.refunds import GivenUp, GivingBack, giving_back, notice_days, part_on
from scheduling.store.booking_money import BookingMoney, booking_money, currency_of, first_session, one_booking_money
from scheduling.store.database import Row
from scheduling.store.promotion_facts import promotion_of
from scheduling.store.rows import Transaction, utc_text

NOTHING = GivingBack("none", 0, 0, 0, 0, ())


def record_giving_up(
    tx: Transaction,
    before: BookingMoney,
    class_date: Row,
    heads: int,
    *,
    called_off: bool = False,
    in_full: bool = False,
) -> GivingBack:
    """Write down what is owed back for `heads` that have just left a booking.

    before: the booking's money as it was before they left. called_off: the whole booking, by the instructor; in_full:
    these heads are hers to make good, whatever the tier. Nothing is written where nothing was held and no seat taken:
    a place on the waitlist costs nothing.

    Guests of a private party leave free to its final count; after it the heads told then are charged (job.md 2).
    """
    if before.called_off or (not before.takes_seats and not before.held):
        return NOTHING
    days = notice_days(tx.now, first_session(tx, number(class_date, "id")).starts)
    part: GivenUp = "called off" if called_off else "full" if in_full else part_on(before.tiers, days)
    if 0 < heads < before.heads and not called_off:
        if class_date["private_party"] and not in_full:
            part = "full"
            if _is_counted(tx, before.id, class_date):
                row = found(tx, "booking", before.id)
                least = max(number(row, "least_heads_charged"), before.heads)
                tx.update("booking", before.id, {"least_heads_charged": least})
        _lower_reduction(tx, before.id)
    after = 0 if called_off else one_booking_money(tx, before.id).price
    deposit = before.deposit if heads >= before.heads and not in_full else 0
    return _write(
        tx, before, heads, part, days, tx.now_text, price_before=before.price, price_after=after, deposit=deposit
    )


def settle_by_terms(tx: Transaction, money: BookingMoney, class_date: Row, notice_on: dt.date) -> GivingBack:
    """Write down what the terms give for a booking, or heads, that an outside file took away without a word on money.

    money: as it is now, without those heads. notice_on: the day of their notice.
    """
    seats = "SELECT count(*) FROM seat WHERE booking_id = ?"
    gone_whole = money.state == "cancelled"
    all_heads = int(tx.value(seats, (money.id,)))
    gone = all_heads if gone_whole else all_heads - money.heads
    before = money.terms.price(all_heads, currency_of(tx)).amount
    starts = first_session(tx, number(class_date, "id")).starts
    days = (starts.local.date() - notice_on).days
    noon = WallTime(dt.datetime.combine(notice_on, dt.time(12)), starts.zone)
    if not gone_whole:
        _lower_reduction(tx, money.id)
    after = 0 if gone_whole else one_booking_money(tx, money.id).price
    deposit = money.deposit if gone_whole else 0
    return _write(
        tx, money, gone, part_on(money.tiers, days), days, utc_text(noon.utc),
        price_before=before, price_after=after, deposit=deposit,
    )  # fmt: skip


def _write(
    tx: Transaction, before: BookingMoney, heads: int, part: GivenUp, days: int, notice_at: str, *,
    price_before: int, price_after: int, deposit: int,
) -> GivingBack:  # fmt: skip
    sums = before.balance.sums
    shared = giving_back(
        part,
        held=before.held - sums.charged - sums.kept + sums.waived,
        price_before=price_before,
        price_after=price_after,
        deposit_kept=deposit,
    )
    tx.insert(
        "giving_up",
        {
            "booking_id": before.id,
            "notice_at": notice_at,
            "days_before": days,
            "part": part,
            "heads": heads,
            "kept_minor": shared.kept,
            "back_minor": shared.back,
            "credit_minor": shared.credit,
            "deposit_kept_minor": shared.deposit_kept,
        },
    )
    return shared if part == "called off" else _unbundled(tx, before.id, shared)


def _is_counted(tx: Transaction, booking_id: int, class_date: Row) -> bool:
    """Whether the host has told the final count, or its day is past."""
    if found(tx, "booking", booking_id)["counted_at"] is not None:
        return True
    starts = first_session(tx, number(class_date, "id")).starts
    return day_in(tx.now, starts.zone) > final_count_of(class_date, starts.local.date())


def final_count_of(class_date: Row, class_day: dt.date) -> dt.date:
    """The last day for a party's final count: the one set for the class, or a week before it."""
    day = class_date["final_count_day"]
    return dt.date.fromisoformat(str(day)) if day else days_after(class_day, -DateRules().final_count_days)


def _heads_of(tx: Transaction, booking_id: int) -> int:
    """The heads that have a seat by a booking; none where it has none any more."""
    money = one_booking_money(tx, booking_id)
    return money.heads if money.takes_seats else 0


def _once_for(tx: Transaction, booking: Row, heads: int) -> int:
    """What a booking's promotion takes off once for so many heads, never more than it was given when it was booked."""
    given = number(booking, "off_once_minor")
    if not given or booking["promotion_id"] is None:
        return given
    row = tx.first("SELECT * FROM promotion WHERE id = ?", (booking["promotion_id"],))
    return given if row is None else min(given, heads * promotion_of(row).off_each(number(booking, "fee_minor")))


def _lower_reduction(tx: Transaction, booking_id: int) -> None:
    """Fewer heads have less taken off: of a bundle for as many as come to both, of an early bird for those left."""
    booking = found(tx, "booking", booking_id)
    heads = _heads_of(tx, booking_id)
    if booking["bundled_with"] is not None:
        heads = min(heads, _heads_of(tx, number(booking, "bundled_with")))
    tx.update("booking", booking_id, {"off_once_minor": _once_for(tx, booking, heads)})


def _unbundled(tx: Transaction, booking_id: int, shared: GivingBack) -> GivingBack:
    """Undo a bundle as far as its first booking is given up: the other is nearer its full price again (job.md 4).

    What it costs more is taken from what goes back, in money first, then as credit; the rest is still to pay.
    """
    row = tx.first(
        "SELECT * FROM booking WHERE bundled_with = ? AND state IN ('held', 'deposit', 'confirmed')", (booking_id,)
    )
    other = None if row is None else found(tx, "booking", row["id"])
    if other is None or not other["off_once_minor"]:
        return shared
    other_id = number(other, "id")
    once = _once_for(tx, other, min(_heads_of(tx, booking_id), _heads_of(tx, other_id)))
    more = number(other, "off_once_minor") - once
    if not more:
        return shared
    gone = {} if once else {"bundled_with": None, "promotion_id": None}
    tx.update("booking", other_id, {"off_once_minor": once, **gone})
    back, credit = min(more, shared.back), min(max(0, more - shared.back), shared.credit)
    if back + credit:
        tx.insert(
            "carried",
            {
                "from_booking_id": booking_id,
                "to_booking_id": other_id,
                "day": tx.today().isoformat(),
                "amount_minor": back + credit,
                "created_at": tx.now_text,
            },
        )
    show = currency_of(tx).show
    price = "at its full price again" if not once else "in the bundle with fewer heads"
    note = f" {ref('booking', other_id)} is {price}, {show(more)} more"
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

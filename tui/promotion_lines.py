"""Promotions as rows: what each takes off and until when, what it cost and brought; hosts and their free places."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.promotions import HostReward, PromotionAt, PromotionRow
from scheduling.typed_promotions import ends_text, off_text
from scheduling.words import counted, show_day
from tui import class_lines
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section

LIST_COLUMNS: Final = (
    Column("Promotion", share=3, least=18),
    Column("Off a head", 10, align="right"),
    Column("Until", share=2, least=12),
    Column("Heads", 5, align="right"),
    Column("Cost", 10, align="right"),
    Column("Brought", 11, align="right", drop=1),
)
ONE_COLUMNS: Final = (
    Column("Class", share=3, least=18),
    Column("Class day", 11, drop=2),
    Column("A head", 9, align="right"),
    Column("Until", share=2, least=14),
    Column("Heads", 5, align="right"),
    Column("Cost", 10, align="right"),
    Column("Brought", 11, align="right", drop=1),
)


def standing(row: PromotionRow) -> str:
    """Runs, ended, or runs for no class now."""
    if row.ended:
        return "ended"
    return "runs" if row.runs else "over for every class"


def promotion_row(row: PromotionRow, currency: Currency) -> Row:
    """A promotion under LIST_COLUMNS; its id is ("promotion", number)."""
    promotion = row.promotion
    until = "ended" if row.ended else _short_end(promotion.ends, promotion.ends_days_before)
    is_over = row.ended or not row.runs
    return Row(
        ("promotion", promotion.id),
        (
            f"{row.ref} {promotion.name}",
            off_text(promotion.percent, promotion.off, currency),
            Cell(until if row.runs or row.ended else f"{until}, over", "quiet" if is_over else ""),
            str(row.heads),
            currency.show(row.cost),
            currency.show(row.brought),
        ),
        "x" if row.ended else "",
        "quiet",
    )


def _short_end(day: dt.date | None, days_before: int | None) -> str:
    parts = [] if days_before is None else [f"T-{days_before}"]
    parts += [] if day is None else [show_day(day)]
    return " or ".join(parts) or "no end"


def promotion_about(row: PromotionRow, currency: Currency) -> str:
    """A promotion in two sentences."""
    promotion = row.promotion
    terms = [f"{promotion.kind}, {ends_text(promotion.ends, promotion.ends_days_before)}"]
    terms += (
        [f"for the first {counted(promotion.first_heads, 'head')} of a class"]
        if promotion.first_heads is not None
        else []
    )
    terms += ["may stand beside another"] if promotion.with_others else []
    names = "; ".join(
        f"{_side(at)}{at.class_row.ref} {currency.show(at.price)} {at_word(at)}".strip()
        for at in row.classes
        if at.role
    )
    return f"{row.ref}: {', '.join(terms)}. {names}."


def _side(at: PromotionAt) -> str:
    return {"one": "one side ", "other": "other side "}.get(at.role, "")


def at_word(at: PromotionAt) -> str:
    """Where the promotion stands at one class, in a word or two."""
    if not at.role:
        return "taken out of it"
    if at.full:
        return "full"
    if at.first_left == 0:
        return "the first have it"
    if not at.runs:
        return "over" if at.last_day is not None else ""
    return f"to {show_day(at.last_day)}" if at.last_day is not None else "runs"


def class_row(at: PromotionAt, currency: Currency) -> Row:
    """A class of a promotion under ONE_COLUMNS; its id is ("class", number)."""
    row = at.class_row
    left = f", {at.first_left} left" if at.first_left and at.runs else ""
    return Row(
        ("class", row.id),
        (
            class_lines.named(row),
            show_day(row.first_day),
            currency.show(at.price),
            Cell(f"{at_word(at)}{left}", "" if at.runs else "quiet"),
            str(at.taken.heads),
            currency.show(at.taken.cost),
            currency.show(at.taken.brought),
        ),
    )


def class_about(at: PromotionAt, currency: Currency) -> str:
    """The sum behind the figures of a class."""
    row, taken = at.class_row, at.taken
    now = f"A head pays {currency.show(at.price)} instead of {currency.show(row.fee_minor)}."
    if not taken.heads:
        return f"{row.ref}: {now} Nobody has booked with it yet. Enter opens the class."
    full = currency.show(taken.cost + taken.brought)
    return (
        f"{row.ref}: {now} {heads_text(taken.heads)} on {_bookings(taken.bookings)}: {full} at the fee as booked, less"
        f" {currency.show(taken.cost)} off, brings {currency.show(taken.brought)}. Enter opens the class."
    )


def _bookings(count: int) -> str:
    return "1 booking" if count == 1 else f"{count} bookings"


def class_sections(row: PromotionRow, currency: Currency) -> list[Row | Section]:
    """The classes of a promotion by side, with what it cost and brought in all."""
    taken, found = row.taken, list[Row | Section]()
    total = f"cost {currency.show(taken.cost)}, brought {currency.show(taken.brought)}"
    titles = {
        "each": "Its classes",
        "one": "A booking on one of these",
        "other": "with one of these",
        "": "No longer in it",
    }
    for role, title in titles.items():
        at = [one for one in row.classes if one.role == role]
        if at:
            found.append(Section(title, total if not found else ""))
            found += [class_row(one, currency) for one in at]
    return found


def host_row(host: HostReward, currency: Currency) -> Row:
    """A host under LIST_COLUMNS; its id is ("host", booking)."""
    others = host.heads - 1
    state = Cell("place is free", "good") if host.is_free else Cell(f"{host.others_lacking} more needed", "")
    return Row(
        ("host", host.booking_id),
        (
            f"{host.host}, {host.class_row.ref}",
            currency.show(host.worth),
            state,
            f"{others}/{host.free_from}",
            currency.show(host.worth if host.is_free else 0),
            "",
        ),
        "+" if host.is_free else "",
        "good",
    )


def host_about(host: HostReward, currency: Currency) -> str:
    """When a host's place is free, and whether it is."""
    stands = (
        f"it is free, which costs {currency.show(host.worth)}"
        if host.is_free
        else f"{heads_text(host.others_lacking)} more and it is"
        if host.others_lacking
        else "fewer heads come than are charged at least, so it is not"
    )
    row = host.class_row
    return (
        f"{ref('booking', host.booking_id)} {host.host} hosts {class_lines.named(row)}, {show_day(row.first_day)}: with"
        f" {host.free_from} other heads the host's place is free; {host.heads - 1} come, {stands}. Enter opens"
        " the class."
    )


def list_rows(
    rows: Sequence[PromotionRow], hosts: Sequence[HostReward], currency: Currency, *, with_ended: bool
) -> list[Row | Section]:
    """What runs, what has ended where that is asked for, and the hosts."""
    found: list[Row | Section] = []
    for title, some in (
        ("Kept", [row for row in rows if not row.ended]),
        ("Ended", [row for row in rows if row.ended and with_ended]),
    ):
        if some:
            cost, brought = sum(row.cost for row in some), sum(row.brought for row in some)
            found.append(Section(title, f"cost {currency.show(cost)}, brought {currency.show(brought)}"))
            found += [promotion_row(row, currency) for row in some]
    if hosts:
        free = [host for host in hosts if host.is_free]
        worth = currency.show(sum(host.worth for host in free))
        found.append(Section("Hosts' places", f"other heads of those needed; {len(free)} free, worth {worth}"))
        found += [host_row(host, currency) for host in hosts]
    return found

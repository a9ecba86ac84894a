"""Who a message about a class goes to, filled household by household, and kept as drafts.

A household is an address: children go by their guardian's, nameless guests by their host's. Sums are told only to the
address of who pays. Nobody outside the household is named.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field

from scheduling.clock import wall_time
from scheduling.commands.found import found, number
from scheduling.errors import ConflictError, NotFoundError
from scheduling.model.bookings import heads_text
from scheduling.model.messages import DEFAULTS, Template, filled
from scheduling.store.booking_money import booking_money, currency_of, meetings
from scheduling.store.rows import Transaction, from_utc_text
from scheduling.words import show_day, show_moment

STATES = {
    "seated": ("held", "deposit", "confirmed"),
    "offered": ("offered",),
    "waiting": ("waitlist",),
    "all": ("held", "deposit", "confirmed", "offered", "waitlist"),
}


@dataclass(slots=True)
class Household:
    """One address with the people it reaches and what their payer's bookings say."""

    address: str
    called: str = ""
    people: set[int] = field(default_factory=set)
    names: list[str] = field(default_factory=list)
    guests: int = 0
    to_pay: int = 0
    back: int = 0
    credit: int = 0
    until: str = ""


def template_named(tx: Transaction, name: str) -> Template:
    """Her own wording of a template, else the one it came with; raises NotFoundError."""
    row = tx.first("SELECT * FROM message_template WHERE name = ?", (name,))
    if row is not None:
        return Template(row["name"], row["subject"], row["body"], bool(row["is_news"]))
    for template in DEFAULTS:
        if template.name == name:
            return template
    raise NotFoundError(
        f"There is no template {name}.", hint=f"Use one of {', '.join(one.name for one in DEFAULTS)}.", field="template"
    )


def draft_for_class(
    tx: Transaction, class_date_id: int, template: str, *, audience: str = "all", booking_id: int | None = None
) -> int:
    """Draft a template for the households of a class, or of one booking; gives how many were drafted.

    Who has it already, as a draft or in the very same words as sent, is passed over: nothing goes twice.
    """
    wording = template_named(tx, template)
    if wording.is_news:
        raise ConflictError("News goes to those who said yes to it.", hint="Draft it as news.", field="template")
    values = class_values(tx, class_date_id)
    drafted = 0
    for home in households(tx, class_date_id, STATES[audience], booking_id):
        own = values | home_values(tx, home)
        drafted += keep_draft(tx, wording, home.address, home.people, own, class_date_id)
    return drafted


def households(tx: Transaction, class_date_id: int, states: Iterable[str], booking_id: int | None) -> list[Household]:
    """The addresses of a class; people without one are left out (the caller says how many)."""
    homes: dict[str, Household] = {}
    marks = ", ".join(f"'{state}'" for state in states)
    zone = str(tx.value("SELECT zone FROM class_date WHERE id = ?", (class_date_id,)))
    for row in tx.rows(
        f"""SELECT booking.id, booking.lapses_at, booking.payer_id, person.id AS person_id, person.name,
              coalesce(nullif(person.email, ''), nullif(guardian.email, ''), payer.email) AS address,
              payer.email AS payer_email, payer.name AS payer, guardian.name AS guardian
            FROM booking JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
            JOIN person AS payer ON payer.id = booking.payer_id
            LEFT JOIN person ON person.id = seat.person_id
            LEFT JOIN person AS guardian ON guardian.id = person.guardian_id
            WHERE booking.class_date_id = ?1 AND booking.state IN ({marks}) AND (?2 IS NULL OR booking.id = ?2)
            ORDER BY booking.id, seat.id""",  # noqa: S608  our own states
        (class_date_id, booking_id),
    ):
        for address, is_head in ((row["address"], True), (row["payer_email"], False)):
            if not address:
                continue
            home = homes.setdefault(address.casefold(), Household(address))
            if is_head and row["person_id"] is not None:
                home.people.add(row["person_id"])
                if row["name"] not in home.names:
                    home.names.append(row["name"])
                home.called = home.called or row["guardian"] or row["name"]
            elif is_head:
                home.guests += 1
            if address == row["payer_email"]:
                home.people.add(row["payer_id"])
                home.called = row["payer"]
            if row["lapses_at"]:
                local = wall_time(from_utc_text(row["lapses_at"]), zone).local
                home.until = f"until {show_moment(local)}"
    for one in booking_money(
        tx,
        f"booking.class_date_id = ?1 AND booking.state IN ({marks}) AND (?2 IS NULL OR booking.id = ?2)",
        (class_date_id, booking_id),
    ):
        address = str(tx.value("SELECT email FROM person WHERE id = ?", (one.payer_id,)) or "").casefold()
        if address in homes:
            homes[address].to_pay += one.balance.to_pay
            homes[address].back += one.balance.to_give_back
            homes[address].credit += one.balance.to_credit
    return list(homes.values())


def home_values(tx: Transaction, home: Household) -> dict[str, str]:
    """The fields that differ from household to household."""
    currency = currency_of(tx)
    heads = list(home.names)
    if home.guests:
        heads.append(f"{'' if not heads else 'and '}{heads_text(home.guests)}{' more' if heads else ''}")
    return {
        "name": home.called or home.address,
        "heads": ", ".join(heads) or "you",
        "to_pay": f"{currency.show(home.to_pay)} {currency.code}" if home.to_pay else "nothing",
        "back": f"{currency.show(home.back)} {currency.code}" if home.back else "nothing",
        "credit": f"{currency.show(home.credit)} {currency.code}" if home.credit else "nothing",
        "until": home.until or "for now",
    }


def _zone_words(zone: str) -> str:
    """A time zone as people say it: `New York time`. Whoever comes to a room is in it already."""
    place = zone.rpartition("/")[2].replace("_", " ")
    return place if place in ("UTC", "GMT") else f"{place} time"


def class_values(tx: Transaction, class_date_id: int) -> dict[str, str]:
    """The fields that are the same for everyone on a class; nothing personal is among them."""
    row = found(tx, "class_date", class_date_id)
    venue = found(tx, "venue", number(row, "venue_id"))
    bring = tx.value("SELECT to_bring FROM project_version WHERE id = ?", (row["project_version_id"],))
    sessions = meetings(tx, class_date_id)
    times = [
        f"{show_day(one.starts.local.date(), year=True)}, {one.starts.local:%H:%M} to {one.ends.local:%H:%M}"
        for one in sessions
    ]
    return {
        "class": str(row["title"]),
        "day": show_day(sessions[0].starts.local.date(), year=True),
        "times": "\n".join(times) + (f" ({_zone_words(str(row['zone']))})" if venue["online"] else ""),
        "place": str(venue["name"]),
        "address": str(venue["joining_link"] if venue["online"] else venue["address"]),
        "bring": str(bring or "Nothing."),
        "studio": str(tx.value("SELECT name FROM studio")),
    }


def keep_draft(
    tx: Transaction,
    wording: Template,
    address: str,
    people: Iterable[int],
    values: dict[str, str],
    class_date_id: int | None,
) -> int:
    """Keep one draft unless the address has such a draft, or these very words were sent already; gives 1 or 0."""
    subject, body = filled(wording.subject, values), filled(wording.body, values)
    there = tx.first(
        """SELECT 1 FROM message WHERE template = ? AND class_date_id IS ? AND lower(address) = lower(?)
             AND (state IN ('draft', 'sending') OR state = 'sent' AND body = ?)""",
        (wording.name, class_date_id, address, body),
    )
    if there is not None:
        return 0
    tx.insert(
        "message",
        {
            "template": wording.name,
            "class_date_id": class_date_id,
            "address": address,
            "people": json.dumps(sorted(people)),
            "subject": subject,
            "body": body,
            "state": "draft",
            "state_at": tx.now_text,
            "created_at": tx.now_text,
        },
    )
    return 1

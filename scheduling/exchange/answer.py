"""What `kitwright read` says of a file of people, as plain values for JSON."""

from __future__ import annotations

from scheduling.exchange.rows import PeopleRead

UNKNOWN = "?"
"""Stands for a phone number that lost digits, and for a number of heads that cannot be read."""


def people_answer(read: PeopleRead) -> dict[str, object]:
    """The "people" answer: {"kind", "people", "bookings", "ask", "notices"}.

    people: {"name", "emails", "phones"}, phones as digits with their +, "?" for one that lost digits.
    bookings: {"name", "heads", "state", "date", "paid"}; heads is "?" when the cell cannot be read, date and paid
        are null when empty or still asked. Health notes and addresses are never in it.
    """
    return {
        "kind": "people",
        "people": [
            {
                "name": person.name,
                "emails": list(person.emails),
                "phones": [UNKNOWN if phone.damaged else phone.number for phone in person.phones],
            }
            for person in read.people
        ],
        "bookings": [
            {
                "name": read.people[sign_up.person].name,
                "heads": UNKNOWN if sign_up.heads is None else sign_up.heads,
                "state": sign_up.state,
                "date": sign_up.day.isoformat() if sign_up.day else None,
                "paid": f"{sign_up.paid:f}" if sign_up.paid is not None else None,
            }
            for sign_up in read.sign_ups
        ],
        "ask": [question.text for question in read.ask],
        "notices": [{"text": str(notice)} for notice in read.notices],
    }

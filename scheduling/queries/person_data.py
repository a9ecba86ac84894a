"""Everything that is kept of one person, to be shown to them or given to them as a file (domain.md, rule 6)."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from scheduling.queries.people import Person
from scheduling.queries.person_money import PersonMoney
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class PersonData:
    """All entries of a person as plain values: days as ISO text, sums as decimal text with the currency beside them.

    with_health: also the health note itself, which goes out only where it is asked for by name.
    Nothing of anyone else is in it but the names of guardian and children. Raises NotFoundError.
    """

    person_id: int
    with_health: bool = False

    def fetch(self, reader: Reader) -> dict[str, Any]:
        page = Person(self.person_id).fetch(reader)
        money = PersonMoney(self.person_id).fetch(reader)
        currency = money.currency
        entry = {
            "reference": page.ref,
            "name": page.name,
            "email": page.email,
            "phone": page.phone,
            "address": page.address,
            "abroad": page.abroad,
            "birth_year": page.birth_year,
            "guardian": page.guardian,
            "access_needs": page.access_needs,
            "has_health_note": bool(page.health_note),
            "health_note_erased_after": page.health_erase_on,
            "photos": {"consent": page.photos, "since": page.photos_on},
            "news": {"consent": page.news, "since": page.news_on},
            "note": page.note,
            "collectors": reader.value("SELECT collectors FROM person WHERE id = ?", (self.person_id,)),
        }
        if self.with_health:
            entry["health_note"] = page.health_note
        return {
            "person": entry,
            "children": [
                row["name"]
                for row in reader.rows("SELECT name FROM person WHERE guardian_id = ? ORDER BY id", (page.id,))
            ],
            "bookings": [
                {
                    "booking": one.ref,
                    "class": one.class_row.ref,
                    "title": one.class_row.title,
                    "starts": one.class_row.starts.aware.isoformat(),
                    "state": one.state,
                    "heads": one.heads,
                    "pays": one.pays,
                }
                for one in page.bookings
            ],
            "days": [
                {
                    "class_date": row["class_date_id"],
                    "mark": row["mark"],
                    "in": row["signed_in_at"],
                    "out": row["signed_out_at"],
                }
                for row in reader.rows(
                    """SELECT booking.class_date_id, seat.mark, seat.signed_in_at, seat.signed_out_at FROM seat
                       JOIN booking ON booking.id = seat.booking_id WHERE seat.person_id = ? AND seat.mark <> ''
                       ORDER BY seat.id""",
                    (page.id,),
                )
            ],
            "money": [
                {
                    "booking": f"B{one.money.id:02d}",
                    "price": str(currency.from_minor(one.money.price)),
                    "to_pay": str(currency.from_minor(one.money.balance.to_pay)),
                    "to_give_back": str(currency.from_minor(one.money.balance.over)),
                    "entries": [
                        {
                            "day": entry_of.day.isoformat(),
                            "what": entry_of.what,
                            "amount": str(currency.from_minor(entry_of.amount)),
                            "method": entry_of.method,
                            "reference": entry_of.reference,
                        }
                        for entry_of in one.entries
                    ],
                }
                for one in money.bookings
            ],
            "credits": [
                {"credit": one.ref, "left": str(currency.from_minor(one.left)), "ends_on": one.ends_on.isoformat()}
                for one in money.credits
            ],
            "currency": currency.code,
            "messages": [
                {"at": row["state_at"], "state": row["state"], "subject": row["subject"], "text": row["body"]}
                for row in reader.rows(
                    """SELECT * FROM message WHERE state <> 'dropped'
                         AND EXISTS (SELECT 1 FROM json_each(people) WHERE value = ?) ORDER BY id""",
                    (page.id,),
                )
            ],
        }


def data_text(data: dict[str, Any]) -> str:
    """The data as a JSON text to be written into a file."""
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"

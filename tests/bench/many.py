"""A studio file of a size that no single instructor reaches: for measuring, made once a run."""

from __future__ import annotations

import datetime as dt
import random
from pathlib import Path

from demo.load import make_demo
from scheduling.folding import fold_text
from scheduling.store import database
from scheduling.store.database import connect

FIRST = [
    "Ada",
    "Bo",
    "Cleo",
    "Dov",
    "Edda",
    "Finn",
    "Gaia",
    "Hugo",
    "Ines",
    "Juno",
    "Kai",
    "Lena",
    "Mila",
    "Nils",
    "Odile",
    "Pim",
    "Rosa",
    "Sven",
    "Tove",
    "Una",
]
LAST = [
    "Arden",
    "Birk",
    "Crane",
    "Dahl",
    "Eberly",
    "Frost",
    "Grove",
    "Holt",
    "Iversen",
    "Juhl",
    "Kemp",
    "Lund",
    "Moss",
    "Nord",
    "Oake",
    "Pell",
    "Quist",
    "Rowe",
]


def make_many(path: Path, *, people: int = 50_000, classes: int = 2_000, bookings: int = 50_000, seed: int = 7) -> None:
    """The demo with so many more attendees, past class dates and bookings on them, paid but for one in a hundred."""
    make_demo(path)
    chance = random.Random(seed)
    connection = connect(str(path))
    now = "2026-12-01T09:00:00Z"
    with database.writing(connection):
        for n in range(people):
            name = f"{chance.choice(FIRST)} {chance.choice(LAST)} {n}"
            connection.execute(
                """INSERT INTO person (public_id, name, folded, email, created_at, modified_at)
                   VALUES (?, ?, ?, ?, ?, ?)""",
                (f"p{n}", name, fold_text(name), f"many{n}@example.org", now, now),
            )
        first = int(connection.execute("SELECT max(id) FROM class_date").fetchone()[0]) + 1
        start = dt.date(2019, 1, 1)
        for n in range(classes):
            day = start + dt.timedelta(days=n * 2800 // classes)
            connection.execute(
                """INSERT INTO class_date (public_id, title, project_version_id, venue_id, recipe_id, place, zone,
                     seats, minimum, fee_minor, taught_at, created_at, modified_at)
                   VALUES (?, ?, 1, 1, 2, 'room', 'America/New_York', 60, 4, 4000, ?, ?, ?)""",
                (f"c{n}", f"Past class {n}", now, now, now),
            )
            connection.execute(
                "INSERT INTO session (public_id, class_date_id, starts, ends) VALUES (?, ?, ?, ?)",
                (f"s{n}", first + n, f"{day}T10:00", f"{day}T12:30"),
            )
        payers = [row[0] for row in connection.execute("SELECT id FROM person WHERE public_id LIKE 'p%'")]
        for n in range(bookings):
            booking = connection.execute(
                """INSERT INTO booking (public_id, class_date_id, payer_id, state, fee_minor, refund_tiers, created_at,
                     modified_at) VALUES (?, ?, ?, 'confirmed', 4000, '[]', ?, ?)""",
                (f"b{n}", first + n % classes, payers[n % len(payers)], now, now),
            )
            connection.execute(
                "INSERT INTO seat (booking_id, person_id, mark) VALUES (?, ?, 'attended')",
                (booking.lastrowid, payers[n % len(payers)]),
            )
            if n % 100:
                connection.execute(
                    """INSERT INTO payment (public_id, booking_id, payer_id, day, amount_minor, method, created_at,
                         modified_at) VALUES (?, ?, ?, ?, 4000, 'card', ?, ?)""",
                    (f"y{n}", booking.lastrowid, payers[n % len(payers)], str(start)[:10], now, now),
                )
    connection.close()

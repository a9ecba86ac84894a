"""What attendees' needs are held against: the class with its venue, kit, tools and helpers, its mail, its room."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from scheduling.model.deadlines import post_by
from scheduling.model.fit import Asks, Place, Posting, abroad_says, misfits, no_address_says
from scheduling.model.refs import ref
from scheduling.store.class_facts import class_facts, date_rules, prep_calendars
from scheduling.store.rows import Reader

_HOLDING = "('held', 'deposit', 'confirmed', 'offered')"


def place_of(reader: Reader, class_date_id: int) -> Place:
    """What a class date that is there offers."""
    row = reader.first(
        """SELECT venue.name, venue.online, venue.step_free, venue.hearing_loop, class_date.helpers,
             class_date.project_version_id, project_version.age_from,
             (SELECT min(starts) FROM session WHERE class_date_id = class_date.id AND dropped = 0) AS first
           FROM class_date JOIN venue ON venue.id = class_date.venue_id
           JOIN project_version ON project_version.id = class_date.project_version_id WHERE class_date.id = ?""",
        (class_date_id,),
    )
    assert row is not None, class_date_id
    version = (row["project_version_id"],)
    return Place(
        venue=row["name"],
        online=bool(row["online"]),
        step_free=bool(row["step_free"]),
        hearing_loop=bool(row["hearing_loop"]),
        age_from=row["age_from"],
        first_day=dt.date.fromisoformat(row["first"][:10]) if row["first"] else reader.today(),
        materials=tuple(
            (one["name"], one["cautions"])
            for one in reader.rows(
                """SELECT DISTINCT material.id, material.name, material.cautions FROM bill_line
                   JOIN material ON material.id = bill_line.material_id
                   WHERE project_version_id = ? AND packaging = 0 ORDER BY material.id""",
                version,
            )
        ),
        tools=tuple(
            one["name"]
            for one in reader.rows(
                """SELECT name FROM tool_need JOIN tool ON tool.id = tool_id
                   WHERE project_version_id = ? ORDER BY tool.id""",
                version,
            )
        ),
        helpers=row["helpers"],
    )


def posting_of(reader: Reader, class_date_id: int) -> Posting | None:
    """How the kits of a class date are mailed; None where they are not."""
    dates = class_facts(reader, [class_date_id])[class_date_id].dates
    if dates.post_by is None:
        return None
    return Posting(dates.post_by, dates.post_by_abroad, reader.today())


def with_others(reader: Reader, class_date_id: int, posting: Posting) -> Posting:
    """The same with the other mailed classes, with a seat left, whose kits can still go abroad; takes longer."""
    rules, mailing = date_rules(reader), prep_calendars(reader).mailing
    found: list[tuple[dt.date, int, str]] = []
    for row in reader.rows(
        """SELECT class_date.id, class_date.title, min(session.starts) AS first FROM class_date
           JOIN session ON session.class_date_id = class_date.id AND session.dropped = 0
           LEFT JOIN seats_taken ON seats_taken.class_date_id = class_date.id
           WHERE mailed_kit = 1 AND class_date.state <> 'cancelled' AND taught_at IS NULL AND class_date.id <> ?
             AND private_party = 0 AND coalesce(seats_taken.heads, 0) < class_date.seats
             AND session.starts > ?
           GROUP BY class_date.id""",
        (class_date_id, posting.today.isoformat()),
    ):
        day = post_by(
            dt.date.fromisoformat(row["first"][:10]),
            transit_days=rules.transit_days_abroad,
            in_hand_days_before=rules.in_hand_days_before,
            mailing=mailing,
            handling_days=rules.handling_days,
        )
        if day >= posting.today:
            found.append((day, row["id"], row["title"]))
    others = tuple((f"{ref('class_date', number)} {title}", day) for day, number, title in sorted(found))
    return replace(posting, others=others)


def staying(reader: Reader, class_date_id: int) -> int:
    """Adults in the room without a seat: guardians where they stay, and those named with a booking.

    A guardian with several children is there once; one with a seat of their own is counted with the heads.
    """
    guardians = reader.value(
        f"""SELECT count(DISTINCT child.guardian_id) FROM class_date
            JOIN booking ON booking.class_date_id = class_date.id AND booking.state IN {_HOLDING}
            JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
            JOIN person AS child ON child.id = seat.person_id
            WHERE class_date.id = ?1 AND class_date.guardians_stay = 1 AND child.guardian_id NOT IN (
              SELECT other.person_id FROM seat AS other JOIN booking AS theirs ON theirs.id = other.booking_id
              WHERE theirs.class_date_id = ?1 AND theirs.state IN {_HOLDING} AND other.given_up_at IS NULL
                AND other.person_id IS NOT NULL)""",  # noqa: S608  our own names
        (class_date_id,),
    )
    named = reader.value(
        f"SELECT coalesce(sum(staying_adults), 0) FROM booking WHERE class_date_id = ? AND state IN {_HOLDING}",  # noqa: S608
        (class_date_id,),
    )
    return int(guardians) + int(named)


def misfits_of(reader: Reader, place: Place, person_id: int) -> list[str]:
    """What about one attendee does not fit the class, a sentence each."""
    row = reader.first("SELECT * FROM person WHERE id = ?", (person_id,))
    if row is None:
        return []
    return misfits(
        Asks(row["name"], row["access_needs"], row["birth_year"], row["health_note"], row["guardian_id"] is not None),
        place,
    )


def posting_warnings(reader: Reader, class_date_id: int, payers: list[int]) -> list[str]:
    """What stands against the mailing of these payers' kits; nothing for a class whose kits are not mailed."""
    posting = posting_of(reader, class_date_id) if payers else None
    if posting is None:
        return []
    marks = ", ".join("?" * len(payers))
    rows = reader.rows(
        f"SELECT name, abroad, trim(address) <> '' AS has_address FROM person WHERE id IN ({marks}) ORDER BY name, id",  # noqa: S608
        payers,
    )
    abroad = [row["name"] for row in rows if row["abroad"]]
    if abroad and posting.by_abroad is not None and posting.by_abroad < posting.today:
        posting = with_others(reader, class_date_id, posting)
    said = [abroad_says(name, posting) for name in abroad]
    missing = [row["name"] for row in rows if not row["has_address"]]
    return [*said, no_address_says(missing)] if missing else said

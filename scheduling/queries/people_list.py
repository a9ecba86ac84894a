"""What a list over all attendees needs: their texts for finding, and single rows as they come in sight."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from scheduling.folding import fold_text
from scheduling.queries.people import PersonRow
from scheduling.store.rows import Reader

_MANY_CHANGED = 500


@dataclass(frozen=True, slots=True)
class PersonText:
    """text: folded name, small e-mail, phone and reference, a line each; what typing is looked for in."""

    id: int
    text: str
    retired: bool


@dataclass(frozen=True, slots=True)
class TextsSince:
    """revision: the newest action that the texts know; is_whole: they are all there are, not only changed ones.

    gone: ids that were asked for or kept before and are not there any more.
    """

    revision: int
    is_whole: bool
    texts: tuple[PersonText, ...]
    gone: frozenset[int]


@dataclass(frozen=True, slots=True)
class PeopleTexts:
    """The texts of all attendees, or of those that actions after `since` have touched.

    since: a revision as TextsSince gave it; None for all. Erased people are left out.
    """

    since: int | None = None

    def fetch(self, reader: Reader) -> TextsSince:
        revision = int(reader.value("SELECT coalesce(max(id), 0) FROM history"))
        changed = None if self.since is None or self.since > revision else _touched(reader, self.since)
        if changed is None:
            return TextsSince(revision, True, _texts(reader, ""), frozenset())
        texts = _texts(reader, f"AND id IN ({','.join('?' * len(changed))})", changed) if changed else ()
        return TextsSince(revision, False, texts, frozenset(changed) - {text.id for text in texts})


def _touched(reader: Reader, since: int) -> list[int] | None:
    """The people that actions after `since` changed; None when they are many or an erasing is among them."""
    found: set[int] = set()
    for row in reader.rows("SELECT undoable, changes FROM history WHERE id > ?", (since,)):
        if not row["undoable"]:
            return None
        found |= {number for table, number, *_ in json.loads(row["changes"]) if table == "person"}
        if len(found) > _MANY_CHANGED:
            return None
    for row in reader.rows(
        """SELECT first_id, last_id FROM history_part WHERE made_in = 'person' AND history_id IN
             (SELECT id FROM history WHERE id > ?1 UNION SELECT target_id FROM history WHERE id > ?1)""",
        (since,),
    ):
        found |= set(range(row["first_id"], row["last_id"] + 1))
        if len(found) > _MANY_CHANGED:
            return None
    return sorted(found)


def _texts(reader: Reader, condition: str, parameters: Sequence[object] = ()) -> tuple[PersonText, ...]:
    return tuple(
        PersonText(row[0], row[2], bool(row[1]))
        for row in reader.rows(
            f"""SELECT id, retired_at IS NOT NULL,
                  folded || char(10) || lower(email) || char(10) || phone || char(10) || 'a' || printf('%02d', id)
                FROM person WHERE erased_at IS NULL {condition}""",  # noqa: S608  only marks are put in
            parameters,
        )
    )


_ROW = """
SELECT id, name, email, phone, access_needs, health_note, guardian_id, retired_at,
  (SELECT count(DISTINCT booking.id) FROM booking JOIN session USING (class_date_id)
   WHERE booking.payer_id = person.id AND booking.state NOT IN ('cancelled', 'transferred')
     AND session.ends >= ? AND session.dropped = 0) AS coming
FROM person WHERE erased_at IS NULL AND
"""


def _person_rows(reader: Reader, condition: str, parameters: Sequence[object]) -> tuple[PersonRow, ...]:
    return tuple(
        PersonRow(
            id=row["id"],
            name=row["name"],
            email=row["email"],
            phone=row["phone"],
            has_needs=bool(row["access_needs"] or row["health_note"]),
            is_child=row["guardian_id"] is not None,
            retired=row["retired_at"] is not None,
            coming=row["coming"],
        )
        for row in reader.rows(f"{_ROW} {condition}", [reader.today().isoformat(), *parameters])
    )


@dataclass(frozen=True, slots=True)
class PeopleRows:
    """The rows of these attendees, in no order; those that are not there are left out."""

    ids: tuple[int, ...]

    def fetch(self, reader: Reader) -> tuple[PersonRow, ...]:
        return _person_rows(reader, f"id IN ({','.join('?' * len(self.ids))})", self.ids)


@dataclass(frozen=True, slots=True)
class PeopleNamed:
    """Attendees of exactly this name, however it is written, by their numbers."""

    name: str

    def fetch(self, reader: Reader) -> tuple[PersonRow, ...]:
        return _person_rows(reader, "folded = ? ORDER BY id", (fold_text(self.name),))


@dataclass(frozen=True, slots=True)
class Children:
    """Those whom an attendee is guardian of, by name."""

    guardian_id: int

    def fetch(self, reader: Reader) -> tuple[PersonRow, ...]:
        return _person_rows(reader, "guardian_id = ? ORDER BY folded, id", (self.guardian_id,))

"""Anything by a few letters: attendees, classes, bookings, prep, venues, projects, materials, suppliers, orders."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from scheduling.folding import fold_text
from scheduling.model.bookings import heads_text
from scheduling.model.refs import LETTERS, ref
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.queries.people_list import PeopleRows
from scheduling.store.rows import Reader
from scheduling.words import show_day, show_time

Kind = Literal["class", "attendee", "booking", "task", "venue", "project", "material", "supplier", "order"]

_REFERENCE: Final = re.compile(r"([a-z])0*(\d{1,12})")
_LAST: Final = "\U0010ffff"


@dataclass(frozen=True, slots=True)
class FoundRow:
    """One thing found; class_date_id: the class that a booking or task is of, 0 for the others."""

    kind: Kind
    id: int
    ref: str
    title: str
    about: str
    class_date_id: int = 0


@dataclass(frozen=True, slots=True)
class Search:
    """Things of which every word typed is found, in any script, with or without accents; () for an empty text.

    at_most: rows in all. What a reference names comes first; then come classes (those to come before past ones),
    attendees (names that begin with the text first), open prep, venues, projects, materials, suppliers and orders on
    their way, each kind with its share.
    """

    text: str
    at_most: int = 60

    def fetch(self, reader: Reader) -> tuple[FoundRow, ...]:
        words = fold_text(self.text).split()
        if not words:
            return ()
        exact = _by_reference(reader, words)
        named = {(row.kind, row.id) for row in exact}
        kinds = [
            [row for row in find(reader, words, self.at_most) if (row.kind, row.id) not in named]
            for find in (_classes, _people, _tasks, _venues, _projects, _materials, _suppliers, _orders)
        ]
        return tuple(_shared([exact, *kinds], self.at_most))


def _shared(kinds: Sequence[Sequence[FoundRow]], at_most: int) -> list[FoundRow]:
    """The first of every kind up to an equal share, what is left over going to the kinds in their order."""
    share = max(at_most // max(sum(bool(kind) for kind in kinds), 1), 1)
    taken = [min(len(kind), share) for kind in kinds]
    for n, kind in enumerate(kinds):
        taken[n] += max(min(len(kind) - taken[n], at_most - sum(taken)), 0)
    return [row for kind, count in zip(kinds, taken, strict=True) for row in kind[:count]][:at_most]


# --- by reference -----------------------------------------------------------------------------------------------


def _by_reference(reader: Reader, words: Sequence[str]) -> list[FoundRow]:
    """What the one word typed names, if it is a reference such as B231."""
    match = _REFERENCE.fullmatch(words[0]) if len(words) == 1 else None
    if match is None:
        return []
    letter, number = match[1].upper(), int(match[2])
    table = next((name for name, known in LETTERS.items() if known == letter), "")
    finders: dict[str, Callable[[Reader, int], list[FoundRow]]] = {
        "class_date": lambda reader, number: _class_found(reader, [number]),
        "person": lambda reader, number: _people_found(reader, [number]),
        "booking": _booking_found,
        "task": lambda reader, number: _tasks_found(reader, [number]),
        "venue": lambda reader, number: [row for row, _ in _all_venues(reader) if row.id == number],
        "project": lambda reader, number: [row for row, _ in _all_projects(reader) if row.id == number],
        "material": lambda reader, number: [row for row, _ in _all_materials(reader) if row.id == number],
        "supplier": lambda reader, number: [row for row, _ in _all_suppliers(reader) if row.id == number],
        "supply_order": lambda reader, number: [row for row, _ in _all_orders(reader, number)],
    }
    return finders[table](reader, number) if table in finders else []


def _booking_found(reader: Reader, number: int) -> list[FoundRow]:
    row = reader.first(
        """SELECT booking.id, booking.state, booking.class_date_id, person.name,
             (SELECT count(*) FROM seat WHERE booking_id = booking.id AND given_up_at IS NULL) AS heads
           FROM booking JOIN person ON person.id = booking.payer_id WHERE booking.id = ?""",
        (number,),
    )
    if row is None:
        return []
    of_class = class_rows(reader, [row["class_date_id"]])[0]
    about = f"{row['state']}, {heads_text(row['heads'])}, {of_class.ref} {of_class.title}, {_when(of_class)}"
    return [FoundRow("booking", row["id"], ref("booking", row["id"]), row["name"], about, of_class.id)]


# --- classes ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _ClassText:
    id: int
    text: str
    is_past: bool
    starts: str


def _class_texts(reader: Reader) -> list[_ClassText]:
    """Every class date with what is looked for in it: those to come by start, then past ones, latest first."""
    key = "texts of class dates"
    if key not in reader.memo:
        today = reader.today().isoformat()
        rows = reader.rows(
            """SELECT class_date.id, class_date.title, project_version.title AS project, venue.name AS venue,
                 min(session.starts) AS starts, max(session.ends) AS ends
               FROM class_date JOIN session ON session.class_date_id = class_date.id AND session.dropped = 0
               JOIN project_version ON project_version.id = class_date.project_version_id
               JOIN venue ON venue.id = class_date.venue_id GROUP BY class_date.id"""
        )
        texts = [
            _ClassText(
                id=row["id"],
                text=fold_text(
                    f"{ref('class_date', row['id'])} {row['title']} {row['project']} {row['venue']}"
                    f" {show_day(dt.date.fromisoformat(row['starts'][:10]), year=True)}"
                ),
                is_past=row["ends"] < today,
                starts=row["starts"],
            )
            for row in rows
        ]
        coming = sorted((text for text in texts if not text.is_past), key=lambda text: (text.starts, text.id))
        past = sorted((text for text in texts if text.is_past), key=lambda text: (text.starts, text.id), reverse=True)
        reader.memo[key] = [*coming, *past]
    return reader.memo[key]  # type: ignore[return-value]  # put there above


def _classes(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    ids = [text.id for text in _class_texts(reader) if all(word in text.text for word in words)]
    return _class_found(reader, ids[:at_most])


def _class_found(reader: Reader, ids: Sequence[int]) -> list[FoundRow]:
    rows = {row.id: row for row in class_rows(reader, ids)}
    found = [rows[number] for number in ids if number in rows]
    return [FoundRow("class", row.id, row.ref, row.title, _class_about(row), row.id) for row in found]


def _class_about(row: ClassRow) -> str:
    standing = "cancelled" if row.state == "cancelled" else f"{row.heads} of {row.seats} seats taken"
    return f"{_when(row)}, {standing}, {row.venue}"


def _when(row: ClassRow) -> str:
    return f"{show_day(row.first_day, year=True)} {show_time(row.starts.local.time())}"


# --- attendees --------------------------------------------------------------------------------------------------


def _people(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    """Names that begin with the text by an index; only when they are few, all people are looked through."""
    start = " ".join(words)
    ids = [
        row["id"]
        for row in reader.rows(
            """SELECT id FROM person WHERE folded >= ? AND folded < ? AND retired_at IS NULL AND erased_at IS NULL
               ORDER BY folded, id LIMIT ?""",
            (start, start + _LAST, at_most),
        )
    ]
    if len(ids) < at_most:
        condition = " AND ".join(["(instr(folded, ?) OR instr(lower(email), ?) OR instr(phone, ?))"] * len(words))
        rows = reader.rows(
            f"""SELECT id FROM person WHERE retired_at IS NULL AND erased_at IS NULL AND {condition}
                ORDER BY +id LIMIT ?""",  # noqa: S608  only marks are put in
            [*(word for word in words for _ in range(3)), at_most + len(ids)],
        )
        ids = list(dict.fromkeys([*ids, *(row["id"] for row in rows)]))[:at_most]
    return _people_found(reader, ids)


def _people_found(reader: Reader, ids: Sequence[int]) -> list[FoundRow]:
    if not ids:
        return []
    rows = {row.id: row for row in PeopleRows(tuple(ids)).fetch(reader)}
    found: list[FoundRow] = []
    for row in (rows[number] for number in ids if number in rows):
        coming = f"{row.coming} to come" if row.coming else ""
        about = ", ".join(filter(None, ("retired" if row.retired else "", coming, row.email, row.phone)))
        found.append(FoundRow("attendee", row.id, row.ref, row.name, about))
    return found


# --- prep -------------------------------------------------------------------------------------------------------


def _open_tasks(reader: Reader) -> list[tuple[int, str, int]]:
    """Number, title and class of every open task."""
    key = "open tasks to search"
    if key not in reader.memo:
        reader.memo[key] = [
            (row["id"], row["title"], row["class_date_id"])
            for row in reader.rows(
                "SELECT id, title, class_date_id FROM task WHERE state IN ('needs-action', 'in-process') ORDER BY id"
            )
        ]
    return reader.memo[key]  # type: ignore[return-value]  # put there above


def _tasks(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    """Each word is in the task's title or in its class; words that only a class has find classes, not its tasks."""
    whole = (1 << len(words)) - 1
    tasks = _open_tasks(reader)
    titles = {title: _bits(words, fold_text(title)) for title in {title for _, title, _ in tasks}}
    classes = {text.id: (place, _bits(words, text.text)) for place, text in enumerate(_class_texts(reader))}
    hits = [
        (classes[class_id][0], number)
        for number, title, class_id in tasks
        if titles[title] and class_id in classes and titles[title] | classes[class_id][1] == whole
    ]
    return _tasks_found(reader, [number for _, number in sorted(hits)[:at_most]])


def _bits(words: Sequence[str], text: str) -> int:
    """Which of the words are in the text, one bit each."""
    return sum(1 << n for n, word in enumerate(words) if word in text)


def _tasks_found(reader: Reader, ids: Sequence[int]) -> list[FoundRow]:
    if not ids:
        return []
    rows = {
        row["id"]: row
        for row in reader.rows(f"SELECT * FROM task WHERE id IN ({','.join('?' * len(ids))})", ids)  # noqa: S608
    }
    classes = {row.id: row for row in class_rows(reader, [row["class_date_id"] for row in rows.values()])}
    found: list[FoundRow] = []
    for row in (rows[number] for number in ids if number in rows):
        of_class = classes[row["class_date_id"]]
        state = "" if row["state"] in ("needs-action", "in-process") else f"{row['state']}, "
        about = f"{state}{of_class.ref} {of_class.title}, {_when(of_class)}"
        found.append(FoundRow("task", row["id"], ref("task", row["id"]), row["title"], about, of_class.id))
    return found


# --- venues and projects ----------------------------------------------------------------------------------------


def _venues(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    return _matching(_all_venues(reader), words, at_most)


def _projects(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    return _matching(_all_projects(reader), words, at_most)


def _matching(rows: Iterable[tuple[FoundRow, str]], words: Sequence[str], at_most: int) -> list[FoundRow]:
    return [row for row, text in rows if all(word in text for word in words)][:at_most]


def _all_venues(reader: Reader) -> list[tuple[FoundRow, str]]:
    return [
        _with_text(FoundRow("venue", row["id"], ref("venue", row["id"]), row["name"], _venue_about(row)))
        for row in reader.rows("SELECT * FROM venue ORDER BY retired_at IS NOT NULL, name, id")
    ]


def _venue_about(row: object) -> str:
    seats, address = row["seats"], row["address"]  # type: ignore[index]  # a row of the store
    retired = "retired" if row["retired_at"] is not None else ""  # type: ignore[index]  # the same
    return ", ".join(filter(None, (retired, f"{seats} seats", address)))


def _all_projects(reader: Reader) -> list[tuple[FoundRow, str]]:
    rows = reader.rows(
        """SELECT project.id, project.retired_at, version.title, version.level FROM project
           JOIN project_version AS version ON version.project_id = project.id
           WHERE version.number = (SELECT max(number) FROM project_version WHERE project_id = project.id)
           ORDER BY project.retired_at IS NOT NULL, version.title, project.id"""
    )
    return [
        _with_text(
            FoundRow(
                "project",
                row["id"],
                ref("project", row["id"]),
                row["title"],
                ", ".join(filter(None, ("retired" if row["retired_at"] is not None else "", row["level"]))),
            )
        )
        for row in rows
    ]


# --- materials, suppliers, orders -------------------------------------------------------------------------------


def _materials(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    return _matching(_all_materials(reader), words, at_most)


def _suppliers(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    return _matching(_all_suppliers(reader), words, at_most)


def _orders(reader: Reader, words: Sequence[str], at_most: int) -> list[FoundRow]:
    return _matching(_all_orders(reader), words, at_most)


def _all_materials(reader: Reader) -> list[tuple[FoundRow, str]]:
    return [
        _with_text(_supply("material", row["id"], row["name"], row["retired_at"], row["supplier"] or ""))
        for row in reader.rows(
            """SELECT material.*, supplier.name AS supplier FROM material
               LEFT JOIN supplier ON supplier.id = material.supplier_id
               ORDER BY material.retired_at IS NOT NULL, material.id"""
        )
    ]


def _all_suppliers(reader: Reader) -> list[tuple[FoundRow, str]]:
    return [
        _with_text(_supply("supplier", row["id"], row["name"], row["retired_at"], row["contact"]))
        for row in reader.rows("SELECT * FROM supplier ORDER BY retired_at IS NOT NULL, name, id")
    ]


def _all_orders(reader: Reader, number: int | None = None) -> list[tuple[FoundRow, str]]:
    """Orders on their way, or the one of that number whatever its state."""
    rows = reader.rows(
        """SELECT supply_order.*, supplier.name FROM supply_order
           JOIN supplier ON supplier.id = supply_order.supplier_id
           WHERE CASE WHEN ?1 IS NULL THEN state IN ('ordered', 'part received') ELSE supply_order.id = ?1 END
           ORDER BY promised_day, supply_order.id""",
        (number,),
    )
    found = []
    for row in rows:
        day = show_day(dt.date.fromisoformat(row["promised_day"]))
        about = f"{row['state']}, comes {day}" if row["state"] in ("ordered", "part received") else row["state"]
        found.append(_with_text(FoundRow("order", row["id"], ref("supply_order", row["id"]), row["name"], about)))
    return found


def _supply(kind: Kind, number: int, name: str, retired_at: str | None, about: str) -> FoundRow:
    retired = "retired" if retired_at is not None else ""
    return FoundRow(kind, number, ref(kind, number), name, ", ".join(filter(None, (retired, about))))


def _with_text(row: FoundRow) -> tuple[FoundRow, str]:
    return row, fold_text(f"{row.ref} {row.title} {row.about}")

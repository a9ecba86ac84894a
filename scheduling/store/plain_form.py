"""The whole studio as plain values and back: every table but the history, in a form that other programs can read.

The form is documented in scheduling/STUDIO-JSON.md, whose tables are those of `ABOUT`; tests hold both to the schema.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from scheduling.clock import zone_named
from scheduling.errors import InvalidError
from scheduling.store import database, erasing, schema, schema_open
from scheduling.store.rows import Reader

KIND: Final = "kitwright studio"
FORMAT: Final = 1

LEFT_OUT: Final = frozenset({"history", "history_part", "open_booking"})
"""What was done when, and the states before: undo does not reach across a copy (decisions 14); and what follows."""

ABOUT: Final[dict[str, str]] = {
    "studio": "the studio itself: one row, with its settings, zone, currency and addresses for mail and publishing",
    "working_day": "the hours and the limit of prep minutes of each weekday; id 1 is Monday",
    "closed_day": "days on which she does not work (blocked), or on which others are closed (closure)",
    "outside_source": "files that were read in: their kind, the name they go by, what was settled about them",
    "outside_time": "times from outside calendars; takes_time 0 is cancelled or free",
    "venue": "rooms, halls and online places, with hire, travel and cancel terms",
    "project": "what is made in classes; what can change of it is in project_version",
    "project_version": "a state of a project; never changed, class dates point at one",
    "project_measure": "sizes that the bill of a project version is worked out from",
    "recipe": "prep recipes",
    "recipe_line": "lines of a recipe, each a rule for one task",
    "series": "repeating rules that class dates were made from (RFC 5545 RRULE)",
    "class_date": "one class with its seats, fee and state",
    "session": "one meeting of a class in local wall time; its public_id is the UID in calendars",
    "person": "attendees, payers and guardians, with consents, access needs and health notes",
    "erased_person": "public ids of people who were erased; they are blanked again in whatever is read in",
    "booking": "who booked which class, in what state, at what price; source_row and source_said tell rows read before",
    "seat": "one head of a booking",
    "task": "one piece of prep of a class",
    "minutes_log": "minutes worked on a task",
    "class_cost": "further costs of a class",
    "payment": "money that came in",
    "giving_up": "heads given up, with what was kept of their price",
    "refund": "money that went back",
    "credit": "sums kept as credit for a person",
    "credit_use": "credit used for a booking",
    "carried": "money carried from one booking to another",
    "charge": "what a booking is charged besides the fee, such as overtime",
    "tool_count": "tools counted out and in on the day of a class",
    "run_step": "steps of the day of a class",
    "supplier": "suppliers with their lead times and order terms",
    "supplier_closure": "days on which a supplier is closed",
    "material": "materials with form, size, pack and price",
    "tool": "tools owned",
    "bill_line": "what a project version is made of, and how each part lies: grain, upright, fold, pair, face",
    "bill_option": "other materials that a line can be made of",
    "seat_option": "what a head chose, such as a colour",
    "tool_need": "tools that a project version needs",
    "stock_movement": "every change of stock; what is on hand is their sum",
    "allotment": "stock set aside for a class",
    "kit_run": "packing the kits of a class",
    "kit_step": "steps of packing, with how many are done",
    "kit_note": "problems and weights noted while packing",
    "parcel": "kits that were posted",
    "supply_order": "orders to suppliers",
    "supply_line": "lines of an order",
    "reward": "offers of suppliers for orders of some size",
    "pooled_sum": "sums of others in a pooled order",
    "promotion": "early birds and bundles",
    "promotion_class": "the class dates of a promotion",
    "decision": "what was decided of a class, and when",
    "message_template": "texts of messages",
    "message": "messages drafted and sent",
    "kept_plan": "the plan of the day on which the studio was last opened: one row, its form as JSON",
    "pin": "where she placed work herself, in wall time",
    "day_time": "single days with another limit of prep minutes, or other hours, than her week has",
    "helper_time": "days on which a helper comes, with the minutes",
    "batch": "work for several classes that is done in one go",
    "batch_task": "the tasks of a batch",
    "calendar_sent": "entries as they went out in calendars, so that what is taken back later is called off there",
}
"""What each table of the form holds; a new table of the schema is added here, else a test fails."""

_RULES: Final = (
    (
        "a class has more heads than seats",
        """SELECT printf('C%02d', class_date.id) FROM class_date JOIN seats_taken ON class_date_id = class_date.id
           WHERE heads > seats""",
    ),
    (
        "more of a credit is used than it is worth",
        """SELECT printf('K%02d', credit.id) FROM credit WHERE amount_minor
           < (SELECT coalesce(sum(amount_minor), 0) FROM credit_use WHERE credit_id = credit.id)""",
    ),
    ("less than nothing is in stock", "SELECT printf('M%02d', material_id) FROM stock_on_hand WHERE count < 0"),
)
"""What triggers hold against single changes, asked of the whole: rows are put in without their order in time."""


def plain_form(reader: Reader) -> dict[str, Any]:
    """Every row of every table that goes out, by its number, and the newest number given in each table."""
    tables = {
        table: [dict(row) for row in reader.rows(f"SELECT * FROM {table} ORDER BY rowid")]  # noqa: S608  our own names
        for (table,) in map(tuple, reader.rows(_TABLES))
        if table not in LEFT_OUT
    }
    numbers = {row["name"]: row["seq"] for row in reader.rows("SELECT name, seq FROM sqlite_sequence ORDER BY name")}
    return {"kind": KIND, "format": FORMAT, "schema": schema.VERSION, "numbers": numbers, "tables": tables}


_TABLES = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid"


def build(path: Path, plain: Mapping[str, Any]) -> None:
    """Make the database at `path` (nothing is there yet) out of the plain form; people erased in it stay erased.

    Raises InvalidError: not our form, of a newer program, rows that do not fit the schema or do not hold together.
    """
    version = _checked_head(plain)
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    connection = database.connect(str(path))
    try:
        with database.writing(connection):
            connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
            for step in schema.STEPS[:version]:
                for statement in database.statements(step):
                    connection.execute(statement)
            _fill(connection, plain)
            database.bring_forward(connection, version)
            connection.execute(schema_open.FILL)
            _hold_together(connection)
            erasing.blank_known(connection, erasing.erased_people(connection))
    except (sqlite3.IntegrityError, OverflowError, UnicodeEncodeError) as error:
        raise InvalidError(f"The copy does not fit the rules of a studio: {error}.", hint=_ANEW) from error
    finally:
        connection.close()


_ANEW = "Write it out anew where it came from."


def _checked_head(plain: Mapping[str, Any]) -> int:
    if plain.get("kind") != KIND or plain.get("format") != FORMAT:
        raise InvalidError("The file is no copy of a studio in this form.", hint="Give a file written by copy-out.")
    version, tables, numbers = (plain.get(key) for key in ("schema", "tables", "numbers"))
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise InvalidError("The copy does not say of which version it is.", hint=_ANEW)
    if version > schema.VERSION:
        raise InvalidError("The copy was written by a newer Kitwright.", hint="Install the newer Kitwright.")
    if not isinstance(tables, dict) or not isinstance(numbers, dict):
        raise InvalidError("The copy holds no tables.", hint=_ANEW)
    return version


def _fill(connection: sqlite3.Connection, plain: Mapping[str, Any]) -> None:
    """Put all rows in; triggers rest meanwhile, since they judge single changes in the order of time."""
    triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        connection.execute(f"DROP TRIGGER {name}")
    connection.execute("PRAGMA defer_foreign_keys = ON")
    here = [row[0] for row in connection.execute(_TABLES) if row[0] not in LEFT_OUT]
    tables: Mapping[str, Any] = plain["tables"]
    if odd := sorted(set(tables) ^ set(here)):
        raise InvalidError(f"The copy lacks or adds the table {', '.join(map(str, odd))}.", hint=_ANEW)
    for table in here:
        columns = {row["name"]: row["type"] for row in connection.execute(f"PRAGMA table_info({table})")}
        marks = ", ".join("?" * len(columns))
        connection.executemany(
            f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})",  # noqa: S608  names of the schema
            [_values(table, number, row, columns) for number, row in enumerate(_rows(table, tables[table]), 1)],
        )
    _set_numbers(connection, plain["numbers"])
    for _, sql in triggers:
        connection.execute(sql)


def _rows(table: str, found: object) -> list[object]:
    if not isinstance(found, list):
        raise InvalidError(f"The table {table} of the copy is no list of rows.", hint=_ANEW)
    return found


def _values(table: str, number: int, row: object, columns: Mapping[str, str]) -> list[str | int | None]:
    """A row's values in the order of the columns; SQLite itself would turn "7" and 7 into each other."""
    if not isinstance(row, dict) or set(row) != set(columns):
        odd = sorted(set(row) ^ set(columns)) if isinstance(row, dict) else []
        about = f" ({', '.join(odd[:5])})" if odd else ""
        raise InvalidError(f"Row {number} of {table} has not the columns of this form{about}.", hint=_ANEW)
    for name, value in row.items():
        wanted = str if columns[name] == "TEXT" else int
        if value is not None and (isinstance(value, bool) or not isinstance(value, wanted)):
            kind = "text" if wanted is str else "a whole number"
            raise InvalidError(f"Row {number} of {table}: {name} is not {kind}.", hint=_ANEW)
    return [row[name] for name in columns]


def _set_numbers(connection: sqlite3.Connection, numbers: Mapping[str, Any]) -> None:
    """No number that was ever given is given again (decisions 3), also of rows that are gone."""
    known = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    for table, newest in numbers.items():
        if table not in known or not isinstance(newest, int) or isinstance(newest, bool) or newest < 0:
            raise InvalidError(f"The newest number of {table} in the copy makes no sense.", hint=_ANEW)
        connection.execute("DELETE FROM sqlite_sequence WHERE name = ?", (table,))
        rows = "0" if table in LEFT_OUT else f"coalesce((SELECT max(id) FROM {table}), 0)"  # noqa: S608  a known table
        connection.execute(
            f"INSERT INTO sqlite_sequence (name, seq) SELECT ?, max(?, {rows})",
            (table, newest),
        )


def _hold_together(connection: sqlite3.Connection) -> None:
    if broken := connection.execute("PRAGMA foreign_key_check").fetchone():
        raise InvalidError(f"A row of {broken[0]} in the copy points at nothing.", hint=_ANEW)
    for words, sql in _RULES:
        if found := connection.execute(sql).fetchone():
            raise InvalidError(f"The copy does not hold together: {words} ({found[0]}).", hint=_ANEW)
    if connection.execute("SELECT count(*) FROM studio").fetchone()[0] != 1:
        raise InvalidError("The copy holds no studio.", hint=_ANEW)
    for (zone,) in connection.execute(_ZONES).fetchall():
        zone_named(zone)


_ZONES: Final = """SELECT time_zone FROM studio UNION SELECT zone FROM class_date UNION SELECT zone FROM series
UNION SELECT zone FROM outside_time"""

"""The whole studio as JSON and back: documented table by table, refused when it does not hold together."""

from __future__ import annotations

import copy
import json
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.erasing import ErasePerson
from scheduling.copying_in import copy_in, plain_of
from scheduling.errors import InvalidError, SchedulingError, StoreError
from scheduling.queries.history import History
from scheduling.queries.people import Person
from scheduling.queries.roster import Roster
from scheduling.queries.whole_studio import WholeStudio
from scheduling.store import database, schema
from scheduling.store.plain_form import ABOUT, LEFT_OUT
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, book, class_date, dump, person
from tests.support.kit_studio import demo_studio
from tui.lines import entry

PAPER = Path(__file__).parents[2] / "scheduling" / "STUDIO-JSON.md"
CLOCK = FixedClock(NOW)
Change = Callable[[dict[str, Any]], object]


def columns() -> dict[str, list[str]]:
    """The tables of the schema and their columns, as SQLite tells them."""
    connection = database.create(":memory:")
    names = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid"
    found = {
        row[0]: [column[1] for column in connection.execute(f"PRAGMA table_info({row[0]})")]
        for row in connection.execute(names).fetchall()
    }
    connection.close()
    return found


def documented() -> str:
    """The table of STUDIO-JSON.md as it has to be."""
    known = columns()
    rows = [
        f"| `{table}` | {about} | {', '.join(f'`{name}`' for name in known[table])} |" for table, about in ABOUT.items()
    ]
    return "\n".join(["| table | what its rows are | columns |", "|---|---|---|", *rows, ""])


@pytest.fixture
def plain(tmp_path: Path) -> dict[str, Any]:
    """A small studio in its plain form."""
    with a_studio(tmp_path / "small.kitwright") as studio:
        number = class_date(studio, seats=2)
        book(studio, number, person(studio, "Ada Wren"), heads=2)
        return plain_of(studio.ask(WholeStudio()))


def test_every_table_of_the_schema_is_described() -> None:
    assert (
        list(ABOUT) == [table for table in columns() if table not in LEFT_OUT]
        or set(ABOUT) == set(columns()) - LEFT_OUT
    )


def test_the_paper_names_every_table_and_column() -> None:
    """Written anew with WRITE_DOCS=1."""
    text = PAPER.read_text("utf-8")
    head = text[: text.index("| table |")]
    if os.environ.get("WRITE_DOCS"):
        PAPER.write_text(head + documented(), "utf-8")
    assert PAPER.read_text("utf-8") == head + documented()


def test_the_demo_out_and_in_is_the_same_studio_without_its_history(tmp_path: Path) -> None:
    with demo_studio(tmp_path) as studio:
        octets, before = studio.ask(WholeStudio()), dump(studio)
        before["history"] = []
    target = tmp_path / "other.kitwright"
    assert copy_in(octets, target) is None
    with Studio(str(target)) as studio:
        assert dump(studio) == before
        assert studio.ask(WholeStudio()) == octets
    assert target.stat().st_mode & 0o777 == 0o600


def test_no_number_is_given_again_after_it(plain: dict[str, Any], tmp_path: Path) -> None:
    plain["numbers"]["person"] = 70
    target = tmp_path / "s.kitwright"
    copy_in(json.dumps(plain).encode(), target)
    with Studio(str(target), clock=CLOCK) as studio:
        assert person(studio, "New") == 71
        assert studio.ask(History())[0].id == plain["numbers"]["history"] + 1


def test_the_rules_of_the_schema_hold_again_afterwards(plain: dict[str, Any], tmp_path: Path) -> None:
    target = tmp_path / "s.kitwright"
    copy_in(json.dumps(plain).encode(), target)
    with Studio(str(target), clock=CLOCK) as studio:
        assert len(studio.ask(Roster(1)).seated) == 2
    connection = sqlite3.connect(target)
    with pytest.raises(sqlite3.IntegrityError, match="rule: seats"):
        connection.execute("UPDATE class_date SET seats = 1")
    connection.close()


def test_a_copy_of_an_older_version_is_brought_forward(plain: dict[str, Any], tmp_path: Path) -> None:
    old = database.connect(":memory:")
    for statement in database.statements(schema.STEPS[0]):
        old.execute(statement)
    names = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    first: dict[str, list[str]] = {
        row[0]: [column[1] for column in old.execute(f"PRAGMA table_info({row[0]})")] for row in old.execute(names)
    }
    old.close()
    plain["schema"] = 1
    plain["tables"] = {
        table: [{name: row[name] for name in names_ if name in row} for row in plain["tables"].get(table, [])]
        for table, names_ in first.items()
        if table not in LEFT_OUT
    }
    target = tmp_path / "s.kitwright"
    copy_in(json.dumps(plain).encode(), target)
    with Studio(str(target), clock=CLOCK) as studio:
        assert studio.notices == []
        assert [row.name for row in studio.ask(Roster(1)).seated if row.name] == ["Ada Wren"]


def test_people_erased_since_the_copy_stay_erased_when_it_goes_over_the_file(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        ada = person(studio, "Ada Wren", email="ada@example.org")
        octets = studio.ask(WholeStudio())
        studio.do(ErasePerson(person_id=ada))
        gone = person(studio, "Later")
    with pytest.raises(StoreError, match="there already"):
        copy_in(octets, path)
    kept = copy_in(octets, path, over=True, clock=CLOCK)
    assert kept is not None
    assert kept.exists()
    with Studio(str(path), clock=CLOCK) as studio:
        assert studio.ask(Person(ada)).erased
        assert studio.ask(Person(ada)).email == ""
        assert person(studio, "New") > gone
    assert b"ada@example.org" not in path.read_bytes()
    assert sorted(found.name for found in kept.parent.iterdir()) == [kept.name]


def test_people_whom_the_copy_names_as_erased_are_blanked_on_the_way_in(plain: dict[str, Any], tmp_path: Path) -> None:
    row = plain["tables"]["person"][0]
    plain["tables"]["erased_person"] = [{"public_id": row["public_id"], "erased_at": "2027-02-01T00:00:00Z"}]
    target = tmp_path / "s.kitwright"
    copy_in(json.dumps(plain).encode(), target)
    with Studio(str(target), clock=CLOCK) as studio:
        assert studio.ask(Person(1)).erased
        assert "Ada" not in studio.ask(WholeStudio()).decode()


def lost(table: str, column: str) -> Change:
    return lambda plain: plain["tables"][table][0].pop(column)


def put(table: str, column: str, value: object) -> Change:
    return lambda plain: plain["tables"][table][0].update({column: value})


@pytest.mark.parametrize(
    "change",
    [
        lambda plain: plain.update(kind="other"),
        lambda plain: plain.update(format=2),
        lambda plain: plain.update(schema=99),
        lambda plain: plain.update(schema=True),
        lambda plain: plain.update(schema=0),
        lambda plain: plain.update(tables=[]),
        lambda plain: plain["tables"].pop("seat"),
        lambda plain: plain["tables"].update(sqlite_master=[]),
        lambda plain: plain["tables"].update(history=[]),
        lambda plain: plain["tables"].update(seat={}),
        lambda plain: plain["tables"].update(studio=[]),
        lambda plain: plain["tables"]["seat"].append("seat"),
        lambda plain: plain["tables"]["person"].append(plain["tables"]["person"][0]),
        lambda plain: plain["numbers"].update(person=-1),
        lambda plain: plain["numbers"].update(sqlite_sequence=1),
        lambda plain: plain["numbers"].update({"person; DROP TABLE person": 1}),
        lost("person", "name"),
        put("person", "name", 7),
        put("person", "name", 1.5),
        put("person", "name", True),
        put("person", "name", []),
        put("person", "name", "\ud800"),
        put("person", "birth_year", 10**30),
        put("person", "birth_year", "1990"),
        put("seat", "booking_id", 99),
        put("class_date", "seats", 1),
        put("class_date", "zone", "Nowhere/Town"),
        put("studio", "time_zone", "Nowhere/Town"),
        put("session", "starts", "2027-02-30T10:00"),
        put("booking", "state", "maybe"),
    ],
)
def test_a_copy_that_does_not_hold_together_is_refused_and_makes_no_file(
    plain: dict[str, Any], tmp_path: Path, change: Change
) -> None:
    changed = copy.deepcopy(plain)
    change(changed)
    folder = tmp_path / "new"
    folder.mkdir()
    with pytest.raises(SchedulingError):
        copy_in(json.dumps(changed).encode(), folder / "s.kitwright")
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"[]", b"{", b"\xff\xfe", b"[" * 100_000, b'{"kind": NaN}', b"null"])
def test_what_is_no_copy_is_refused(content: bytes, tmp_path: Path) -> None:
    with pytest.raises(InvalidError):
        copy_in(content, tmp_path / "s.kitwright")


def test_a_studio_goes_out_and_in_by_the_command_line(tmp_path: Path) -> None:
    path, out, other = (str(tmp_path / name) for name in ("s.kitwright", "s.json", "t.kitwright"))
    a_studio(path).close()
    assert entry.run(["copy-out", out, "--file", path]) == 0
    assert Path(out).stat().st_mode & 0o777 == 0o600
    assert entry.run(["copy-in", out, "--file", other]) == 0
    assert entry.run(["copy-in", out, "--file", other]) == 1
    assert entry.run(["copy-in", out, "--file", other, "--over"]) == 0
    assert entry.run(["copy-out", str(tmp_path / "again.json"), "--file", other]) == 0
    assert (tmp_path / "again.json").read_bytes() == Path(out).read_bytes()

"""Typed text is inert on the command line: whatever the file holds, nothing of it is obeyed by the terminal."""

from __future__ import annotations

import json
import re
import sqlite3
from pathlib import Path

import pytest

from scheduling.errors import InvalidError
from scheduling.model.refs import ref_id
from tests.support.demo_studio import demo_copy
from tui.__main__ import main

HARD = (
    "\x1b[31mred\x1b[0m", "\u202eevil\u202c", "[bold]x[/] [@click=app.quit]q[/]", "a\nb\r\nc", "a\tb\x07c", "\x9b31m",
    "\u2028\ufeff\u061c\u200f", "x" * 3000, "=1+1", "{x} %s $y `z`",
)  # fmt: skip
TYPED = {
    "person": ("name", "email", "phone", "address", "access_needs", "health_note", "note", "collectors"),
    "venue": ("name", "address", "contact", "cautions"), "class_date": ("title", "public_note", "private_note"),
    "task": ("title",), "booking": ("note",), "payment": ("reference",), "class_cost": ("what",),
    "busy_time": ("title",), "closed_day": ("note",), "promotion": ("name",), "material": ("name",),
    "supplier": ("name",), "tool": ("name",), "recipe": ("name",), "studio": ("name", "town"),
    "seat": ("signed_out_to",), "history": ("summary",),
}  # fmt: skip
QUESTIONS = (
    "week --days 60", "classes --scope all", "roster C05", "roster C04", "attendees", "attendee show A12", "prep",
    "plan", "why T70", "venue", "project", "recipe", "settings", "needs", "needs C05 --why M03", "order", "stock",
    "stock journal", "kit C05", "cut C05", "material", "supplier", "tool", "reward", "bill show P1", "search x",
    "history", "owed", "money C05", "receipt B01", "cash --from 2027-01-01 --to today", "offer", "promotion", "decide",
    "day C04", "day C04 car", "message", "personal A12", "costs class C05", "class show C05", "class show C10", "bench",
    "book C09 A12 --heads 2", "cancel B42", "undo", "class cancel C11",
)  # fmt: skip
OBEYED = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")


def hardened(path: Path) -> str:
    """The demo with every typed word replaced by one that a terminal, a sheet or a mark-up reader would obey."""
    connection = sqlite3.connect(path)
    count = 0
    for table, columns in TYPED.items():
        for (row,) in connection.execute(f"SELECT rowid FROM {table}").fetchall():
            for column in columns:
                count += 1
                value = f"{HARD[count % len(HARD)]} {count}"
                connection.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (value, row))
    connection.commit()
    connection.close()
    return str(path)


@pytest.mark.all
@pytest.mark.parametrize("as_json", [False, True])
def test_no_answer_holds_a_sign_that_a_terminal_obeys(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], *, as_json: bool
) -> None:
    file = hardened(demo_copy(tmp_path))
    answered = 0
    for question in QUESTIONS:
        status = main([*question.split(), "--file", file, *(["--json"] if as_json else [])])
        found = capsys.readouterr()
        assert status in (0, 1), (question, found.err)
        assert not OBEYED.search(found.out + found.err), question
        answered += status == 0
        if as_json:
            assert json.loads(found.out)["kind"], question
    assert answered >= len(QUESTIONS) - 2


def test_a_blocked_day_says_its_note_as_plain_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = hardened(demo_copy(tmp_path))
    assert main(["week", "--days", "30", "--file", file]) == 0
    found = capsys.readouterr().out
    assert "(blocked: " in found
    assert not OBEYED.search(found)


def test_a_reference_of_another_kind_is_named_with_its_article() -> None:
    with pytest.raises(InvalidError, match="C05 is a class date; an order is wanted"):
        ref_id("C05", "supply_order")

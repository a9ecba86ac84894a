"""What is loaded when: the domain stays light, and what is slow to load waits until it is wanted."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.demo_studio import demo_copy

HERE = Path(__file__).parents[2]
SLOW = ("icalendar", "openpyxl", "dateutil", "highspy", "numpy", "charset_normalizer")


def loaded(code: str, *words: str) -> set[str]:
    """The top packages that a program of its own has loaded after `code`."""
    ask = "\nimport sys\nprint('|'.join(sorted({name.partition('.')[0] for name in sys.modules})))"
    done = subprocess.run(
        [sys.executable, "-c", code + ask, *words], capture_output=True, text=True, cwd=HERE, check=True
    )
    return set(done.stdout.strip().splitlines()[-1].split("|"))


def test_the_domain_loads_no_screen_and_nothing_slow() -> None:
    assert loaded("import scheduling") & {"textual", "rich", "tui", "demo", "pydantic", *SLOW} == set()


def test_opening_a_studio_and_asking_the_week_loads_nothing_slow(tmp_path: Path) -> None:
    code = (
        "import sys\nfrom scheduling.queries.week import Week\nfrom scheduling.studio import Studio\n"
        "with Studio(sys.argv[1]) as studio:\n    assert studio.ask(Week()).days\n"
    )
    assert loaded(code, str(demo_copy(tmp_path))) & {"textual", "rich", *SLOW} == set()


def test_the_first_screen_waits_for_nothing_that_only_a_change_needs() -> None:
    there = loaded("import tui.lines.entry, tui.lines.screens, tui.app, tui.screens.week")
    assert there & {"pydantic", *SLOW} == set()


def test_the_week_and_the_plan_on_the_command_line_wait_for_nothing_that_only_a_change_needs() -> None:
    assert loaded("import tui.lines.entry, tui.lines.week, tui.lines.plan") & {"pydantic", *SLOW} == set()


def test_booking_loads_nothing_slow(tmp_path: Path) -> None:
    code = (
        "import sys\nfrom scheduling.commands.bookings import Book\nfrom scheduling.studio import Studio\n"
        "with Studio(sys.argv[1]) as studio:\n    studio.do(Book(class_date_id=9, payer_id=1))\n"
    )
    assert loaded(code, str(demo_copy(tmp_path))) & {"textual", "rich", *SLOW} == set()


@pytest.mark.parametrize("words", [["week"], ["roster", "C05"], ["attendees", "ann"], ["history"]])
def test_the_command_line_loads_no_screen(words: list[str], tmp_path: Path) -> None:
    code = f"import sys\nfrom tui.__main__ import main\nassert main({words!r} + ['--file', sys.argv[1]]) == 0\n"
    assert loaded(code, str(demo_copy(tmp_path))) & {"textual", *SLOW} == set()


def test_the_planner_and_the_cutter_know_no_store() -> None:
    for room in ("planner", "cutting", "buying", "model", "calendar", "exchange", "prints"):
        code = (
            f"import importlib, pkgutil, scheduling.{room} as room\n"
            f"[importlib.import_module(f'scheduling.{room}.{{m.name}}') for m in pkgutil.iter_modules(room.__path__)]\n"
            "import sys\n"
            "bad = ('store', 'commands', 'queries', 'studio')\n"
            "print(*[n for n in sys.modules if n.startswith(tuple(f'scheduling.{b}' for b in bad))])"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=HERE, check=True)
        assert done.stdout.strip() == "", room

"""Printing for people: tables that keep their columns in any script, outcomes, refusals.

The screens come through here at their start, so what only `--json` needs is loaded where it is printed.
"""

from __future__ import annotations

import shutil
import sys
from argparse import Namespace
from collections.abc import Sequence
from typing import TYPE_CHECKING

from scheduling.errors import SchedulingError
from tui import cells

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome


def room() -> int:
    """Cells to a line: the terminal's, or 100 where there is none."""
    return max(60, shutil.get_terminal_size((100, 24)).columns)


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """Print rows under headings, each column as wide as it needs; `right` names columns that align right."""
    texts = [[cells.clean(text) for text in row] for row in rows]
    widths = [
        max([cells.width(heading), *(cells.width(row[n]) for row in texts)]) for n, heading in enumerate(headings)
    ]
    for row in [list(headings), *texts]:
        parts = [cells.pad(text, widths[n], "right" if n in right else "left") for n, text in enumerate(row)]
        print("  ".join(parts).rstrip())


def say(text: str) -> None:
    """Print a line; typed text is cleaned of what a terminal would obey."""
    print(cells.clean(text))


def show_outcome(outcome: Outcome, arguments: Namespace) -> int:
    """Print what a command did, as text or JSON; gives the exit status."""
    if arguments.json:
        from tui.lines.answers import outcome_answer

        print(outcome_answer(outcome))
        return 0
    say(outcome.said)
    for warning in outcome.warnings:
        say(f"Note: {warning}")
    if outcome.history_id:
        print(f"Take back with: kitwright undo {outcome.history_id}")
    return 0


def show_refusal(error: SchedulingError, *, as_json: bool) -> int:
    """Print a refusal: as JSON on standard output, or as text on standard error; gives the exit status."""
    if as_json:
        from tui.lines.answers import refused

        print(refused(error))
    else:
        print(cells.clean(str(error)), file=sys.stderr)
    return 1

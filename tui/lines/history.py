"""The verbs `history`, `undo` and `redo`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from scheduling.clock import wall_time
from scheduling.commands.undoing import Redo, Undo
from scheduling.queries.history import History
from scheduling.queries.settings import Settings
from scheduling.studio import COMMAND_LINE
from scheduling.words import show_moment
from tui.lines.answers import answer, history_entry
from tui.lines.out import show_outcome, table
from tui.lines.place import open_studio, studio_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "undo":
        parser.add_argument("number", nargs="?", type=int, help="the action's number in the history; else the latest")
    if verb == "history":
        parser.add_argument("--most", type=int, default=30, metavar="N", help="rows to show (30)")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.verb == "undo":
            return show_outcome(studio.do(Undo(history_id=parsed.number)), parsed)
        if parsed.verb == "redo":
            return show_outcome(studio.do(Redo()), parsed)
        rows = studio.ask(History(max(1, parsed.most)))
        if parsed.json:
            print(answer("history", actions=[history_entry(row) for row in rows]))
            return 0
        zone = studio.ask(Settings()).time_zone
        table(
            ("Number", "When", "By", "What", ""),
            [
                (
                    str(row.id),
                    show_moment(wall_time(row.at, zone).local, year=True),
                    "here" if row.origin == COMMAND_LINE else row.origin.split()[0],
                    row.summary,
                    "taken back" if row.undone else ("" if row.undoable or row.kind != "action" else "stays"),
                )
                for row in rows
            ],
            right=(0,),
        )
    return 0

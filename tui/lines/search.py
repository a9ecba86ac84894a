"""The verb `search`: anything by a few letters."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from scheduling.queries.search import Search
from tui.lines.answers import answer
from tui.lines.out import table
from tui.lines.place import open_studio, studio_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("text", help="letters of a name, title, day or reference")
    parser.add_argument("--most", type=int, default=30, metavar="N", help="rows to show (30)")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        rows = studio.ask(Search(parsed.text, at_most=max(1, parsed.most)))
        if parsed.json:
            found = [{"ref": row.ref, "kind": row.kind, "title": row.title, "about": row.about} for row in rows]
            print(answer("search", found=found))
            return 0
        if not rows:
            print("Nothing matches.")
            return 0
        table(("", "What", "", "About"), [(row.ref, row.kind, row.title, row.about) for row in rows])
    return 0

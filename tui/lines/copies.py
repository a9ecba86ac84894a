"""The verbs `copy-out` and `copy-in`: the whole studio as JSON, and a studio made of it."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from scheduling.copying_in import copy_in
from scheduling.outside import content_of
from scheduling.queries.whole_studio import WholeStudio
from scheduling.saving import save_file
from scheduling.studio import Studio
from tui.lines.answers import answer
from tui.lines.out import say
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path

_MOST = 1_000_000_000
"""Octets of the largest copy that is read in; a studio of 50,000 bookings has some 50 million."""


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "copy-out":
        parser.add_argument("target", metavar="FILE.json", help="the file to write; only you may read it")
        return
    parser.add_argument("source", metavar="FILE.json", help="a file written by copy-out")
    parser.add_argument("--over", action="store_true", help="put it in the place of the studio file that is there")


def run(parsed: Namespace) -> int:
    return _out(parsed) if parsed.verb == "copy-out" else _in(parsed)


def _out(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        octets = studio.ask(WholeStudio())
    target = typed_path(parsed.target).absolute()
    changed = save_file(target, octets, private=True)
    said = f"{'Written' if changed else 'Unchanged'}: all but the history is in {target}."
    return _show(said, target, parsed, changed=changed)


def _in(parsed: Namespace) -> int:
    path = studio_path(parsed.file).absolute()
    kept = copy_in(content_of(typed_path(parsed.source), most=_MOST), path, over=parsed.over)
    with Studio(str(path)) as studio:
        notices = studio.notices
    said = f"{path} is as in {parsed.source}. It has no history, so nothing from before can be taken back."
    said += f" What it held before is in {kept}." if kept else ""
    return _show(" ".join([said, *notices]), path, parsed, changed=True)


def _show(said: str, path: Path, parsed: Namespace, *, changed: bool) -> int:
    if parsed.json:
        print(answer("written", said=said, file=str(path), changed=changed))
    else:
        say(said)
    return 0

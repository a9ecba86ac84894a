"""The verb `whatif`: what a change would do to the plan, before it is kept."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling import commands
from scheduling.errors import InvalidError
from scheduling.queries.classes import ClassRow
from scheduling.queries.owed import Today
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.queries.settings import Settings
from scheduling.queries.supposing import Supposed, supposed
from scheduling.studio import Studio
from scheduling.words import read_day, read_minutes, show_day, show_minutes
from tui.lines.answers import answer
from tui.lines.named import class_named
from tui.lines.out import say
from tui.lines.place import open_studio, studio_path
from tui.lines.plan_parts import moved_entry

MOST_MOVED = 12
"""Moved tasks that are told; all of them stand in the JSON."""


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("class_date", nargs="?", metavar="CLASS", help="a reference or words")
    parser.add_argument("--heads", type=int, metavar="N", help="so many heads more, or fewer with a minus: --heads=-2")
    parser.add_argument("--to", metavar="DAY", help="the class held on that day, at its hours")
    parser.add_argument("--off", action="store_true", help="the class called off")
    parser.add_argument("--block", metavar="DAY", help="a day without work")
    parser.add_argument("--limit", nargs=2, metavar=("DAY", "MINUTES"), help="another limit of prep on a day")
    parser.add_argument("--helper", nargs=2, metavar=("DAY", "MINUTES"), help="a helper on a day")
    parser.add_argument("--keep", action="store_true", help="do it after showing it; not for heads, which are booked")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        parts = _parts(studio, parsed)
        before = studio.ask(ReadPlanInputs())
        outcomes, after = studio.suppose(parts, ReadPlanInputs())
        effect = supposed(before, after)
        kept = 0
        if parsed.keep:
            if parsed.heads:
                raise InvalidError("Heads are booked, not kept.", hint="See: kitwright book", field="keep")
            kept = studio.do(parts[0] if len(parts) == 1 else commands.AllAtOnce(parts=tuple(parts))).history_id
        said = [outcome.said for outcome in outcomes]
        notes = [warning for outcome in outcomes for warning in outcome.warnings]
        if parsed.json:
            print(answer("whatif", supposed=said, notes=notes, **_entries(effect), kept=kept))
        else:
            _show(said, notes, effect)
            print(f"\nKept. Take back with: kitwright undo {kept}" if kept else "\nNothing is kept.")
    return 0


def _parts(studio: Studio, parsed: Namespace) -> list[Any]:
    day_first = studio.ask(Settings()).day_first
    today = studio.ask(Today())

    def day(text: str, field: str) -> dt.date:
        return read_day(text, today=today, day_first=day_first, field=field).value

    parts: list[Any] = []
    if parsed.heads or parsed.to or parsed.off:
        if not parsed.class_date:
            raise InvalidError("Which class?", hint="Name it, such as C09.", field="class")
        row = class_named(studio, parsed.class_date)
        if parsed.heads:
            parts.append(commands.SupposeHeads(class_date_id=row.id, heads=parsed.heads))
        if parsed.to:
            parts.append(moved_class(row, day(parsed.to, "to")))
        if parsed.off:
            parts.append(commands.Decide(class_date_id=row.id, choice="call off"))
    if parsed.block:
        parts.append(commands.CloseDays(first=day(parsed.block, "block")))
    if parsed.limit:
        minutes = read_minutes(parsed.limit[1], field="limit").value
        parts.append(commands.SetDay(day=day(parsed.limit[0], "limit"), limit_minutes=minutes))
    if parsed.helper:
        minutes = read_minutes(parsed.helper[1], field="helper").value
        parts.append(commands.BringHelper(day=day(parsed.helper[0], "helper"), minutes=minutes))
    if not parts:
        raise InvalidError("What is to be supposed?", hint="Such as: kitwright whatif C09 --heads 3", field="class")
    return parts


def moved_class(row: ClassRow, day: dt.date) -> Any:
    """The command that holds a class so that its first session is on `day`, at the same hours."""
    shift = day - row.first_day
    sessions = tuple((each.starts.local + shift, each.ends.local + shift) for each in row.sessions)
    return commands.MoveClassDate(class_date_id=row.id, sessions=sessions)


def _entries(effect: Supposed) -> dict[str, Any]:
    return {
        "moved": [moved_entry(move) for move in effect.moved],
        "over": [{"day": day, "minutes": minutes} for day, minutes in effect.over],
        "now_late": effect.now_late,
        "no_longer_late": effect.no_longer_late,
        "late": effect.late,
        "minutes_before": effect.minutes_before,
        "minutes_after": effect.minutes_after,
    }


def _show(said: list[str], notes: list[str], effect: Supposed) -> None:
    for sentence in said:
        say(f"What if: {sentence}")
    for note in notes:
        say(f"Note: {note}")
    for sentence in effect_lines(effect):
        say(f"  {sentence}")
    for move in effect.moved[:MOST_MOVED]:
        say(f"    {move.said}")
    if len(effect.moved) > MOST_MOVED:
        print(f"    and {len(effect.moved) - MOST_MOVED} more")


def effect_lines(effect: Supposed) -> list[str]:
    """The effect in a few sentences."""
    change = effect.minutes_after - effect.minutes_before
    word = f"{show_minutes(abs(change))} {'more' if change > 0 else 'less'}" if change else "the same"
    said = [f"Prep: {word}, {show_minutes(effect.minutes_after)} in all."]
    if effect.now_late:
        said.append(f"Would be late: {', '.join(effect.now_late)}.")
    if effect.no_longer_late:
        said.append(f"No longer late: {', '.join(effect.no_longer_late)}.")
    said.append(f"Late in all: {', '.join(effect.late) if effect.late else 'none'}.")
    for day, minutes in effect.over:
        said.append(f"{show_day(day)}: {show_minutes(minutes)} over the limit.")
    count = len(effect.moved)
    said.append(f"{count} {'task lies' if count == 1 else 'tasks lie'} on other days.")
    return said

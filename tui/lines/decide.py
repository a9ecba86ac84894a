"""The verb `decide`: classes to decide on, and deciding."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling import commands
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.queries.decisions import DecisionRow, DecisionsDue
from scheduling.queries.owed import Today
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import counted, read_day, show_day
from tui.lines.answers import answer
from tui.lines.named import class_named
from tui.lines.out import say, show_outcome, table
from tui.lines.owed import lines_entry
from tui.lines.place import open_studio, studio_path

CHOICES = {"run": "run", "reduced": "run reduced", "wait": "wait", "call-off": "call off"}


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("class_date", nargs="?", metavar="CLASS", help="a reference or words; without one what is due")
    parser.add_argument(
        "choice", nargs="?", choices=tuple(CHOICES), help="what is decided; without one what is at stake"
    )
    parser.add_argument("--until", metavar="DAY", help="wait: decide by the end of that day")
    parser.add_argument("--note", default="", help="why")
    parser.add_argument(
        "--within", type=int, default=14, metavar="DAYS", help="without a class: due in so many days (14)"
    )


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if not parsed.class_date:
            return _show(studio.ask(DecisionsDue(parsed.within)), parsed)
        class_date_id = class_named(studio, parsed.class_date).id
        if not parsed.choice:
            rows = studio.ask(DecisionsDue(class_date_id=class_date_id))
            if not rows:
                raise InvalidError(f"There is nothing to decide on {parsed.class_date}.", hint="See: kitwright decide")
            return _show(rows, parsed, whole=True)
        return _decide(studio, class_date_id, parsed)


def _decide(studio: Studio, class_date_id: int, parsed: Namespace) -> int:
    until = None
    if parsed.until:
        facts = studio.ask(Settings())
        until = read_day(parsed.until, today=studio.ask(Today()), day_first=facts.day_first, field="until").value
    command = commands.Decide(
        class_date_id=class_date_id, choice=CHOICES[parsed.choice], until_day=until, note=parsed.note
    )
    return show_outcome(studio.do(command), parsed)


def _show(rows: tuple[DecisionRow, ...], parsed: Namespace, *, whole: bool = False) -> int:
    if parsed.json:
        print(answer("decisions", decisions=[decision_entry(row) for row in rows]))
        return 0
    if not rows:
        print("Nothing is to be decided in that time.")
        return 0
    table(
        ("Class", "Title", "Decide by", "Days", "Heads", "Least", "Likely", "If it runs", "Called off"),
        [
            (
                row.class_row.ref,
                row.class_row.title,
                show_day(row.waits_until or row.day),
                str(row.days_left),
                str(row.class_row.heads),
                str(row.class_row.minimum),
                "" if row.likely is None else str(row.likely),
                row.currency.show(row.run.amount),
                row.currency.show(row.called_off.amount),
            )
            for row in rows
        ],
        right=(3, 4, 5, 6, 7, 8),
    )
    if whole:
        _whole(rows[0])
    return 0


def _whole(row: DecisionRow) -> None:
    show = row.currency.show
    for title, figure in (
        ("If it runs", row.run),
        ("If it runs reduced", row.reduced),
        ("If it is called off today", row.called_off),
    ):
        print()
        say(f"{title:48}{show(figure.amount):>12}")
        for words, amount in figure.lines:
            say(f"  {words:46}{show(amount):>12}")
    print()
    for one in row.penalties:
        say(f"From {show_day(one.day)} the venue is owed {show(one.owed)} if the date is given back.")
    for earlier in row.pace:
        name = ref("class_date", earlier.class_date_id)
        say(
            f"{name} had {counted(earlier.heads_then, 'head')} at this point and {earlier.heads_in_the_end} in the end."
        )
    heads = "never" if row.break_even is None else str(row.break_even)
    say(f"Break-even: {heads}. To give back if called off: {show(row.to_give_back)}.")


def decision_entry(row: DecisionRow) -> dict[str, Any]:
    """What a decision rests on, in an answer."""
    money = row.currency.from_minor
    return {
        "class": row.class_row.ref,
        "title": row.class_row.title,
        "currency": row.currency.code,
        "day": row.day,
        "days_left": row.days_left,
        "waits_until": row.waits_until,
        "heads": row.class_row.heads,
        "minimum": row.class_row.minimum,
        "short_of": row.short_of,
        "seats": row.class_row.seats,
        "likely": row.likely,
        "break_even": row.break_even,
        "run": lines_entry(row.run, row.currency),
        "reduced": lines_entry(row.reduced, row.currency),
        "called_off": lines_entry(row.called_off, row.currency),
        "per_hour": None if row.per_hour is None else money(row.per_hour),
        "to_give_back": money(row.to_give_back),
        "penalties": [{"from": one.day, "owed": money(one.owed)} for one in row.penalties],
        "pace": [
            {
                "class": ref("class_date", one.class_date_id),
                "heads_then": one.heads_then,
                "heads_in_the_end": one.heads_in_the_end,
            }
            for one in row.pace
        ],
    }

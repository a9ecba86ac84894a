"""The kept plan as it lies in the file: what the next plan stays close to, and what had moved when it was kept.

The form is JSON: {"at", "tasks": {public id: [minutes, aim_before, latest_finish, [[start, until, hand, [ids]]]]},
"moves": [[public id, cause, [days before], [days now]]]}; moments are UTC text of whole minutes, days ISO dates.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import Any

from scheduling.clock import day_in
from scheduling.planner.plan import Kept, KeptTask, Move, MoveCause, Plan, Stretch
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class KeptDay:
    """day: on which the plan was kept. kept: what the planner compares with. moves: what had moved that morning."""

    day: dt.date
    kept: Kept
    moves: tuple[Move, ...]


def kept_day(reader: Reader) -> KeptDay | None:
    """The kept plan; None before the first."""
    row = reader.first("SELECT day, form FROM kept_plan")
    if row is None:
        return None
    form = json.loads(row["form"])
    tasks = {id_: _task(parts) for id_, parts in form["tasks"].items()}
    moves = tuple(
        Move(id_, MoveCause(cause), tuple(map(dt.date.fromisoformat, before)), tuple(map(dt.date.fromisoformat, now)))
        for id_, cause, before, now in form["moves"]
    )
    return KeptDay(dt.date.fromisoformat(row["day"]), Kept(_moment(form["at"]), tasks), moves)


def form_of(made: Plan, zone: str, before: KeptDay | None = None) -> str:
    """The form of a plan. Moves that were kept earlier on the same day, in the zone, are kept on."""
    kept = made.to_keep()
    moves = {move.task: move for move in made.moves}
    if before is not None and before.day == day_in(made.now, zone):
        moves = {move.task: move for move in before.moves} | moves
    return json.dumps(
        {
            "at": _text(kept.at),
            "tasks": {id_: _parts(task) for id_, task in sorted(kept.tasks.items())},
            "moves": [
                [move.task, move.cause.value, [str(day) for day in move.days_before], [str(d) for d in move.days_now]]
                for _, move in sorted(moves.items())
            ],
        },
        separators=(",", ":"),
    )


def _task(parts: list[Any]) -> KeptTask:
    minutes, aim, last, stretches = parts
    return KeptTask(
        tuple(Stretch(_moment(start), _moment(until), hand, tuple(ids)) for start, until, hand, ids in stretches),
        minutes,
        None if aim is None else _moment(aim),
        None if last is None else _moment(last),
    )


def _parts(task: KeptTask) -> list[Any]:
    return [
        task.minutes,
        None if task.aim_before is None else _text(task.aim_before),
        None if task.latest_finish is None else _text(task.latest_finish),
        [[_text(each.start), _text(each.until), each.hand, list(each.tasks)] for each in task.stretches],
    ]


def _text(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%MZ")


def _moment(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text)

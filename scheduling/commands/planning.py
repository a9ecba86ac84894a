"""What she decides about the plan: keeping it, pinning work, single days, a helper, work done in one go."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated, ClassVar

from pydantic import Field, field_validator

from scheduling.clock import WallTime
from scheduling.commands.found import found, number, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.model.prep import PRE_WORK, Effort, Rate
from scheduling.model.recipe_text import line_of, line_text
from scheduling.model.refs import ref
from scheduling.model.working import hours_text, read_hours
from scheduling.store.class_facts import class_facts
from scheduling.store.rows import Transaction
from scheduling.words import show_day, show_minutes, show_time

Minutes = Annotated[int, Field(ge=1, le=1440)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanKept(Outcome):
    """day: the day from which the plan is kept."""

    day: dt.date


class KeepPlan(Request[PlanKept]):
    """Keep the plan of today, so that the next one is compared with it and stays close (decisions 22).

    form: as store/kept_plan.py writes it. No action of hers: nothing that she sees changes by it, so it stands in no
    history, undo goes past it, and the file's revision stays. only_first: keep nothing where today has its plan.
    """

    form: str
    only_first: bool = False

    @field_validator("form")
    @classmethod
    def _is_a_form(cls, value: str) -> str:
        try:
            parts = json.loads(value)
        except ValueError as error:
            raise InvalidError("That is no kept plan.", hint="Keep the plan anew.", field="form") from error
        if not isinstance(parts, dict) or set(parts) != {"at", "tasks", "moves"}:
            raise InvalidError("That is no kept plan.", hint="Keep the plan anew.", field="form")
        return value

    def run(self, tx: Transaction) -> PlanKept:
        today = tx.today()
        if not self.only_first or tx.value("SELECT day FROM kept_plan") != today.isoformat():
            tx.run(
                """INSERT INTO kept_plan (id, day, form, kept_at) VALUES (1, ?1, ?2, ?3)
                   ON CONFLICT (id) DO UPDATE SET day = ?1, form = ?2, kept_at = ?3""",
                (today.isoformat(), self.form, tx.now_text),
            )
        return PlanKept(
            summary="Kept the plan",
            said=f"The plan of {show_day(today)} is kept; later ones stay close to it.",
            day=today,
        )


class LayAfresh(Request[Outcome]):
    """Let the next plan be laid as if none had been kept, so that every aim is tried for anew; pins and ticks stay.

    What had moved today is no longer told, since there is no plan to compare with. Raises ConflictError where none is
    kept.
    """

    undoable: ClassVar[bool] = False

    def run(self, tx: Transaction) -> Outcome:
        if tx.value("SELECT count(*) FROM kept_plan") == 0:
            raise ConflictError("No plan is kept, so that the work is laid afresh already.")
        tx.run("DELETE FROM kept_plan")
        return Outcome(
            summary="Laid the plan afresh",
            said="All open work is laid afresh, as near to its aims as it goes; what you pinned stays.",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkPinned(Outcome):
    task_id: int


class PinTask(Request[WorkPinned]):
    """Place work of a task at a local time of her own; the plan leaves it there unless that is impossible.

    minutes: how long; None takes what is left of the task. instead: False adds a stretch to those pinned before.
    """

    task_id: int
    starts: dt.datetime
    minutes: Minutes | None = None
    instead: bool = True

    def run(self, tx: Transaction) -> WorkPinned:
        row = found(tx, "task", self.task_id)
        if row["state"] not in ("needs-action", "in-process"):
            raise ConflictError(f"{row['title']} is closed.", hint="Open it again first.", field="task_id")
        if self.starts.tzinfo is not None or self.starts.second or self.starts.microsecond:
            raise InvalidError("A pin starts at a local hour and minute.", hint="Write fri 14:30.", field="starts")
        starts = WallTime(self.starts.replace(fold=0), tx.zone(), self.starts.fold)
        if not starts.exists:
            raise InvalidError("The clocks jump over that time.", hint="Pin it an hour later.", field="starts")
        if starts.utc < tx.now:
            raise InvalidError("That time is over.", hint="Pin it to a time to come.", field="starts")
        minutes = self.minutes or self._left(tx)
        if self.instead:
            for old in tx.rows("SELECT id FROM pin WHERE task_id = ? ORDER BY id", (self.task_id,)):
                tx.delete("pin", old["id"])
        tx.insert(
            "pin",
            {
                "task_id": self.task_id,
                "starts": f"{self.starts:%Y-%m-%dT%H:%M}",
                "starts_fold": self.starts.fold,
                "zone": tx.zone(),
                "minutes": minutes,
            },
        )
        when = f"{show_day(self.starts.date())} {show_time(self.starts.time())}"
        return WorkPinned(
            summary=f"Pinned {ref('task', self.task_id)} to {when}",
            said=f"{row['title']} is pinned to {when}, {show_minutes(minutes)}.",
            task_id=self.task_id,
        )

    def _left(self, tx: Transaction) -> int:
        """What the task plans of its own; a task that follows its recipe is pinned with its minutes given."""
        row = found(tx, "task", self.task_id)
        if row["minutes"] is None:
            raise InvalidError("How long is the work?", hint="Give the minutes.", field="minutes")
        logged = int(tx.value("SELECT coalesce(sum(minutes), 0) FROM minutes_log WHERE task_id = ?", (self.task_id,)))
        return min(max(number(row, "minutes") - logged, 15), 1440)


class UnpinTask(Request[WorkPinned]):
    """Let the plan lay the work of a task again."""

    task_id: int

    def run(self, tx: Transaction) -> WorkPinned:
        row = found(tx, "task", self.task_id)
        pins = tx.rows("SELECT id FROM pin WHERE task_id = ? ORDER BY id", (self.task_id,))
        if not pins:
            raise NotFoundError(f"{row['title']} is not pinned.", hint="Pin it to a day and time first.")
        for pin in pins:
            tx.delete("pin", pin["id"])
        return WorkPinned(
            summary=f"Took the pin off {ref('task', self.task_id)}",
            said=f"{row['title']} is laid by the plan again.",
            task_id=self.task_id,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DayKept(Outcome):
    day: dt.date


class SetDay(Request[DayKept]):
    """Let one day have another limit of prep minutes, or other hours, than her week; as_week takes that back."""

    day: dt.date
    limit_minutes: Annotated[int, Field(ge=0, le=1440)] | None = None
    hours: str | None = None
    as_week: bool = False

    def run(self, tx: Transaction) -> DayKept:
        _refuse_past(tx, self.day)
        row = tx.first("SELECT id FROM day_time WHERE day = ?", (self.day.isoformat(),))
        name = show_day(self.day)
        if self.as_week:
            if row is None:
                raise NotFoundError(
                    f"{name} is as her week has it.", hint="There is nothing to take back.", field="day"
                )
            tx.delete("day_time", row["id"])
            return DayKept(summary=f"{name} is as the week", said=f"{name} is as your week has it.", day=self.day)
        if self.limit_minutes is None and self.hours is None:
            raise InvalidError("What is other on that day?", hint="Give a limit or hours.", field="limit_minutes")
        columns: dict[str, str | int | None] = {}
        said = []
        if self.limit_minutes is not None:
            columns["limit_minutes"] = self.limit_minutes
            said.append(f"up to {show_minutes(self.limit_minutes)} of prep")
        if self.hours is not None:
            spans = read_hours(self.hours)
            columns["hours"] = hours_text(spans)
            said.append(f"hours {hours_text(spans) or 'none'}")
        if row is None:
            tx.insert("day_time", {"day": self.day.isoformat(), **columns})
        else:
            tx.update("day_time", row["id"], columns)
        return DayKept(summary=f"{name}: {', '.join(said)}", said=f"{name} has {', '.join(said)}.", day=self.day)


class BringHelper(Request[DayKept]):
    """A helper comes on a day for so many minutes; 0 takes that back."""

    day: dt.date
    minutes: Annotated[int, Field(ge=0, le=1440)]

    def run(self, tx: Transaction) -> DayKept:
        _refuse_past(tx, self.day)
        row = tx.first("SELECT id FROM helper_time WHERE day = ?", (self.day.isoformat(),))
        if not self.minutes:
            if row is None:
                raise NotFoundError(f"No helper comes {show_day(self.day)}.", hint="Look at another day.", field="day")
            tx.delete("helper_time", row["id"])
        elif row is None:
            tx.insert("helper_time", {"day": self.day.isoformat(), "minutes": self.minutes})
        else:
            tx.update("helper_time", row["id"], {"minutes": self.minutes})
        said = f"for {show_minutes(self.minutes)}" if self.minutes else "no more"
        return DayKept(
            summary=f"A helper comes {show_day(self.day)} {said}",
            said=f"A helper comes {show_day(self.day)} {said}.",
            day=self.day,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchKept(Outcome):
    batch_id: int


class DoTogether(Request[BatchKept]):
    """Do tasks of several classes in one go: what they share is worked once.

    Raises ConflictError: one is closed, is in another batch, or is no such step of a recipe as the others, or what they
    leave to dry has no room at once.
    """

    task_ids: Annotated[tuple[int, ...], Field(min_length=2, max_length=60)]

    def run(self, tx: Transaction) -> BatchKept:
        rows = [found(tx, "task", task_id) for task_id in dict.fromkeys(self.task_ids)]
        if len(rows) < 2:
            raise InvalidError("A batch holds two tasks or more.", hint="Name another one.", field="task_ids")
        steps = set()
        for row in rows:
            if row["state"] not in ("needs-action", "in-process"):
                raise ConflictError(f"{row['title']} is closed.", hint="Leave it out.", field="task_ids")
            if tx.first("SELECT 1 FROM batch_task WHERE task_id = ?", (row["id"],)):
                raise ConflictError(
                    f"{ref('task', number(row, 'id'))} {row['title']} is done with others already.",
                    hint="Part those first.",
                    field="task_ids",
                )
            steps.add(tx.value("SELECT key FROM recipe_line WHERE id = ?", (row["recipe_line_id"],)))
        if len(steps) > 1 or None in steps:
            raise ConflictError("Only the same step of a recipe is done in one go.", hint="Choose others.")
        if steps == {PRE_WORK}:
            _refuse_without_room(tx, [number(row, "class_date_id") for row in rows])
        batch_id = tx.insert("batch", {"title": text(rows[0], "title")})
        for row in rows:
            tx.insert("batch_task", {"batch_id": batch_id, "task_id": number(row, "id")})
        classes = ", ".join(ref("class_date", number(row, "class_date_id")) for row in rows)
        return BatchKept(
            summary=f"{rows[0]['title']} in one go for {classes}",
            said=f"{rows[0]['title']} is done in one go for {classes}.",
            batch_id=batch_id,
        )


def _refuse_without_room(tx: Transaction, class_date_ids: list[int]) -> None:
    """Raise ConflictError where more kits would dry or be pressed at once than their tool holds."""
    kits: dict[int, int] = {}
    for facts in class_facts(tx, class_date_ids).values():
        drying = facts.drying
        if drying is not None and drying.tool is not None:
            kits[drying.tool] = kits.get(drying.tool, 0) + facts.kits
            if kits[drying.tool] > drying.room:
                name = text(found(tx, "tool", drying.tool), "name")
                raise ConflictError(
                    f"{name} holds {drying.room} kits at once, fewer than these classes make.",
                    hint="Leave a class out, or say that the tool holds more.",
                    field="task_ids",
                )


class PartTasks(Request[BatchKept]):
    """Do the tasks of a batch one by one again; task_id: of any of them."""

    task_id: int

    def run(self, tx: Transaction) -> BatchKept:
        row = found(tx, "task", self.task_id)
        batch_id = tx.value("SELECT batch_id FROM batch_task WHERE task_id = ?", (self.task_id,))
        if batch_id is None:
            raise NotFoundError(f"{row['title']} is not done with others.", hint="There is nothing to part.")
        for each in tx.rows("SELECT id FROM batch_task WHERE batch_id = ? ORDER BY id", (batch_id,)):
            tx.delete("batch_task", each["id"])
        tx.delete("batch", batch_id)
        return BatchKept(
            summary=f"Parted {row['title']}", said=f"{row['title']} is done class by class.", batch_id=batch_id
        )


def _refuse_past(tx: Transaction, day: dt.date) -> None:
    if day < tx.today():
        raise InvalidError("That day is over.", hint="Give today or later.", field="day")


@dataclass(frozen=True, slots=True, kw_only=True)
class MinutesTaken(Outcome):
    line_id: int


class TakeMinutes(Request[MinutesTaken]):
    """Take over better minutes for a recipe's line: so many percent of what it plans; open tasks follow.

    Of the two efforts of a line only the one that the recipe uses is changed. Parts are rounded to a tenth of a
    minute, half up.
    """

    line_id: int
    percent: Annotated[int, Field(ge=1, le=1000)]

    def run(self, tx: Transaction) -> MinutesTaken:
        row = found(tx, "recipe_line", self.line_id)
        recipe = found(tx, "recipe", number(row, "recipe_id"))
        line = line_of(text(row, "line"))
        if recipe["first_time"] or line.again is None:
            line = dataclasses.replace(line, first=self._scaled(line.first))
        else:
            line = dataclasses.replace(line, again=self._scaled(line.again))
        if tx.update("recipe_line", self.line_id, {"line": line_text(line)}):
            for task in tx.rows(
                """SELECT id, sequence FROM task
                   WHERE recipe_line_id = ? AND minutes IS NULL AND state IN ('needs-action', 'in-process')""",
                (self.line_id,),
            ):
                tx.update("task", task["id"], {"sequence": task["sequence"] + 1})
        return MinutesTaken(
            summary=f"{self.percent} % of the minutes of {line.title}, {ref('recipe', number(row, 'recipe_id'))}",
            said=f"{line.title} in {recipe['name']} plans {self.percent} % of its minutes from now on.",
            line_id=self.line_id,
        )

    def _scaled(self, effort: Effort) -> Effort:
        def part(minutes: Decimal) -> Decimal:
            return (minutes * self.percent / 100).quantize(Decimal("0.1"), ROUND_HALF_UP)

        return Effort(part(effort.fixed), tuple(Rate(part(rate.minutes), rate.per) for rate in effort.rates))

"""Deciding whether a class runs: one action with its consequences."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.calling_off import call_off
from scheduling.commands.drafting import draft_for_class
from scheduling.commands.found import found, number
from scheduling.commands.request import Outcome, Request
from scheduling.commands.task_rows import set_task_state
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.decisions import Choice
from scheduling.model.refs import ref
from scheduling.store.booking_money import booking_money, currency_of
from scheduling.store.rows import Transaction
from scheduling.words import counted, show_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided(Outcome):
    """consequences: what the decision did, a sentence each, warnings first; drafts: messages that wait for a look."""

    class_date_id: int
    choice: str
    consequences: tuple[str, ...]
    drafts: int = 0


class Decide(Request[Decided]):
    """Decide on a class: it runs, runs reduced (the heads it has are its minimum), waits to a day, or is called off.

    until_day: with wait, decide by its end. Calling off drops the open tasks, writes down what goes back to each, and
    drafts the messages; nothing is sent and no money moves by itself.
    """

    class_date_id: int
    choice: Choice
    until_day: dt.date | None = None
    note: Annotated[str, Field(max_length=500)] = ""

    def run(self, tx: Transaction) -> Decided:
        row = found(tx, "class_date", self.class_date_id)
        if row["state"] == "cancelled":
            raise ConflictError(f"{row['title']} is cancelled already.", hint="Undo that, or run it again.")
        if row["taught_at"] is not None:
            raise ConflictError(f"{row['title']} has been taught.", hint="Undo that first.")
        if (self.choice == "wait") != (self.until_day is not None):
            raise InvalidError("Waiting is to a day.", hint="Give the day to decide by.", field="until_day")
        if self.until_day is not None and self.until_day < tx.today():
            raise InvalidError("That day is past.", hint="Give today or a later day.", field="until_day")
        heads = int(tx.value("SELECT heads FROM seats_taken WHERE class_date_id = ?", (self.class_date_id,)) or 0)
        done: list[str] = []
        warnings: tuple[str, ...] = ()
        drafts = 0
        if self.choice == "call off":
            warnings, done, drafts = self._call_off(tx)
        elif self.choice in ("run", "run reduced"):
            done = self._runs(tx, heads)
        tx.insert(
            "decision",
            {
                "class_date_id": self.class_date_id,
                "decided_at": tx.now_text,
                "choice": self.choice,
                "heads": heads,
                "until_day": None if self.until_day is None else self.until_day.isoformat(),
                "note": self.note,
            },
        )
        where = f"{ref('class_date', self.class_date_id)} {row['title']}"
        said = {
            "run": f"{where} runs with {counted(heads, 'head')}.",
            "run reduced": f"{where} runs reduced, with {counted(heads, 'head')}.",
            "wait": f"{where} waits{'' if self.until_day is None else f' to the end of {show_day(self.until_day)}'}.",
            "call off": f"{where} is called off.",
        }[self.choice]
        return Decided(
            summary=f"Decided on {ref('class_date', self.class_date_id)}: {self.choice}, {counted(heads, 'head')}",
            said=" ".join([said, *done]),
            warnings=warnings,
            class_date_id=self.class_date_id,
            choice=self.choice,
            consequences=(*warnings, *done),
            drafts=drafts,
        )

    def _runs(self, tx: Transaction, heads: int) -> list[str]:
        row = found(tx, "class_date", self.class_date_id)
        done: list[str] = []
        columns: dict[str, str | int | None] = {"state": "confirmed"}
        if self.choice == "run reduced" and heads < number(row, "minimum"):
            columns["minimum"] = heads
            done.append(f"Its minimum is {heads} now.")
        if tx.update("class_date", self.class_date_id, columns) and row["state"] != "confirmed":
            tx.update("class_date", self.class_date_id, {"sequence": number(row, "sequence") + 1})
            done.append("It is confirmed in the calendar.")
        for task in tx.rows(
            """SELECT task.id, task.title FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
               WHERE class_date_id = ? AND recipe_line.key = 'go_no_go' AND state IN ('needs-action', 'in-process')""",
            (self.class_date_id,),
        ):
            set_task_state(tx, task["id"], "completed")
            done.append(f"Ticked off: {task['title']}.")
        return done

    def _call_off(self, tx: Transaction) -> tuple[tuple[str, ...], list[str], int]:
        row = found(tx, "class_date", self.class_date_id)
        heads, back, tasks = call_off(tx, row)
        warnings = (
            (f"{counted(heads, 'head is', 'heads are')} booked: tell them, and give back {back}.",) if heads else ()
        )
        done = [f"{counted(tasks, 'open task is', 'open tasks are')} dropped."]
        currency = currency_of(tx)
        done += [
            f"{one.payer} ({ref('booking', one.id)}) gets {currency.show(one.balance.over)}."
            for one in booking_money(tx, "booking.class_date_id = ?", (self.class_date_id,))
            if one.balance.over
        ]
        drafts = draft_for_class(tx, self.class_date_id, "cancelled")
        done.append(f"{counted(drafts, 'message is', 'messages are')} drafted for you to look at.")
        return warnings, done, drafts

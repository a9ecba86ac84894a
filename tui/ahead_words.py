"""The weeks ahead in words: how each class stands and why, its go/no-go day and what that decision rests on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.queries.class_standings import ClassStanding
from scheduling.queries.decisions import DecisionRow
from scheduling.queries.plan_page import ClassRow
from scheduling.queries.weeks_ahead import AheadClass
from scheduling.words import show_day, show_minutes
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section, Tone

#: The sign and tone of each state; its word stands beside them.
TONES: Final[dict[str, tuple[str, Tone]]] = {"late": ("!", "bad"), "tight": ("~", "warn"), "ready": ("", "")}
#: A class on one line where there is room, on two where there is not.
WIDE: Final = (
    Column("", 24),
    Column("", 5),
    Column("", share=1, least=20),
    Column("", 10),
    Column("", 33),
)
NARROW: Final = (Column("", 24), Column("", 5), Column("", share=1, least=20))
WIDE_FROM: Final = 112


@dataclass(frozen=True, slots=True)
class Standing:
    """One class: its line, how the plan has it (None: no prep is left), and what was asked beside the page.

    asked: None while it is not there. Where it is there without a decision, the class is decided on.
    """

    ahead: AheadClass
    plan: ClassRow | None
    asked: ClassStanding | None

    @property
    def name(self) -> str:
        return f"{self.ahead.ref} {self.ahead.title}"

    @property
    def why(self) -> str:
        """The reason of the state, with the task that decides it."""
        if self.plan is None:
            return self.ahead.reason
        return f"{self.plan.reason}: {self.plan.task}" if self.plan.task else self.plan.reason

    @property
    def decision(self) -> DecisionRow | None:
        return None if self.asked is None else self.asked.decision

    @property
    def go_no_go(self) -> dt.date | None:
        if self.asked is not None:
            return self.asked.decide_by
        return None if self.plan is None else self.plan.go_no_go

    def is_past(self, today: dt.date) -> bool:
        """Whether its go/no-go day is over and nothing is decided."""
        day = self.go_no_go
        return day is not None and day < today and self.decision is not None

    def in_short(self, today: dt.date) -> str:
        """Heads against the minimum, what is left or lost, what the venue will be owed."""
        row = self.decision
        if row is None:
            return "decided" if self.asked is not None and self.go_no_go is not None else ""
        show = row.currency.show
        past = "not decided; " if self.is_past(today) else ""
        short = f"{row.short_of} short of {row.class_row.minimum}" if row.short_of else ""
        heads = f"{heads_text(row.class_row.heads)}, {short or f'minimum {row.class_row.minimum}'}"
        left = f"leaves {show(row.run.amount)}" if row.run.amount >= 0 else f"loses {show(-row.run.amount)}"
        owed = row.next_penalty(today)
        venue = f"; venue {show(owed.owed)} from {show_day(owed.day)}" if owed is not None else ""
        return f"{past}{heads}; {left}{venue}"

    def about(self, today: dt.date) -> str:
        """All of it in two or three sentences."""
        minutes = 0 if self.plan is None else self.plan.minutes
        left = f"{show_minutes(minutes)} left" if minutes else "no prep left"
        hard = show_day(self.ahead.hard_day, today=today)
        said = f"{self.name}: {self.ahead.state}, {self.why}; {left}, hard date {hard}."
        row, day = self.decision, self.go_no_go
        if day is None:
            return said
        decide = f"Go/no-go {show_day(day, today=today)}"
        if row is None:
            return f"{said} {decide}: {'being added up' if self.asked is None else 'decided'}."
        past = ", past and not decided" if self.is_past(today) else ""
        return f"{said} {decide}{past}: {row.rests_on(today)}."


def rows_of(standings: Sequence[Standing], *, width: int, today: dt.date) -> list[Row | Section]:
    """The classes under one heading; `width` cells decide between WIDE and NARROW."""
    if not standings:
        return []
    rows: list[Row | Section] = [Section("How each class stands, and by when to decide", "D decides, w says more")]
    for one in standings:
        sign, tone = TONES[one.ahead.state]
        day = one.go_no_go
        when = "" if day is None else show_day(day, today=today)
        rests, is_past = one.in_short(today), one.is_past(today)
        number, state = one.ahead.class_date_id, Cell(one.ahead.state, tone)
        if width >= WIDE_FROM:
            rows.append(
                Row(number, (one.name, state, one.why, Cell(when, "bad" if is_past else ""), rests), sign, tone)
            )
            continue
        rows.append(Row(number, (one.name, state, one.why), sign, tone))
        if day is not None:
            decide = Cell(f"  go/no-go {when}", "bad" if is_past else "quiet")
            rows.append(Row(("rests", number), (decide, "", Cell(rests, "quiet")), "!" if is_past else "", "bad"))
    return rows


def class_of(row_id: object) -> int | None:
    """The class that a row of either list belongs to."""
    match row_id:
        case int(number) | ("rests", int(number)):
            return number
    return None

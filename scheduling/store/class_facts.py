"""What prep needs to know of class dates: kinds, dates, calendars and quantities, read in a few statements."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduling.clock import WallTime
from scheduling.model.class_dates import SessionTimes
from scheduling.model.day_calendar import EVERY_WEEKDAY, MONDAY_TO_FRIDAY, MONDAY_TO_SATURDAY, DayCalendar
from scheduling.model.deadlines import CancelStep, CancelTerms, ClassDates, DateRules, class_dates
from scheduling.model.kinds import Kind
from scheduling.model.prep import Line, Per, Quantities, kits_to_build, minutes_of
from scheduling.model.prep_dates import Dated, dated
from scheduling.model.recipe_text import line_of
from scheduling.model.waits import Calendars
from scheduling.store.promotion_facts import promotion_ends
from scheduling.store.rows import Reader
from scheduling.store.seats import HEADS_TAKEN


@dataclass(frozen=True, slots=True)
class Drying:
    """What is glued or pressed ahead rests so many hours, 0 for none.

    tool: the number of what it rests in, with room for `room` kits; None where nothing can be full.
    """

    hours: int
    tool: int | None = None
    room: int = 0

    def rounds(self, kits: int) -> int:
        """How often the tool is filled for so many kits."""
        return -(-kits // self.room) if self.tool is not None and kits else 1


@dataclass(frozen=True, slots=True)
class ClassFacts:
    """One class date as prep sees it; heads: seats taken; kits: heads, spares and demo copies.

    promotions: as (early bird or bundle, last day), the one that its prep is counted from first; full: no seat is left,
    so that nothing more is announced. drying: of its project; None: as its recipe says.
    """

    id: int
    kinds: frozenset[Kind]
    hired_venue: bool
    recipe_id: int
    first_time: bool
    dates: ClassDates
    calendars: Calendars
    heads: int
    kits: int
    quantities: Quantities
    promotions: tuple[tuple[str, dt.date], ...] = ()
    full: bool = False
    drying: Drying | None = None

    def dated(self, line: Line) -> Dated | None:
        """Where a line's task lies in time; None when the class has no such date."""
        return dated(line.timing, self.dates, self.calendars)

    def stops(self, line: Line | None) -> bool:
        """Whether the line asks for sign-ups that there are no seats for (job.md 4)."""
        return self.full and line is not None and line.announces

    def minutes(self, line: Line) -> int:
        """Minutes of a line for the heads booked now."""
        return minutes_of(line, self.quantities, first=self.first_time, kinds=self.kinds)


def kinds_from(place: str, *, mailed_kit: bool, children: bool, private_party: bool) -> frozenset[Kind]:
    """The kinds that a class date's columns stand for."""
    kinds = {Kind.LIVE if place == "live online" else Kind.ROOM}
    kinds |= {Kind.MAILED} if mailed_kit else set()
    kinds |= {Kind.CHILDREN} if children else set()
    kinds |= {Kind.PARTY} if private_party else set()
    return frozenset(kinds)


def class_facts(reader: Reader, class_date_ids: Sequence[int] | None = None) -> dict[int, ClassFacts]:
    """The facts of these class dates, or of all that have open tasks, by id."""
    if class_date_ids is None:
        chosen = "IN (SELECT class_date_id FROM task WHERE state IN ('needs-action', 'in-process'))"
        parameters: list[int] = []
    else:
        chosen = f"IN ({','.join('?' * len(class_date_ids))})"
        parameters = list(class_date_ids)
    calendars, rules, spares = prep_calendars(reader), date_rules(reader), _spares(reader)
    rows = reader.rows(
        f"""SELECT class_date.id, class_date.place, class_date.mailed_kit, class_date.children,
              class_date.private_party, class_date.zone, class_date.recipe_id, class_date.final_count_day,
              class_date.seats,
              venue.own_room, venue.online, venue.cancel_steps, recipe.first_time,
              project_version.pieces, project_version.materials, project_version.suppliers,
              project_version.drying_hours, tool.id AS drying_tool, tool.owned * tool.holds AS drying_room,
              {HEADS_TAKEN} AS heads,
              EXISTS (SELECT 1 FROM booking JOIN person ON person.id = booking.payer_id
                      WHERE booking.class_date_id = class_date.id AND person.abroad = 1
                        AND booking.state IN ('held', 'deposit', 'confirmed', 'offered')) AS abroad
            FROM class_date JOIN venue ON venue.id = class_date.venue_id
            JOIN recipe ON recipe.id = class_date.recipe_id
            JOIN project_version ON project_version.id = class_date.project_version_id
            LEFT JOIN tool ON tool.id = project_version.drying_tool_id AND tool.owned * tool.holds > 0
            WHERE class_date.id {chosen}""",  # noqa: S608  only marks are put in
        parameters,
    )
    spans = _spans(reader, chosen, parameters)
    promotions = promotion_ends(reader, {number: span[0].local.date() for number, span in spans.items()})
    found: dict[int, ClassFacts] = {}
    for row in rows:
        starts, ends, class_minutes = spans[row["id"]]
        kinds = kinds_from(
            row["place"],
            mailed_kit=bool(row["mailed_kit"]),
            children=bool(row["children"]),
            private_party=bool(row["private_party"]),
        )
        hired = not row["own_room"] and not row["online"]
        dates = class_dates(
            starts,
            ends,
            kinds,
            rules=rules,
            mailing=calendars.mailing,
            cancel=cancel_terms(row["cancel_steps"]) if hired else None,
            sends_abroad=bool(row["abroad"]),
            promotion_end=promotions[row["id"]][0][1] if row["id"] in promotions else None,
        )
        if row["final_count_day"] is not None and Kind.PARTY in kinds:
            dates = replace(dates, final_count=dt.date.fromisoformat(row["final_count_day"]))
        kits = kits_to_build(row["heads"], spare_percent=spares[0], spare_least=spares[1], demo_copies=spares[2])
        found[row["id"]] = ClassFacts(
            id=row["id"],
            kinds=kinds,
            hired_venue=hired,
            recipe_id=row["recipe_id"],
            first_time=bool(row["first_time"]),
            dates=dates,
            calendars=calendars,
            heads=row["heads"],
            kits=kits,
            quantities={
                Per.KIT: kits,
                Per.HEAD: row["heads"],
                Per.PIECE: kits * row["pieces"],
                Per.MATERIAL: row["materials"],
                Per.SUPPLIER: row["suppliers"],
                Per.CLASS_MINUTE: class_minutes,
            },
            promotions=tuple(promotions.get(row["id"], ())),
            full=row["heads"] >= row["seats"],
            drying=_drying(row),
        )
    return found


def _drying(row: sqlite3.Row) -> Drying | None:
    if row["drying_hours"] is None:
        return None
    tool = row["drying_tool"] if row["drying_hours"] else None
    return Drying(row["drying_hours"], tool, row["drying_room"] if tool is not None else 0)


def session_of(row: sqlite3.Row) -> SessionTimes:
    """The times of a row with starts, ends, their folds and the class's zone."""
    return SessionTimes(
        WallTime(dt.datetime.fromisoformat(row["starts"]), row["zone"], row["starts_fold"]),
        WallTime(dt.datetime.fromisoformat(row["ends"]), row["zone"], row["ends_fold"]),
    )


def recipe_lines(reader: Reader, recipe_id: int, *, with_retired: bool = False) -> dict[int, Line]:
    """The lines of a recipe that are in use, or all that ever were, in its order, by row number."""
    rows = reader.rows(
        "SELECT id, line FROM recipe_line WHERE recipe_id = ? AND (? OR retired_at IS NULL) ORDER BY position, id",
        (recipe_id, with_retired),
    )
    return {row["id"]: line_of(row["line"]) for row in rows}


def prep_calendars(reader: Reader) -> Calendars:
    """Her own working days, other people's, and the mail's, with their closures."""
    weekdays = frozenset(
        int(row["id"]) - 1 for row in reader.rows("SELECT id FROM working_day WHERE hours <> '' AND limit_minutes > 0")
    )
    days: dict[str, set[dt.date]] = {"blocked": set(), "closure": set()}
    for row in reader.rows("SELECT day, kind FROM closed_day"):
        days[row["kind"]].add(dt.date.fromisoformat(row["day"]))
    for row in reader.rows("SELECT starts, ends FROM busy_time WHERE all_day = 1"):
        day, end = dt.date.fromisoformat(row["starts"]), dt.date.fromisoformat(row["ends"])
        while day < end:
            days["blocked"].add(day)
            day += dt.timedelta(days=1)
    closures = frozenset(days["closure"])
    return Calendars(
        own=DayCalendar(weekdays or EVERY_WEEKDAY, frozenset(days["blocked"])),
        working=DayCalendar(MONDAY_TO_FRIDAY, closures),
        mailing=DayCalendar(MONDAY_TO_SATURDAY, closures),
    )


def date_rules(reader: Reader) -> DateRules:
    """The studio's settings behind the dates of a class."""
    row = reader.first("SELECT * FROM studio")
    if row is None:
        return DateRules()
    return DateRules(
        close_days_before=row["close_days_room"],
        close_days_before_post_by=row["close_days_mailed"],
        transit_days=row["transit_days"],
        transit_days_abroad=row["transit_days_abroad"],
        in_hand_days_before=row["in_hand_days_before"],
    )


def cancel_terms(steps: str) -> CancelTerms | None:
    """A venue's terms from their kept form; None where nothing is ever owed."""
    parts = json.loads(steps)
    return CancelTerms(tuple(CancelStep(int(days), int(percent)) for days, percent in parts)) if parts else None


def _spares(reader: Reader) -> tuple[int, int, int]:
    row = reader.first("SELECT spare_percent, spare_least, demo_copies FROM studio")
    return (10, 1, 1) if row is None else (row["spare_percent"], row["spare_least"], row["demo_copies"])


def _spans(reader: Reader, chosen: str, parameters: list[int]) -> dict[int, tuple[WallTime, WallTime, int]]:
    """First start, last end and real minutes of the held sessions of each class date."""
    found: dict[int, tuple[WallTime, WallTime, int]] = {}
    for row in reader.rows(
        f"""SELECT session.*, class_date.zone FROM session JOIN class_date ON class_date.id = session.class_date_id
            WHERE session.dropped = 0 AND class_date.id {chosen} ORDER BY session.starts, session.id""",  # noqa: S608
        parameters,
    ):
        session = session_of(row)
        first, last, total = found.get(row["class_date_id"], (session.starts, session.ends, 0))
        last = max(last, session.ends, key=lambda time: time.utc)
        found[row["class_date_id"]] = (first, last, total + session.minutes)
    return found

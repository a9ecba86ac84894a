"""Make the demo studio from studio.json, through the same commands as everything else."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Any

from scheduling.clock import WallTime, day_in
from scheduling.commands.bookings import Book, CancelBooking, MarkSeat
from scheduling.commands.classes import MakeClassDate, MarkTaught
from scheduling.commands.people import AddPerson
from scheduling.commands.prep import TickTask
from scheduling.commands.projects import AddProject
from scheduling.commands.series import MakeSeries
from scheduling.commands.settings import BeginHistory, CloseDays, MoveClock, SetUpStudio
from scheduling.commands.venues import AddVenue
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.class_dates import LocalSpan
from scheduling.queries.demo_facts import OpenTasks, RecipeNamed, SeedOfFile
from scheduling.queries.roster import Roster

from scheduling.studio import Studio

MONTHLY = "FREQ=MONTHLY;BYDAY=3TH"
_ENTRIES_OF_VENUE = (
    "name address own_room online seats posted_occupancy step_free hearing_loop cancel_steps set_up_minutes"
    " clear_down_minutes travel_minutes contact joining_link cautions"
).split()


@dataclass
class _Made:
    """Row numbers by the names that the data uses."""

    venues: dict[str, int]
    projects: dict[str, int]
    classes: dict[str, int]
    people: dict[str, int]


def make_demo(path: Path, *, on: dt.date | None = None) -> None:
    """Make the demo studio file at `path`, afresh where one is there.

    on: the day at which its clock stands, at 08:00; the data's own day where it is None.
    Raises ConflictError when `path` holds another studio, InvalidError for a day before the data's own.
    """
    data = json.loads(files("demo").joinpath("studio.json").read_text("utf-8"))
    _refuse_another(path, data["id_seed"])
    zone = data["studio"]["time_zone"]
    now = WallTime(dt.datetime.fromisoformat(data["now"]), zone).utc
    later = None if on is None else WallTime(dt.datetime.combine(on, dt.time(8)), zone).utc
    if later is not None and later < now:
        raise InvalidError(
            f"The demo starts on {day_in(now, zone):%d %b %Y}.", hint="Give that day or a later one.", field="on"
        )
    first = SetUpStudio(
        **data["studio"],
        id_seed=data["id_seed"],
        frozen_now=WallTime(dt.datetime.fromisoformat(data["made_on"]), zone).utc,
    )
    with Studio.made(":memory:", first, origin="demo") as studio:
        _fill(studio, data, now)
        studio.do(BeginHistory(summary="Made the demo studio"))
        if later is not None:
            studio.do(MoveClock(moment=later))
            studio.do(BeginHistory(summary="Made the demo studio"))
        studio.write_over(path)


def _refuse_another(path: Path, seed: str) -> None:
    if not path.exists():
        return
    with Studio(str(path), origin="demo") as there:
        if there.ask(SeedOfFile()) != seed:
            raise ConflictError(
                f"{path} holds a studio that is not the demo.", hint="Name another file; nothing was changed."
            )


def _fill(studio: Studio, data: dict[str, Any], now: dt.datetime) -> None:
    made = _Made({}, {}, {}, {})
    for day in data["closures"]:
        studio.do(CloseDays(first=dt.date.fromisoformat(day), kind="closure", note="no mail, no suppliers"))
    for day in data["blocked_days"]:
        studio.do(CloseDays(first=dt.date.fromisoformat(day), kind="blocked", note="away"))
    for venue in data["venues"]:
        entries = {name: venue[name] for name in _ENTRIES_OF_VENUE if name in venue}
        made.venues[venue["id"]] = studio.do(AddVenue(**entries)).venue_id
    for project in data["projects"]:
        entries = {name: value for name, value in project.items() if name != "id"}
        made.projects[project["id"]] = studio.do(AddProject(**entries)).project_id
    _make_classes(studio, data["classes"], made)
    for person in data["people"]:
        entries = {name: value for name, value in person.items() if name not in ("id", "guardian", "bookings")}
        guardian = made.people[person["guardian"]] if "guardian" in person else None
        made.people[person["id"]] = studio.do(AddPerson(**entries, guardian_id=guardian)).person_id
    for moment, action in sorted(_sign_ups(studio, data, made), key=lambda pair: pair[0]):
        if moment > studio.now:
            studio.do(MoveClock(moment=min(moment, now)))
        action()
    studio.do(MoveClock(moment=now))
    _tick_what_is_done(studio, data, made)


def _make_classes(studio: Studio, classes: list[dict[str, Any]], made: _Made) -> None:
    series_id: int | None = None
    for entry in classes:
        sessions: tuple[LocalSpan, ...] = tuple(
            (dt.datetime.fromisoformat(starts), dt.datetime.fromisoformat(ends)) for starts, ends in entry["sessions"]
        )
        also = {name: entry[name] for name in ("title", "final_count_day", "public_note") if name in entry}
        wanted = MakeClassDate(
            project_id=made.projects[entry["project"]],
            venue_id=made.venues[entry["venue"]],
            sessions=sessions,
            seats=entry["seats"],
            minimum=entry["minimum"],
            fee_minor=int(Decimal(entry["fee"]) * 100),
            mailed_kit=entry["mailed_kit"],
            children=entry["children"],
            private_party=entry["private_party"],
            recipe_id=studio.ask(RecipeNamed(entry["recipe"])),
            **also,
        )
        if entry.get("monthly"):
            days = (sessions[0][0].date(),)
            series = studio.do(MakeSeries(first=wanted, rule=MONTHLY, days=days, series_id=series_id))
            series_id = series.series_id
            made.classes[entry["id"]] = series.class_date_ids[0]
        else:
            made.classes[entry["id"]] = studio.do(wanted).class_date_id


def _sign_ups(studio: Studio, data: dict[str, Any], made: _Made) -> Iterator[tuple[dt.datetime, Any]]:
    """Every sign-up, cancelling and attendance as a moment and what is done then."""
    starts = {entry["id"]: dt.datetime.fromisoformat(entry["sessions"][0][0]) for entry in data["classes"]}
    zone = data["studio"]["time_zone"]
    last = dt.datetime.fromisoformat(data["now"]) - dt.timedelta(days=2)
    bookings: dict[tuple[str, str], int] = {}

    def at(local: dt.datetime) -> dt.datetime:
        return WallTime(local, zone).utc

    def book(person: dict[str, Any], wanted: dict[str, Any]) -> None:
        payer = made.people[person.get("guardian", person["id"])]
        people = (made.people[person["id"]],)
        outcome = studio.do(Book(class_date_id=made.classes[wanted["class"]], payer_id=payer, people=people))
        bookings[person["id"], wanted["class"]] = outcome.booking_id

    def mark(person: dict[str, Any], wanted: dict[str, Any]) -> None:
        for row in studio.ask(Roster(made.classes[wanted["class"]])).seated:
            if row.person_id == made.people[person["id"]]:
                studio.do(MarkSeat(seat_id=row.seat_id, mark=wanted["mark"]))

    def book_party(party: dict[str, Any]) -> None:
        studio.do(
            Book(
                class_date_id=made.classes[party["class"]],
                payer_id=made.people[party["host"]],
                people=(None,) * party["heads"],
                state="deposit",
            )
        )

    def cancel(person: dict[str, Any], wanted: dict[str, Any]) -> None:
        studio.do(CancelBooking(booking_id=bookings[person["id"], wanted["class"]]))

    for n, person in enumerate(data["people"]):
        for wanted in person["bookings"]:
            start = starts[wanted["class"]]
            days = 12 if wanted.get("waits") else 20 + n % 9
            joined = min(start - dt.timedelta(days=days), last) + dt.timedelta(minutes=n)
            yield at(joined), (lambda p=person, w=wanted: book(p, w))
            if "mark" in wanted:
                yield at(start + dt.timedelta(hours=3)), (lambda p=person, w=wanted: mark(p, w))
            if "cancelled_on" in wanted:
                day = dt.datetime.fromisoformat(wanted["cancelled_on"]) + dt.timedelta(hours=18)
                yield at(day), (lambda p=person, w=wanted: cancel(p, w))
    for party in data["parties"]:
        joined = min(starts[party["class"]] - dt.timedelta(days=40), last)
        yield at(joined), (lambda p=party: book_party(p))
    for class_id, start in starts.items():
        over = start + dt.timedelta(hours=33 if class_id == "C03" else 5)
        if at(over) < at(dt.datetime.fromisoformat(data["now"])):
            yield at(over), (lambda c=class_id: studio.do(MarkTaught(class_date_id=made.classes[c])))


def _tick_what_is_done(studio: Studio, data: dict[str, Any], made: _Made) -> None:
    """Tick off the prep whose aim has passed, but for what the data leaves open and what waits for that."""
    names = {number: name for name, number in made.classes.items()}
    rule = data["open_lines"]
    for task in studio.ask(OpenTasks()):
        name = names[task.class_date_id]
        left = set(rule["every_class"]) if name >= rule["from_class"] else set()
        left |= {line for line, classes in rule["of_classes"].items() if name in classes}
        if task.aim_before <= studio.now and not left & task.waits_for:
            studio.do(TickTask(task_id=task.id))

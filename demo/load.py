"""Make the demo studio from studio.json, through the same commands as everything else."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Any

from demo.kits import bill_of, count_stock, keep_materials
from demo.money import add_promotions, set_costs
from demo.sign_ups import SignUpEvents
from scheduling.clock import WallTime, day_in
from scheduling.commands.classes import MakeClassDate
from scheduling.commands.people import AddPerson
from scheduling.commands.prep import LogMinutes, TickTask
from scheduling.commands.projects import AddProject
from scheduling.commands.series import MakeSeries
from scheduling.commands.settings import BeginHistory, CloseDays, MoveClock, SetUpStudio
from scheduling.commands.venues import AddVenue
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.class_dates import LocalSpan
from scheduling.queries.demo_facts import OpenTasks, RecipeNamed, SeedOfFile
from scheduling.studio import Studio

MONTHLY = "FREQ=MONTHLY;BYDAY=3TH"
_ENTRIES_OF_VENUE = [
    "name",
    "address",
    "own_room",
    "online",
    "seats",
    "posted_occupancy",
    "step_free",
    "hearing_loop",
    "cancel_steps",
    "set_up_minutes",
    "clear_down_minutes",
    "travel_minutes",
    "contact",
    "joining_link",
    "cautions",
]


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
    data = _data()
    refuse_another(path)
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


def _data() -> dict[str, Any]:
    data: dict[str, Any] = json.loads(files("demo").joinpath("studio.json").read_text("utf-8"))
    return data


def refuse_another(path: Path) -> None:
    """Raise ConflictError when `path` holds a studio that is not the demo."""
    if not path.exists():
        return
    seed = _data()["id_seed"]
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
    kits = keep_materials(studio)
    for project in data["projects"]:
        entries = {name: value for name, value in project.items() if name != "id"}
        made.projects[project["id"]] = studio.do(AddProject(**entries, **bill_of(project["id"], kits))).project_id
    _make_classes(studio, data["classes"], made)
    set_costs(studio, made.venues, made.projects, made.classes)
    for person in data["people"]:
        entries = {name: value for name, value in person.items() if name not in ("id", "guardian", "bookings")}
        guardian = made.people[person["guardian"]] if "guardian" in person else None
        made.people[person["id"]] = studio.do(AddPerson(**entries, guardian_id=guardian)).person_id
    events = SignUpEvents(studio, data, made.classes, made.people)
    for moment, action in sorted(events.all(), key=lambda pair: pair[0]):
        if moment > studio.now:
            studio.do(MoveClock(moment=min(moment, now)))
        action()
    studio.do(MoveClock(moment=now))
    add_promotions(studio, made.classes)
    _tick_what_is_done(studio, data, made)
    count_stock(studio, kits)


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
            guardians_stay=entry.get("guardians_stay", False),
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
        elif minutes := rule["worked"]["minutes"].get(task.line, {}).get(name):
            studio.do(LogMinutes(task_id=task.id, minutes=minutes, day=dt.date.fromisoformat(rule["worked"]["day"])))

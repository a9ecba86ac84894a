"""The verb `settings`: the studio's facts, working hours and closed days."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser, Namespace

from scheduling.clock import wall_time
from scheduling.commands.settings import ChangeStudio, ChangeWorkingDay, CloseDays, OpenDay
from scheduling.errors import InvalidError, NotFoundError
from scheduling.model.working import DAY_NAMES
from scheduling.queries.settings import ClosedDays, Settings, StudioFacts
from scheduling.studio import Studio
from scheduling.words import counted, read_day, read_minutes, show_day, show_minutes
from tui.lines.answers import answer, plain
from tui.lines.out import say, show_outcome
from tui.lines.place import open_studio, studio_path

_NUMBERS = (
    "class_day_limit_minutes", "spare_percent", "spare_least", "demo_copies", "transit_days", "transit_days_abroad",
    "in_hand_days_before", "close_days_room", "close_days_mailed", "health_days_kept",
)  # fmt: skip


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("deed", nargs="?", default="show", choices=("show", "change", "hours", "close", "open"))
    parser.add_argument("named", nargs="?", help="hours: a weekday; close, open: a day")
    for name in ("name", "town", "time_zone", "currency"):
        parser.add_argument(f"--{name.replace('_', '-')}", dest=name)
    parser.add_argument("--units", choices=("in", "mm"))
    parser.add_argument("--look", dest="theme", choices=("light", "dark", "plain"))
    parser.add_argument("--dates", choices=("day-first", "month-first"))
    for name in _NUMBERS:
        parser.add_argument(f"--{name.replace('_', '-')}", dest=name, type=int)
    parser.add_argument("--span", help="hours: such as '9-12 19-21'; 'none' for a day off")
    parser.add_argument("--limit", help="hours: most prep on that day, such as 3h")
    parser.add_argument("--through", metavar="DAY", help="close: the last of several days")
    parser.add_argument("--note", default="", help="close: why")
    parser.add_argument("--closure", action="store_true", help="close: no mail and no suppliers, rather than no prep")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        facts = studio.ask(Settings())
        if parsed.deed == "show":
            return _show(studio, facts, parsed)
        if parsed.deed == "change":
            return _change(studio, parsed)
        if not parsed.named:
            raise InvalidError("Which day?", hint=f"kitwright settings {parsed.deed} DAY", field="day")
        return _hours(studio, parsed) if parsed.deed == "hours" else _days(studio, facts, parsed)


def _show(studio: Studio, facts: StudioFacts, parsed: Namespace) -> int:
    closed = studio.ask(ClosedDays(wall_time(studio.now, facts.time_zone).local.date()))
    if parsed.json:
        entries = plain(facts)
        week = entries.pop("week")
        print(answer("settings", settings=entries, week=week, closed_days=closed))
        return 0
    say(
        f"{facts.name}{', ' + facts.town if facts.town else ''}:"
        f" {facts.time_zone}, {facts.currency.code}, {facts.units}"
    )
    for day in facts.week:
        say(
            f"  {DAY_NAMES[day.weekday - 1]:10} {day.hours or 'none':28}"
            f" at most {show_minutes(day.limit_minutes)} of prep"
        )
    say(f"  On a day with a class at most {show_minutes(facts.class_day_limit_minutes)}.")
    say(
        f"  Kits: heads, {facts.spare_percent}% spares ({facts.spare_least} at least), {facts.demo_copies} demo copies."
    )
    say(
        f"  Mail: {facts.transit_days} mailing days, abroad {facts.transit_days_abroad},"
        f" in hand {counted(facts.in_hand_days_before, 'day')} before."
    )
    say(
        "  Refunds: "
        + ", ".join(f"to T-{days} {part}" for days, part in facts.refund_tiers)
        + " (local law comes first)"
    )
    for one in closed:
        say(f"  {one.ref} {show_day(one.day, year=True)} {one.kind}{': ' + one.note if one.note else ''}")
    return 0


def _change(studio: Studio, parsed: Namespace) -> int:
    names = ("name", "town", "time_zone", "currency", "units", "theme", *_NUMBERS)
    entries = {name: getattr(parsed, name) for name in names if getattr(parsed, name) is not None}
    if parsed.dates is not None:
        entries["day_first"] = parsed.dates == "day-first"
    if not entries:
        raise InvalidError("Nothing to change is named.", hint="See: kitwright settings --help")
    return show_outcome(studio.do(ChangeStudio(**entries)), parsed)


def _hours(studio: Studio, parsed: Namespace) -> int:
    wanted = parsed.named.casefold()
    weekday = next(
        (n for n, name in enumerate(DAY_NAMES, 1) if name.casefold().startswith(wanted) and len(wanted) > 1), None
    )
    if weekday is None:
        raise InvalidError(f"{parsed.named!r} is no weekday.", hint="Say mon, tuesday and so on.", field="day")
    hours = None if parsed.span is None else "" if parsed.span == "none" else parsed.span
    limit = read_minutes(parsed.limit).value if parsed.limit else None
    return show_outcome(studio.do(ChangeWorkingDay(weekday=weekday, hours=hours, limit_minutes=limit)), parsed)


def _days(studio: Studio, facts: StudioFacts, parsed: Namespace) -> int:
    today = wall_time(studio.now, facts.time_zone).local.date()

    def day_of(text: str) -> dt.date:
        return read_day(text, today=today, day_first=facts.day_first).value

    first = day_of(parsed.named)
    if parsed.deed == "close":
        last = day_of(parsed.through) if parsed.through else None
        kind = "closure" if parsed.closure else "blocked"
        return show_outcome(studio.do(CloseDays(first=first, last=last, kind=kind, note=parsed.note)), parsed)
    kind = "closure" if parsed.closure else "blocked"
    found = [one for one in studio.ask(ClosedDays(first)) if one.day == first and one.kind == kind]
    if not found:
        raise NotFoundError(f"{show_day(first, year=True)} is not closed.", hint="See: kitwright settings", field="day")
    return show_outcome(studio.do(OpenDay(closed_day_id=found[0].id)), parsed)

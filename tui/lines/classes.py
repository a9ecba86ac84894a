"""The verbs `classes` and `class`: listing, making, changing, moving, cancelling, running again."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser, Namespace

from scheduling.amounts import read_money
from scheduling.clock import wall_time
from scheduling.commands.classes import (
    ChangeClassDate,
    MakeClassDate,
    MarkTaught,
    MoveClassDate,
    RunAgain,
)
from scheduling.commands.decisions import Decide
from scheduling.commands.series import MakeSeries
from scheduling.errors import InvalidError
from scheduling.model.class_dates import LocalSpan
from scheduling.model.repeats import proposed_starts
from scheduling.queries.classes import ClassDate, Classes, ClassRow
from scheduling.queries.deadlines import ClassDeadlines
from scheduling.queries.settings import Settings
from scheduling.repeats_text import read_repeat
from scheduling.studio import Studio
from scheduling.words import counted, read_day, read_span, show_day
from tui.lines.answers import answer, class_entry
from tui.lines.named import class_named, shelf_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path

DEEDS = ("show", "make", "change", "move", "cancel", "again", "series", "taught")


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "classes":
        parser.add_argument("--scope", choices=("coming", "past", "all"), default="coming", help="which ones")
        return
    parser.add_argument("deed", choices=DEEDS, help="what to do")
    parser.add_argument("class_date", metavar="CLASS", nargs="?", help="the class date; not for make and series")
    parser.add_argument("--project", help="a project by reference or name")
    parser.add_argument("--venue", help="a venue by reference or name")
    parser.add_argument("--on", action="append", default=[], metavar="DAY", help="the day; again for further sessions")
    parser.add_argument(
        "--hours", action="append", default=[], metavar="SPAN", help="10-12:30; one for all, or one a day"
    )
    parser.add_argument("--title")
    parser.add_argument("--fee")
    parser.add_argument("--seats", type=int)
    parser.add_argument("--minimum", type=int)
    parser.add_argument("--helpers", type=int)
    parser.add_argument("--state", choices=("tentative", "confirmed"))
    for kind in ("mailed-kit", "children", "private-party", "guardians-stay"):
        group = parser.add_mutually_exclusive_group()
        dest = kind.replace("-", "_")
        group.add_argument(f"--{kind}", dest=dest, action="store_true", default=None)
        group.add_argument(f"--no-{kind}", dest=dest, action="store_false", default=None)
    parser.add_argument("--recipe", help="a prep recipe by reference or name")
    parser.add_argument("--note", help="a note that the public calendar shows")
    parser.add_argument("--private-note", help="a note of your own")
    parser.add_argument(
        "--every", metavar="RULE", help="series: third thursday, every 2 weeks on tue, or an RFC 5545 rule"
    )
    parser.add_argument("--months", type=int, default=12, help="series: how many months ahead (12)")
    parser.add_argument(
        "--skip", action="append", default=[], metavar="DAY", help="series: a proposed day to leave out"
    )
    parser.add_argument("--dry-run", action="store_true", help="series: only show the days proposed")
    parser.add_argument("--back", action="store_true", help="taught: take the mark away")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.verb == "classes":
            return _list(studio, parsed)
        if parsed.deed in ("make", "series"):
            return _make(studio, parsed) if parsed.deed == "make" else _series(studio, parsed)
        if parsed.class_date is None:
            raise InvalidError(
                f"Which class is to {parsed.deed}?", hint=f"kitwright class {parsed.deed} C05", field="class"
            )
        row = class_named(studio, parsed.class_date)
        deeds = {"show": _show, "change": _change, "move": _move, "again": _again}
        if parsed.deed in deeds:
            return deeds[parsed.deed](studio, row, parsed)
        if parsed.deed == "cancel":
            return show_outcome(studio.do(Decide(class_date_id=row.id, choice="call off")), parsed)
        return show_outcome(studio.do(MarkTaught(class_date_id=row.id, back=parsed.back)), parsed)


def _list(studio: Studio, parsed: Namespace) -> int:
    rows = studio.ask(Classes(parsed.scope))
    currency = studio.ask(Settings()).currency
    if parsed.json:
        print(answer("classes", classes=[class_entry(row, currency) for row in rows]))
        return 0
    if not rows:
        print("No classes there. Make one with: kitwright class make --project ... --venue ... --on ... --hours ...")
        return 0
    table(
        ("Class", "Day", "Hours", "Title", "Venue", "Heads", "Min", "Wait", "Fee", "State"),
        [
            (
                row.ref,
                show_day(row.first_day, year=True),
                f"{row.starts.local:%H:%M}" + (f" +{len(row.sessions) - 1}" if len(row.sessions) > 1 else ""),
                row.title,
                row.venue,
                f"{row.heads}/{row.seats}",
                str(row.minimum),
                str(row.waiting or ""),
                currency.show(row.fee_minor),
                "taught" if row.taught else row.state,
            )
            for row in rows
        ],
        right=(5, 6, 7, 8),
    )
    return 0


def _show(studio: Studio, row: ClassRow, parsed: Namespace) -> int:
    entries = studio.ask(ClassDate(row.id))
    deadlines = studio.ask(ClassDeadlines(row.id))
    currency = studio.ask(Settings()).currency
    if parsed.json:
        print(
            answer(
                "class",
                **{"class": class_entry(row, currency)},
                project=row.project,
                helpers=entries.helpers,
                final_count_day=entries.final_count_day,
                public_note=entries.public_note,
                private_note=entries.private_note,
                deadlines=[{"day": one.day, "kind": one.kind} for one in deadlines.days],
                kits=deadlines.kits,
            )
        )
        return 0
    say(f"{row.ref} {row.title} ({row.kinds}), {row.state}{', taught' if row.taught else ''}")
    for session in row.sessions:
        say(
            f"  {show_day(session.starts.local.date(), year=True)}"
            f" {session.starts.local:%H:%M}-{session.ends.local:%H:%M}"
        )
    say(
        f"  {row.venue}; {row.heads} of {row.seats} seats, minimum {row.minimum};"
        f" fee {currency.show(row.fee_minor)} {currency.code}"
    )
    say(f"  {counted(deadlines.kits, 'kit')} to build")
    for one in deadlines.days:
        by = "" if one.kind == "sign-up opens" else "by the end of "
        say(f"  {one.kind}: {by}{show_day(one.day)}")
    return 0


def _sessions(studio: Studio, parsed: Namespace, like: ClassRow | None = None) -> tuple[LocalSpan, ...]:
    """The sessions that --on and --hours say; without --hours those of `like`."""
    facts = studio.ask(Settings())
    today = wall_time(studio.now, facts.time_zone).local.date()
    if not parsed.on:
        raise InvalidError("Which day?", hint="Give --on DAY, such as --on 'sat 13 mar'.", field="on")
    days = [read_day(text, today=today, day_first=facts.day_first, field="on").value for text in parsed.on]
    spans = [read_span(text).value for text in parsed.hours]
    if not spans and like is not None:
        spans = [(s.starts.local.time(), s.ends.local.time()) for s in like.sessions]
    if len(spans) not in (1, len(days)):
        raise InvalidError("Which hours?", hint="Give --hours 10-12:30, once or once a day.", field="hours")
    spans = spans * len(days) if len(spans) == 1 else spans
    return tuple(_local(day, *span) for day, span in zip(days, spans, strict=True))


def _local(day: dt.date, start: dt.time, end: dt.time) -> LocalSpan:
    last = day if end > start else day + dt.timedelta(days=1)
    return dt.datetime.combine(day, start), dt.datetime.combine(last, end)


def _entries(studio: Studio, parsed: Namespace) -> dict[str, object]:
    """What the options set, by the names of the commands' entries."""
    found: dict[str, object] = {
        name: getattr(parsed, name)
        for name in (
            "title", "seats", "minimum", "helpers", "state", "mailed_kit", "children", "private_party",
            "guardians_stay",
        )
        if getattr(parsed, name) is not None
    }  # fmt: skip
    for option, name in (("note", "public_note"), ("private_note", "private_note")):
        if getattr(parsed, option) is not None:
            found[name] = getattr(parsed, option)
    for kind in ("project", "venue", "recipe"):
        if getattr(parsed, kind):
            found[f"{kind}_id"] = shelf_named(studio, kind, getattr(parsed, kind))
    if parsed.fee is not None:
        found["fee_minor"] = read_money(parsed.fee, studio.ask(Settings()).currency, field="fee").value
    return found


def _wanted(studio: Studio, parsed: Namespace) -> MakeClassDate:
    for option in ("project", "venue"):
        if not getattr(parsed, option):
            raise InvalidError(f"Which {option}?", hint=f"Give --{option} NAME.", field=option)
    return MakeClassDate(sessions=_sessions(studio, parsed), **_entries(studio, parsed))


def _make(studio: Studio, parsed: Namespace) -> int:
    return show_outcome(studio.do(_wanted(studio, parsed)), parsed)


def _change(studio: Studio, row: ClassRow, parsed: Namespace) -> int:
    return show_outcome(studio.do(ChangeClassDate(class_date_id=row.id, **_entries(studio, parsed))), parsed)


def _move(studio: Studio, row: ClassRow, parsed: Namespace) -> int:
    return show_outcome(studio.do(MoveClassDate(class_date_id=row.id, sessions=_sessions(studio, parsed, row))), parsed)


def _again(studio: Studio, row: ClassRow, parsed: Namespace) -> int:
    facts = studio.ask(Settings())
    today = wall_time(studio.now, facts.time_zone).local.date()
    if len(parsed.on) != 1:
        raise InvalidError("On which day is it run again?", hint="Give --on DAY once.", field="on")
    day = read_day(parsed.on[0], today=today, day_first=facts.day_first, field="on").value
    return show_outcome(studio.do(RunAgain(class_date_id=row.id, first_day=day)), parsed)


def _series(studio: Studio, parsed: Namespace) -> int:
    if not parsed.every:
        raise InvalidError("By which rule?", hint="Give --every 'third thursday'.", field="every")
    facts = studio.ask(Settings())
    today = wall_time(studio.now, facts.time_zone).local.date()
    rule = read_repeat(parsed.every, field="every")
    wanted = _wanted(studio, parsed)
    first = wanted.sessions[0][0]
    through = first.date() + dt.timedelta(days=round(parsed.months * 30.44))
    skipped = {read_day(text, today=today, day_first=facts.day_first, field="skip").value for text in parsed.skip}
    starts = proposed_starts(rule.value, first, through, zone=facts.time_zone)
    days = tuple(moment.date() for moment in starts if moment.date() not in skipped)
    if parsed.dry_run or not days:
        if parsed.json:
            print(answer("proposed", rule=rule.value, shown=rule.shown, days=days))
            return 0 if days else 1
        say(f"{rule.shown}: " + (", ".join(show_day(day, today=today) for day in days) or "no such day"))
        return 0 if days else 1
    return show_outcome(studio.do(MakeSeries(first=wanted, rule=rule.value, days=days)), parsed)

"""The verbs `import` and `read`: files of the outside world."""

from __future__ import annotations

import datetime as dt
import json
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from scheduling.clock import wall_time
from scheduling.commands.importing import KeepBusyTimes, KeepSignUps
from scheduling.errors import InvalidError, SchedulingError
from scheduling.exchange.heads import MOST_HEADS
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.meanings import Meaning
from scheduling.exchange.rows import PeopleRead, Progress, Question
from scheduling.model.bookings import heads_text
from scheduling.model.taking_in import PersonEntry, file_digest
from scheduling.outside import busy_entries, content_of, is_calendar, read_busy, read_window
from scheduling.queries.importing import KeptMapping, KeptZones, PreviewBusy, PreviewSignUps, SignUpPreview
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import counted
from tui.lines.answers import answer
from tui.lines.named import class_named
from tui.lines.out import say, table
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path

_MOST_ROWS = 200
_LONG = 5_000
"""Rows from which on the reading says how far it is."""


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("path", metavar="FILE")
    parser.add_argument("--encoding", default="", help="people: of a text file whose accents come out wrong, as cp1250")
    parser.add_argument("--delimiter", default="", help="people: what parts the cells of a text file: , ; tab or |")
    parser.add_argument("--sheet", default="", help="people: the sheet of a workbook, by its name")
    parser.add_argument(
        "--header-row", type=int, metavar="N", help="people: the row that names the columns; 0 where there is none"
    )
    if verb == "read":
        parser.add_argument("--zone", default="UTC", help="the zone of times that name none")
        parser.add_argument("--from", dest="first", type=dt.date.fromisoformat, metavar="DATE", help="first day wanted")
        parser.add_argument(
            "--to", dest="until", type=dt.date.fromisoformat, metavar="DATE", help="first day after the last"
        )
    else:
        parser.add_argument("--as", dest="source", help="the name to remember the file's answers by; else its own")
        parser.add_argument(
            "--class", dest="class_date", metavar="CLASS", help="sign-ups: the class of rows that name none"
        )
        parser.add_argument("--keep", action="store_true", help="keep it; without this it is only shown")
        parser.add_argument(
            "--answer", action="append", default=[], metavar="KIND:ABOUT=VALUE", help="answer a question"
        )
        parser.add_argument(
            "--column", action="append", default=[], metavar="HEADER=MEANING", help="what a column of people holds"
        )
        parser.add_argument(
            "--heads", action="append", default=[], metavar="ROW=N", help="heads of a row where they cannot be read"
        )
        parser.add_argument(
            "--zone-is", action="append", default=[], metavar="NAME=ZONE", help="what a zone name means"
        )
        parser.add_argument("--empty", action="store_true", help="busy times: it is meant that there are none")


def run(parsed: Namespace) -> int:
    if parsed.verb == "read":
        return _read(parsed)
    with open_studio(studio_path(parsed.file)) as studio:
        return _import(studio, parsed)


def _import(studio: Studio, parsed: Namespace) -> int:
    path = typed_path(parsed.path)
    content = content_of(path)
    source = parsed.source or path.name
    if is_calendar(content, path.name):
        return _import_busy(studio, parsed, content, source)
    facts = studio.ask(Settings())
    mapping = _answered(studio.ask(KeptMapping(source)), parsed)
    today = wall_time(studio.now, facts.time_zone).local.date()
    read = _people(content, path.name, today, facts.time_zone, mapping)
    class_date_id = class_named(studio, parsed.class_date).id if parsed.class_date else None
    preview = studio.ask(PreviewSignUps(read, source, class_date_id, _heads(parsed.heads)))
    undo, said = 0, _sign_ups_said(preview)
    kept = parsed.keep and preview.may_keep
    if kept:
        outcome = studio.do(
            KeepSignUps(
                source=source,
                digest=file_digest(content),
                people=preview.people,
                sign_ups=preview.sign_ups,
                mapping=preview.mapping.as_dict(),
            ),
            _progress_shown(),
        )
        undo, said = outcome.history_id, outcome.said
    if parsed.json:
        rows = [
            {
                "row": entry.row,
                "name": preview.people[entry.person].name,
                "known": preview.people[entry.person].person_id is not None,
                "class": entry.class_text,
                "heads": entry.heads,
                "state": entry.state,
                "what": entry.what,
                "about": entry.about,
            }
            for entry in preview.sign_ups
        ]
        rows += [
            {"row": 0, "name": one.name, "known": one.person_id is not None, "class": "", "heads": 0, "state": "",
             "what": "same" if one.person_id is not None else "new", "about": "no sign-up"}
            for one in _without_sign_up(preview)
        ]  # fmt: skip
        ask = [_question(question) for question in preview.ask]
        print(
            answer(
                "import", said=said, file=str(path), kept=kept, rows=rows, ask=ask, notices=preview.notices, undo=undo
            )
        )
    else:
        _show_sign_ups(preview, said, kept=kept, undo=undo)
    return 1 if preview.ask else 0


def _answered(mapping: Mapping, parsed: Namespace) -> Mapping:
    """What was settled for the source before, with what she says now."""
    for given in parsed.answer:
        kind, _, rest = given.partition(":")
        about, sign, value = rest.rpartition("=")
        if not sign:
            raise InvalidError(
                f"{given!r} is no answer.", hint="Write --answer 'date order:Date=day-first'.", field="answer"
            )
        mapping = mapping.answered(kind, about, value)
    for given in parsed.column:
        header, sign, word = given.rpartition("=")
        if not sign or word not in set(Meaning):
            known = ", ".join(Meaning)
            raise InvalidError(
                f"{given!r} settles no column.",
                hint=f"Write --column 'Header=name'; known are {known}.",
                field="column",
            )
        mapping = mapping.with_column(header, Meaning(word))
    return _read_so(mapping, parsed)


def _read_so(mapping: Mapping, parsed: Namespace) -> Mapping:
    """With what she says of the file as a whole."""
    header_row = "" if parsed.header_row is None else str(parsed.header_row)
    delimiter = "\t" if parsed.delimiter.casefold() in ("tab", "\\t") else parsed.delimiter
    said = {"encoding": parsed.encoding, "delimiter": delimiter, "sheet": parsed.sheet, "header row": header_row}
    for kind, value in said.items():
        mapping = mapping.answered(kind, "", value) if value else mapping
    return mapping


def _heads(given: list[str]) -> tuple[tuple[int, int], ...]:
    found = []
    for text in given:
        row, sign, heads = text.partition("=")
        if not (sign and row.strip().isdecimal() and heads.strip().isdecimal() and 0 < int(heads) <= MOST_HEADS):
            raise InvalidError(f"{text!r} gives no heads.", hint="Write --heads 7=3 for row 7.", field="heads")
        found.append((int(row), int(heads)))
    return tuple(found)


def _without_sign_up(preview: SignUpPreview) -> list[PersonEntry]:
    """The people of a file who only stand in it: of a contact file, all of them."""
    signed_up = {entry.person for entry in preview.sign_ups}
    return [person for n, person in enumerate(preview.people) if n not in signed_up]


def _people(content: bytes, name: str, today: dt.date, zone: str, mapping: Mapping) -> PeopleRead:
    from scheduling.exchange.read import read_people

    return read_people(content, name, today=today, mapping=mapping, zone=zone, progress=_progress_shown())


def _progress_shown() -> Progress | None:
    """Tells how far a long file is read, where somebody looks on; Ctrl+C stops it and nothing is kept."""
    if not sys.stderr.isatty():
        return None

    def show(done: int, whole: int) -> bool:
        if whole > _LONG:
            print(f"\r{done:,} of {whole:,} rows", end="\n" if done == whole else "", file=sys.stderr, flush=True)
        return True

    return show


def _sign_ups_said(preview: SignUpPreview) -> str:
    counts = ", ".join(f"{preview.counts.get(what, 0)} {what}" for what in ("new", "changed", "same", "left out"))
    return f"{counted(len(preview.sign_ups), 'sign-up')}: {counts}; {counted(preview.new_people, 'new attendee')}."


def _question(question: Question) -> dict[str, object]:
    return {
        "kind": question.kind,
        "about": question.about,
        "text": question.text,
        "choices": [{"value": choice.value, "label": choice.label} for choice in question.choices],
    }


def _show_sign_ups(preview: SignUpPreview, said: str, *, kept: bool, undo: int) -> None:
    if not kept:
        table(
            ("Row", "Name", "", "Class", "Heads", "State", "", "About"),
            [
                (
                    str(entry.row),
                    preview.people[entry.person].name,
                    "" if preview.people[entry.person].person_id else "new attendee",
                    entry.class_text,
                    str(entry.heads or "?"),
                    entry.state,
                    entry.what,
                    entry.about,
                )
                for entry in preview.sign_ups[:_MOST_ROWS]
            ],
            right=(0, 4),
        )
        if len(preview.sign_ups) > _MOST_ROWS:
            print(f"and {len(preview.sign_ups) - _MOST_ROWS} more rows")
        alone = _without_sign_up(preview)
        for person in alone[:_MOST_ROWS]:
            say(f"  {'new attendee' if person.person_id is None else 'known':12}  {person.name}  {person.email}")
        if len(alone) > _MOST_ROWS:
            print(f"and {len(alone) - _MOST_ROWS} more people")
    for notice in preview.notices[:30]:
        say(f"Note: {notice}")
    if not kept:
        _say_what_is_unclear(preview)
    for question in preview.ask:
        say(f"Asked: {question.text}")
        for choice in question.choices:
            say(f"  --answer '{question.kind}:{question.about}={choice.value}'   {choice.label}")
    say(said)
    if undo:
        print(f"Take back with: kitwright undo {undo}")
    elif preview.ask:
        print("Nothing is kept before that is answered.")
    elif not kept:
        print("Nothing is kept yet. Keep it with: --keep")


def _say_what_is_unclear(preview: SignUpPreview) -> None:
    """How to say on this line what the rows themselves leave open."""
    unclear = next((entry.row for entry in preview.sign_ups if not entry.heads), None)
    if unclear is not None:
        print(f"Say how many heads a row has with: --heads {unclear}=N")
    if any(entry.what == "left out" and entry.class_date_id is None for entry in preview.sign_ups):
        print("Say the class of rows that name none with: --class C05")


def _import_busy(studio: Studio, parsed: Namespace, content: bytes, source: str) -> int:
    zone = studio.ask(Settings()).time_zone
    window = read_window(wall_time(studio.now, zone).local.date())
    zones = studio.ask(KeptZones(source)) | dict(pair.partition("=")[::2] for pair in parsed.zone_is)
    read = read_busy(content, source, home_zone=zone, window=window, zones=zones)
    preview = studio.ask(PreviewBusy(busy_entries(read, zone), source, window[0]))
    counts = f"{len(preview.new)} new, {len(preview.changed)} changed, {preview.gone} gone, {preview.same} the same"
    counts += f", {len(preview.ignored)} of an older revision ignored" if preview.ignored else ""
    undo, said = 0, f"{preview.source}: {counts}."
    kept = parsed.keep and not read.zones_to_ask and not read.says_nothing
    if kept:
        outcome = studio.do(
            KeepBusyTimes(
                source=preview.source,
                digest=file_digest(content),
                entries=preview.entries,
                first=window[0],
                empty_is_meant=parsed.empty,
                zones=zones if preview.source == source else studio.ask(KeptZones(preview.source)),
            )
        )
        undo, said = outcome.history_id, outcome.said
    ask = [f"Which zone is {name!r}? Say --zone-is '{name}=Europe/Berlin'." for name in read.zones_to_ask]
    notices = [notice.text for notice in read.notices]
    if not read.is_whole:
        notices.insert(0, "The file is not whole: nothing of what is kept is taken away for it. Get it anew.")
    notices += preview.clashes
    told = [("new", one) for one in preview.new]
    told += [("changed" if one.takes_time else "free now", one) for one in preview.changed]
    told += [("gone", one) for one in preview.gone_entries] + [("ignored", one) for one in preview.ignored]
    if parsed.json:
        touched = {one.identity for what, one in told if what != "ignored"}
        told += [("same", one) for one in preview.entries if one.takes_time and one.identity not in touched]
        rows = [
            {"what": what, "title": e.title, "starts": e.starts, "ends": e.ends, "all_day": e.all_day}
            for what, e in told
        ]
        print(answer("import", said=said, file=parsed.path, kept=kept, rows=rows, ask=ask, notices=notices, undo=undo))
    else:
        for what, entry in told[: 0 if kept else 60]:
            say(f"  {what:8}  {entry.span}  {entry.title}")
        for text in (*(f"Note: {notice}" for notice in notices[:30]), *(f"Asked: {question}" for question in ask)):
            say(text)
        say(said)
        hint = "" if kept or read.says_nothing else "Keep it with: --keep"
        print(f"Take back with: kitwright undo {undo}" if undo else hint)
    return 1 if ask else 0


def _heads_said(heads: object) -> str:
    """Heads of a sign-up; a number that could not be read is "?"."""
    return heads_text(heads) if isinstance(heads, int) else f"{heads} heads"


def _read(parsed: Namespace) -> int:
    """What a file means, keeping nothing; its JSON is a contract of its own and carries no version."""
    path = typed_path(parsed.path)
    try:
        found = _meaning(parsed, path)
    except SchedulingError as error:
        if not parsed.json:
            raise
        print(json.dumps({"error": str(error)}, ensure_ascii=False))
        return 1
    if parsed.json:
        print(json.dumps(found, ensure_ascii=False, indent=2))
        return 0
    _show_meaning(found)
    return 0


def _meaning(parsed: Namespace, path: Path) -> dict[str, object]:
    content = content_of(path)
    first = parsed.first or dt.date(2000, 1, 1)
    if is_calendar(content, path.name):
        from scheduling.calendar.found import calendar_answer

        until = parsed.until or dt.date(2100, 1, 1)
        read = read_busy(content, path.name, home_zone=parsed.zone, window=(first, until), zones={})
        found = calendar_answer(read)
        asked = [
            {"text": f"The zone {name!r} is not known; its times are read in {parsed.zone}."}
            for name in read.zones_to_ask
        ]
        return found | {"notices": [*found["notices"], *asked]}
    from scheduling.exchange.answer import people_answer

    return people_answer(_people(content, path.name, first, parsed.zone, _read_so(Mapping(), parsed)))


def _show_meaning(found: dict[str, object]) -> None:
    def rows(key: str) -> list[dict[str, object]]:
        value = found.get(key, [])
        return value if isinstance(value, list) else []

    if found["kind"] == "calendar":
        say(f"A calendar{': ' + str(found['name']) if found['name'] else ''}")
        for one in rows("occurrences"):
            say(f"  {one['start']} to {one['end']}  {'busy' if one['busy'] else 'free'}  {one['title']}")
        for todo in rows("todos"):
            say(f"  to do by {todo['due'] or 'no day'}  {'open' if todo['open'] else 'closed'}  {todo['title']}")
    else:
        say(f"{counted(len(rows('people')), 'person', 'people')}, {counted(len(rows('bookings')), 'sign-up')}")
        for booking in rows("bookings"):
            heads = _heads_said(booking["heads"])
            say(f"  {booking['name']}: {heads}, {booking['state']}, {booking['date'] or 'no day'}")
    asked = found.get("ask", [])
    for question in asked if isinstance(asked, list) else []:
        say(f"Asked: {question}")
    for notice in rows("notices"):
        say(f"Note: {notice['text']}")

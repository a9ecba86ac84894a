"""The verb `export`: calendars as files, for anyone, for her, for one attendee."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from scheduling.calendar.save import save_calendar, written_before
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.queries.calendars import AttendeeCalendar, ClassCalendar, PrivateCalendar
from scheduling.studio import Studio
from tui import cells
from tui.lines.answers import answer
from tui.lines.named import class_named, person_named
from tui.lines.place import open_studio, studio_path

_WHICH = ("classes", "private", "class", "attendee")


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument(
        "which",
        nargs="?",
        default="classes",
        choices=_WHICH,
        help="classes: for anyone; private: hers, with prep and deadlines; class, attendee: of the one named",
    )
    parser.add_argument("name", nargs="?", help="the class date or the attendee: C05, A12, or letters of the name")
    parser.add_argument("--class", dest="class_date", metavar="CLASS", help="only this class date, as: export class")
    parser.add_argument("--to", metavar="FILE", help="the file to write; else one of a plain name here")
    parser.add_argument("--blocks", action="store_true", help="private: planned prep as busy time too")
    parser.add_argument("--no-prep", action="store_true", help="private: without the prep tasks")
    parser.add_argument("--no-deadlines", action="store_true", help="private: without sign-up close, post-by and so on")
    parser.add_argument("--no-alarms", action="store_true", help="private, attendee: without reminders")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        name, content, private = _calendar(studio, parsed)
    target = Path(parsed.to or name).expanduser()
    changed = save_calendar(target, content, private=private)
    said = f"{'Written' if changed else 'Unchanged'}: {target.absolute()}"
    file = str(target.absolute())
    print(answer("written", said=said, file=file, changed=changed) if parsed.json else cells.clean(said))
    return 0


def _calendar(studio: Studio, parsed: Namespace) -> tuple[str, bytes, bool]:
    """The plain name of the file, its octets, and whether only she may read it."""
    if parsed.class_date and parsed.which == "classes" and not parsed.name:
        parsed.which, parsed.name = "class", parsed.class_date
    elif parsed.class_date:
        raise InvalidError("Only the class calendar is cut to one class.", hint="Leave --class out.", field="class")
    if (parsed.which in ("class", "attendee")) != bool(parsed.name):
        hint = "Name one, such as: kitwright export class C05" if not parsed.name else "Leave the name out."
        raise InvalidError(f"It is not clear what {parsed.which} is to be written.", hint=hint, field="name")
    if parsed.which != "private" and (parsed.blocks or parsed.no_prep or parsed.no_deadlines):
        raise InvalidError("Prep and deadlines stand in the private calendar only.", hint="Say: export private")
    if parsed.which == "private":
        options = PrivateCalendar(
            prep=not parsed.no_prep,
            blocks=parsed.blocks,
            deadlines=not parsed.no_deadlines,
            alarms=not parsed.no_alarms,
            before=written_before(Path(parsed.to or "private.ics").expanduser()),
        )
        return "private.ics", studio.ask(options), True
    if parsed.which == "attendee":
        person_id = person_named(studio, parsed.name)
        content = studio.ask(AttendeeCalendar(person_id, alarms=not parsed.no_alarms))
        return f"attendee-{ref('person', person_id)}.ics", content, True
    if parsed.which == "class":
        row = class_named(studio, parsed.name)
        return f"class-{row.ref}.ics", studio.ask(ClassCalendar(row.id)), False
    before = written_before(Path(parsed.to or "classes.ics").expanduser())
    return "classes.ics", studio.ask(ClassCalendar(before=before)), False

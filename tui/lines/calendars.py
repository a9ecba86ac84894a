"""The verb `export`: calendars as files, for anyone, for her, for one attendee."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from scheduling.calendars_out import write_calendar
from scheduling.errors import InvalidError, NotFoundError
from scheduling.model.refs import ref, ref_id
from scheduling.queries.calendars import AttendeeCalendar, ClassCalendar, PrivateCalendar
from scheduling.studio import Studio
from tui import cells
from tui.lines.answers import answer
from tui.lines.named import class_named, is_ref, person_named
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path

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
        name, wanted = _calendar(studio, parsed)
        target = typed_path(parsed.to or name)
        changed = write_calendar(studio, target, wanted)
    said = f"{'Written' if changed else 'Unchanged'}: {target.absolute()}"
    file = str(target.absolute())
    print(answer("written", said=said, file=file, changed=changed) if parsed.json else cells.clean(said))
    return 0


def _calendar(studio: Studio, parsed: Namespace) -> tuple[str, ClassCalendar | PrivateCalendar | AttendeeCalendar]:
    """The plain name of the file, and which calendar it is."""
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
        return "private.ics", PrivateCalendar(
            prep=not parsed.no_prep,
            blocks=parsed.blocks,
            deadlines=not parsed.no_deadlines,
            alarms=not parsed.no_alarms,
        )
    if parsed.which == "attendee":
        person_id = person_named(studio, parsed.name)
        return f"attendee-{ref('person', person_id)}.ics", AttendeeCalendar(person_id, alarms=not parsed.no_alarms)
    if parsed.which == "class":
        class_date_id = _class_or_gone(studio, parsed.name)
        return f"class-{ref('class_date', class_date_id)}.ics", ClassCalendar(class_date_id)
    return "classes.ics", ClassCalendar()


def _class_or_gone(studio: Studio, name: str) -> int:
    """The class of that name; by its reference also one taken back, whose calendar then calls it off."""
    try:
        return class_named(studio, name).id
    except NotFoundError:
        if is_ref(name, "class_date"):
            return ref_id(name, "class_date")
        raise

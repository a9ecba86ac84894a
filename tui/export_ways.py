"""What can be written out: calendars, lists for a spreadsheet, the studio's own folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from scheduling.model.refs import ref
from scheduling.saving import save_file
from scheduling.studio import Query, Studio
from tui.widgets.ask import Answer

CLASSES_FILE: Final = "classes.ics"
LISTS: Final = ("roster", "people", "bookings", "money", "stock")
WITH_HEALTH: Final = ("roster", "people")
PUBLISH: Final = Answer("publish", "Publish a calendar: to a folder read by link, or to your provider")
FORMS: Final = (Answer("csv", "As CSV"), Answer("xlsx", "As a workbook (XLSX)"))


@dataclass(frozen=True, slots=True)
class Written:
    """Where a file lies, what it is in words, and whether it differs from the one before."""

    path: Path
    what: str
    changed: bool


@dataclass(frozen=True, slots=True)
class ToWrite:
    """One kind of file; the class or attendee it is of, where it is of one; of a list its form, and health data
    only where she has asked for it by name."""

    kind: str
    class_date_id: int | None = None
    person_id: int | None = None
    form: str = "csv"
    with_health: bool = False


def kinds(class_date_id: int | None) -> list[Answer]:
    """What she is offered, the class calendar first; the class's own files where one is under the cursor."""
    found = [Answer("classes", "The class calendar, for anyone")]
    if class_date_id is not None:
        named = ref("class_date", class_date_id)
        found += [Answer("class", f"The calendar of {named} alone"), Answer("roster", f"The roster of {named}")]
    return [
        *found,
        Answer("private", "Your own calendar, with prep and deadlines"),
        Answer("attendee", "The calendar of one attendee"),
        Answer("people", "A list of the people"),
        Answer("bookings", "A list of the bookings"),
        Answer("money", "A list of all money that moved"),
        Answer("stock", "A list of the stock"),
        Answer("studio", "The whole studio as one file (JSON), health notes too", is_grave=True),
    ]


def write_out(studio: Studio, folder: Path, wanted: ToWrite) -> Written:
    """Write one file into `folder`; raises SchedulingError where that is not possible."""
    if wanted.kind == "studio":
        return _studio(studio, folder)
    return _list(studio, folder, wanted) if wanted.kind in LISTS else _calendar(studio, folder, wanted)


def _studio(studio: Studio, folder: Path) -> Written:
    from scheduling.queries.whole_studio import WholeStudio

    path = folder / f"{Path(studio.path).stem}.json"
    changed = save_file(path, studio.ask(WholeStudio()), private=True)
    return Written(path, "The whole studio but for its history", changed)


def _calendar(studio: Studio, folder: Path, wanted: ToWrite) -> Written:
    from scheduling.calendars_out import write_calendar  # slow to import and rarely wanted
    from scheduling.queries.calendars import AttendeeCalendar, ClassCalendar, PrivateCalendar

    calendar: AttendeeCalendar | ClassCalendar | PrivateCalendar = ClassCalendar()
    path, what = folder / CLASSES_FILE, "The class calendar"
    if wanted.kind == "private":
        path, what, calendar = folder / "private.ics", "Your own calendar", PrivateCalendar()
    elif wanted.person_id is not None:
        named = ref("person", wanted.person_id)
        path, what = folder / f"attendee-{named}.ics", f"The calendar of {named}"
        calendar = AttendeeCalendar(wanted.person_id)
    elif wanted.kind == "class" and wanted.class_date_id is not None:
        named = ref("class_date", wanted.class_date_id)
        path, what, calendar = (
            folder / f"class-{named}.ics",
            f"The calendar of {named}",
            ClassCalendar(wanted.class_date_id),
        )
    changed = write_calendar(studio, path, calendar)
    return Written(path, f"{what}, {_count(path.read_bytes().count(b'BEGIN:VEVENT'), 'session')},", changed)


def _list(studio: Studio, folder: Path, wanted: ToWrite) -> Written:
    from scheduling.exchange.write import csv_bytes, xlsx_bytes
    from scheduling.queries import lists

    asks: dict[str, Query[lists.WrittenList]] = {
        "people": lists.PeopleList(),
        "bookings": lists.BookingsList(),
        "money": lists.MoneyList(),
        "stock": lists.StockList(),
    }
    if wanted.class_date_id is not None:
        asks["roster"] = lists.RosterList(wanted.class_date_id)
    found = studio.ask(asks[wanted.kind])
    health = [lists.ACCESS_NEEDS.title, lists.HEALTH_NOTE.title] if wanted.with_health else []
    if wanted.form == "xlsx":
        octets = xlsx_bytes({found.name: (found.columns, found.rows)}, health=health)
    else:
        octets = csv_bytes(found.columns, found.rows, health=health)
    of = f"-{ref('class_date', wanted.class_date_id)}" if wanted.kind == "roster" and wanted.class_date_id else ""
    path = folder / f"{wanted.kind}{of}.{wanted.form}"
    changed = save_file(path, octets, private=True)
    return Written(path, f"The list, {_count(len(found.rows), 'row')},", changed)


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"

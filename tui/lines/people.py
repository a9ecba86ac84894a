"""The verbs `attendees` and `attendee`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.commands.erasing import ErasePerson
from scheduling.commands.people import AddPerson, ChangePerson, RetirePerson
from scheduling.errors import InvalidError
from scheduling.queries.people import FindPeople, Person
from scheduling.studio import Studio
from scheduling.words import show_day
from tui.lines.answers import answer, person_entry, plain
from tui.lines.named import person_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path

DEEDS = ("show", "add", "change", "retire", "erase")
_TEXTS = ("name", "email", "phone", "address", "access_needs", "health_note", "note")


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "attendees":
        parser.add_argument("text", nargs="?", default="", help="letters of the name, e-mail or phone")
        parser.add_argument("--most", type=int, default=50, metavar="N", help="rows to show (50)")
        return
    parser.add_argument("deed", choices=DEEDS, help="what to do")
    parser.add_argument("attendee", metavar="ATTENDEE", help="a reference such as A12, or a name; for add the new name")
    for name in _TEXTS:
        parser.add_argument(f"--{name.replace('_', '-')}", dest=name)
    parser.add_argument("--birth-year", type=int)
    parser.add_argument("--guardian", help="another attendee by reference or name")
    parser.add_argument("--abroad", choices=("yes", "no"))
    parser.add_argument("--photos", choices=("yes", "no", "unknown"), help="consent to photos")
    parser.add_argument("--news", choices=("yes", "no", "unknown"), help="consent to news e-mail")
    parser.add_argument("--back", action="store_true", help="retire: bring back")
    parser.add_argument("--for-good", action="store_true", help="erase: needed, since it cannot be undone")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.verb == "attendees":
            return _find(studio, parsed)
        if parsed.deed == "add":
            entries = _entries(studio, parsed)
            return show_outcome(studio.do(AddPerson(**(entries | {"name": parsed.attendee}))), parsed)
        person_id = person_named(studio, parsed.attendee)
        if parsed.deed == "change":
            return show_outcome(studio.do(ChangePerson(person_id=person_id, **_entries(studio, parsed))), parsed)
        if parsed.deed == "retire":
            return show_outcome(studio.do(RetirePerson(person_id=person_id, back=parsed.back)), parsed)
        if parsed.deed == "erase":
            if not parsed.for_good:
                raise InvalidError(
                    "Erasing cannot be undone: name, addresses and notes go, also from the history and the copies.",
                    hint="Say --for-good when that is meant.",
                    field="for_good",
                )
            return show_outcome(studio.do(ErasePerson(person_id=person_id)), parsed)
        return _show(studio, person_id, parsed)


def _find(studio: Studio, parsed: Namespace) -> int:
    found = studio.ask(FindPeople(parsed.text, at_most=max(1, parsed.most)))
    if parsed.json:
        print(answer("attendees", attendees=[person_entry(row) for row in found.rows], total=found.total))
        return 0
    if not found.rows:
        print("Nobody matches. Add someone with: kitwright attendee add NAME")
        return 0
    table(
        ("", "Name", "E-mail", "Phone", "Coming"),
        [(row.ref, row.name, row.email, row.phone, str(row.coming or "")) for row in found.rows],
        right=(4,),
    )
    if found.total > len(found.rows):
        print(f"and {found.total - len(found.rows)} more: type more letters, or --most {found.total}")
    return 0


def _entries(studio: Studio, parsed: Namespace) -> dict[str, Any]:
    found: dict[str, Any] = {
        name: getattr(parsed, name)
        for name in (*_TEXTS, "birth_year", "photos", "news")
        if getattr(parsed, name) is not None
    }
    if parsed.abroad is not None:
        found["abroad"] = parsed.abroad == "yes"
    if parsed.guardian is not None:
        found["guardian_id"] = person_named(studio, parsed.guardian, field="guardian") if parsed.guardian else None
    return found


def _show(studio: Studio, person_id: int, parsed: Namespace) -> int:
    page = studio.ask(Person(person_id))
    if parsed.json:
        entries = plain(page)
        bookings = [
            {
                "booking": one.ref,
                "state": one.state,
                "heads": one.heads,
                "pays": one.pays,
                "class": one.class_row.ref,
                "title": one.class_row.title,
                "starts": one.class_row.starts,
            }
            for one in page.bookings
        ]
        # A health note is shown where it is asked for by a person, never in what goes into another program.
        for name in ("bookings", "health_note"):
            entries.pop(name)
        entries["has_health_note"] = bool(page.health_note)
        print(answer("attendee", attendee=entries, bookings=bookings))
        return 0
    say(f"{page.ref} {page.name}{' (retired)' if page.retired else ''}{' (erased)' if page.erased else ''}")
    for label, value in (
        ("E-mail", page.email),
        ("Phone", page.phone),
        ("Address", page.address + (" (abroad)" if page.abroad else "")),
        ("Born", str(page.birth_year or "")),
        ("Guardian", page.guardian),
        ("Access needs", page.access_needs),
        ("Health note", f"{page.health_note} (erased after {page.health_erase_on})" if page.health_note else ""),
        ("Photos", f"{page.photos}{f' since {page.photos_on}' if page.photos_on else ''}"),
        ("News e-mail", f"{page.news}{f' since {page.news_on}' if page.news_on else ''}"),
        ("Note", page.note),
    ):
        if value:
            say(f"  {label}: {value}")
    if page.bookings:
        print()
        table(
            ("Booking", "Class", "Day", "Title", "Heads", "State"),
            [
                (
                    one.ref,
                    one.class_row.ref,
                    show_day(one.class_row.first_day, year=True),
                    one.class_row.title,
                    str(one.heads),
                    one.state,
                )
                for one in page.bookings
            ],
            right=(4,),
        )
    return 0

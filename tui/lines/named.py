"""Finding what a word on the command line names: a reference, a title, a name."""

from __future__ import annotations

import re

from scheduling.errors import InvalidError, NotFoundError
from scheduling.folding import fold_text
from scheduling.model.refs import LETTERS, ref_id
from scheduling.queries.classes import ClassDate, Classes, ClassRow
from scheduling.queries.people import FindPeople, Person
from scheduling.queries.settings import Settings
from scheduling.queries.shelves import Projects, Recipes, Venues
from scheduling.studio import Studio
from scheduling.words import show_day


def is_ref(text: str, kind: str) -> bool:
    return re.fullmatch(rf"{LETTERS[kind]}\d+", text.strip(), re.IGNORECASE) is not None


def class_named(studio: Studio, text: str) -> ClassRow:
    """The class date of a reference, or the one class to come whose title or day holds the text.

    Raises NotFoundError when there is none, InvalidError that lists them when there are several.
    """
    if is_ref(text, "class_date"):
        return studio.ask(ClassDate(ref_id(text, "class_date"))).row
    words = fold_text(text).split()
    rows = [
        row
        for row in studio.ask(Classes("coming", with_cancelled=False))
        if all(
            word in fold_text(f"{row.title} {show_day(row.first_day)} {row.first_day} {row.venue}") for word in words
        )
    ]
    if not rows:
        raise NotFoundError(f"No class to come matches {text!r}.", hint="See: kitwright classes", field="class")
    if len(rows) > 1:
        names = ", ".join(f"{row.ref} {row.title} {show_day(row.first_day)}" for row in rows[:6])
        raise InvalidError(
            f"{text!r} matches several classes: {names}.", hint="Name one by its reference.", field="class"
        )
    return rows[0]


def person_named(studio: Studio, text: str, *, field: str = "attendee") -> int:
    """The attendee of a reference, or the one whose name or e-mail holds the text; raises as class_named does."""
    if is_ref(text, "person"):
        return studio.ask(Person(ref_id(text, "person"))).id
    found = studio.ask(FindPeople(text, at_most=6))
    same = [
        row for row in found.rows if fold_text(row.name) == fold_text(text) or row.email.casefold() == text.casefold()
    ]
    rows = same if len(same) == 1 else list(found.rows)
    if not rows:
        raise NotFoundError(
            f"No attendee matches {text!r}.", hint="Add them with --new, or: kitwright attendee add NAME", field=field
        )
    if len(rows) > 1:
        names = ", ".join(f"{row.ref} {row.name}" for row in rows[:6])
        more = f" and {found.total - 6} more" if found.total > 6 else ""
        raise InvalidError(f"{text!r} matches {names}{more}.", hint="Name one by the reference.", field=field)
    return rows[0].id


def shelf_named(studio: Studio, kind: str, text: str) -> int:
    """The venue, project or recipe of a reference or a name."""
    if is_ref(text, kind):
        return ref_id(text, kind)
    entries: list[tuple[int, str]] = {
        "venue": lambda: [(row.id, row.name) for row in studio.ask(Venues())],
        "project": lambda: [(row.id, row.title) for row in studio.ask(Projects())],
        "recipe": lambda: [(row.id, row.name) for row in studio.ask(Recipes())],
    }[kind]()
    wanted = fold_text(text)
    hits = [entry for entry in entries if fold_text(entry[1]) == wanted] or [
        entry for entry in entries if wanted in fold_text(entry[1])
    ]
    if len(hits) == 1:
        return hits[0][0]
    if not hits:
        raise NotFoundError(f"No {kind} matches {text!r}.", hint=f"See: kitwright {kind}", field=kind)
    names = ", ".join(name for _, name in hits[:6])
    raise InvalidError(f"{text!r} matches {names}.", hint="Give more of the name.", field=kind)


def day_first(studio: Studio) -> bool:
    """Whether 3/4 is the third of April in this studio."""
    return studio.ask(Settings()).day_first

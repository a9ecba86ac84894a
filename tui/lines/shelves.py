"""The verbs `venue`, `project` and `recipe`."""

from __future__ import annotations

import re
from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.commands.projects import AddProject, ChangeProject, RetireProject
from scheduling.commands.recipes import AddRecipeLine, ChangeRecipeLine, CopyRecipe, RetireRecipe, RetireRecipeLine
from scheduling.commands.venues import AddVenue, ChangeVenue, RetireVenue
from scheduling.errors import InvalidError
from scheduling.model.prep import Effort, Line
from scheduling.queries.shelves import Projects, RecipeLines, RecipeRow, Recipes, Venues
from scheduling.studio import Studio
from scheduling.typed_steps import read_drying
from scheduling.words import read_minutes, show_minutes
from tui.lines.answers import answer
from tui.lines.kit_named import tool_named
from tui.lines.named import shelf_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path

_VENUE_TEXTS = ("name", "address", "contact", "joining_link", "cautions")
_VENUE_NUMBERS = ("seats", "posted_occupancy", "set_up_minutes", "clear_down_minutes", "travel_minutes")
_VENUE_MARKS = ("online", "own_room", "step_free", "hearing_loop")
_PROJECT_TEXTS = ("title", "description", "level", "to_bring", "cautions")
_PROJECT_NUMBERS = ("age_from", "pieces", "materials", "suppliers")


def arguments(verb: str, parser: ArgumentParser) -> None:
    deeds = ["list", "add", "change", "retire"]
    if verb == "recipe":
        deeds = ["list", "show", "copy", "retire", "line", "add-line", "retire-line"]
    parser.add_argument("deed", choices=deeds, nargs="?", default="list", help="what to do (list)")
    parser.add_argument("named", nargs="?", metavar=verb.upper(), help="a reference or a name; for add the new name")
    parser.add_argument("--back", action="store_true", help="retire: bring back")
    parser.add_argument("--all", action="store_true", help="list: retired ones too")
    if verb == "venue":
        _options(parser, [name for name in _VENUE_TEXTS if name != "name"], _VENUE_NUMBERS)
        parser.add_argument("--name", help="change: the new name")
        for name in _VENUE_MARKS:
            parser.add_argument(f"--{name.replace('_', '-')}", choices=("yes", "no"), dest=name)
        parser.add_argument(
            "--cancel-terms", help="owed on cancelling, such as '14 50%%, 7 100%%'; 'none' where nothing is"
        )
    elif verb == "project":
        _options(parser, [name for name in _PROJECT_TEXTS if name != "title"], _PROJECT_NUMBERS)
        parser.add_argument("--title", help="change: the new title")
        parser.add_argument("--teaching-time", help="such as 2h30")
        parser.add_argument("--dries", help="hours that what is glued ahead rests, such as 12h; 'recipe' as that says")
        parser.add_argument("--dries-in", metavar="TOOL", help="what it rests in, such as a press; 'none' for nothing")
    else:
        parser.add_argument("--line", type=int, metavar="N", help="line, retire-line: the line's number in show")
        parser.add_argument("--title")
        parser.add_argument("--days", type=int, help="line, add-line: days after the anchor, before it when negative")
        parser.add_argument("--minutes", help="line, add-line: the fixed minutes")
        parser.add_argument("--as", dest="new_name", help="copy: the new recipe's name")


def _options(parser: ArgumentParser, texts: list[str], numbers: tuple[str, ...]) -> None:
    for name in texts:
        parser.add_argument(f"--{name.replace('_', '-')}", dest=name)
    for name in numbers:
        parser.add_argument(f"--{name.replace('_', '-')}", dest=name, type=int)


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return {"venue": _venue, "project": _project, "recipe": _recipe}[parsed.verb](studio, parsed)


def _given(parsed: Namespace, *names: str) -> dict[str, Any]:
    return {name: getattr(parsed, name) for name in names if getattr(parsed, name) is not None}


def _named(parsed: Namespace) -> str:
    if not parsed.named:
        raise InvalidError(
            f"Which {parsed.verb}?", hint=f"kitwright {parsed.verb} {parsed.deed} NAME", field=parsed.verb
        )
    return str(parsed.named)


def read_cancel_terms(text: str) -> tuple[tuple[int, int], ...]:
    """Terms as typed: "14 50%, 7 100%" owes half from 14 days before and all from 7; "none" owes nothing.

    Raises InvalidError when they are not understood.
    """
    if text.strip().casefold() in ("", "none"):
        return ()
    steps = re.findall(r"(\d+)\s*(?:days?|d)?\s*[: ]\s*(\d+)\s*%?", text)
    if not steps or re.sub(r"(\d+)\s*(?:days?|d)?\s*[: ]\s*(\d+)\s*%?|[,; ]", "", text):
        raise InvalidError(
            f"The terms {text!r} are not understood.", hint="Write 14 50%, 7 100%.", field="cancel_steps"
        )
    return tuple((int(days), int(percent)) for days, percent in steps)


def _venue(studio: Studio, parsed: Namespace) -> int:
    if parsed.deed == "list":
        rows = studio.ask(Venues(parsed.all))
        if parsed.json:
            print(answer("venues", venues=rows))
            return 0
        table(
            ("", "Venue", "Seats", "Posted", "Step-free", "Loop", "Owed on cancelling"),
            [
                (
                    row.ref,
                    row.name + (" (retired)" if row.retired else ""),
                    str(row.seats),
                    str(row.posted_occupancy or ""),
                    "yes" if row.step_free else "no",
                    "yes" if row.hearing_loop else "no",
                    ", ".join(f"from T-{days} {percent}%" for days, percent in row.cancel_steps),
                )
                for row in rows
            ],
            right=(2, 3),
        )
        return 0
    entries = _given(parsed, *(name for name in _VENUE_TEXTS if name != "name"), *_VENUE_NUMBERS)
    entries |= {name: value == "yes" for name, value in _given(parsed, *_VENUE_MARKS).items()}
    if parsed.cancel_terms is not None:
        entries["cancel_steps"] = read_cancel_terms(parsed.cancel_terms)
    if parsed.deed == "add":
        return show_outcome(studio.do(AddVenue(name=_named(parsed), **entries)), parsed)
    venue_id = shelf_named(studio, "venue", _named(parsed))
    if parsed.deed == "retire":
        return show_outcome(studio.do(RetireVenue(venue_id=venue_id, back=parsed.back)), parsed)
    return show_outcome(studio.do(ChangeVenue(venue_id=venue_id, **entries, **_given(parsed, "name"))), parsed)


def _project(studio: Studio, parsed: Namespace) -> int:
    if parsed.deed == "list":
        rows = studio.ask(Projects(parsed.all))
        if parsed.json:
            print(answer("projects", projects=rows))
            return 0
        table(
            ("", "Project", "Version", "Teaching", "Age", "Pieces", "Classes"),
            [
                (
                    row.ref,
                    row.title + (" (retired)" if row.retired else ""),
                    str(row.version),
                    show_minutes(row.teaching_minutes),
                    f"{row.age_from}+" if row.age_from else "",
                    str(row.pieces),
                    str(row.classes),
                )
                for row in rows
            ],
            right=(2, 3, 4, 5, 6),
        )
        return 0
    entries = _given(parsed, *(name for name in _PROJECT_TEXTS if name != "title"), *_PROJECT_NUMBERS)
    if parsed.teaching_time is not None:
        entries["teaching_minutes"] = read_minutes(parsed.teaching_time).value
    if parsed.dries is not None:
        entries["drying_hours"] = read_drying(parsed.dries)
    if parsed.dries_in is not None:
        entries["drying_tool_id"] = 0 if parsed.dries_in == "none" else tool_named(studio, parsed.dries_in)
    if parsed.deed == "add":
        return show_outcome(studio.do(AddProject(title=_named(parsed), **entries)), parsed)
    project_id = shelf_named(studio, "project", _named(parsed))
    if parsed.deed == "retire":
        return show_outcome(studio.do(RetireProject(project_id=project_id, back=parsed.back)), parsed)
    return show_outcome(studio.do(ChangeProject(project_id=project_id, **entries, **_given(parsed, "title"))), parsed)


def _recipe(studio: Studio, parsed: Namespace) -> int:
    if parsed.deed == "list":
        rows = studio.ask(Recipes(parsed.all))
        if parsed.json:
            print(answer("recipes", recipes=rows))
            return 0
        table(("", "Recipe", "Lines"), [(row.ref, row.name, str(row.lines)) for row in rows], right=(2,))
        return 0
    recipe_id = shelf_named(studio, "recipe", _named(parsed))
    if parsed.deed == "copy":
        if not parsed.new_name:
            raise InvalidError("What is the new recipe called?", hint="Give --as NAME.", field="as")
        return show_outcome(studio.do(CopyRecipe(recipe_id=recipe_id, name=parsed.new_name)), parsed)
    if parsed.deed == "retire":
        return show_outcome(studio.do(RetireRecipe(recipe_id=recipe_id, back=parsed.back)), parsed)
    if parsed.deed == "show":
        return _show_recipe(studio, recipe_id, parsed)
    minutes = read_minutes(parsed.minutes).value if parsed.minutes else None
    if parsed.deed == "add-line":
        if not parsed.title or parsed.days is None or minutes is None:
            raise InvalidError("A line needs --title, --days and --minutes.", hint="Give all three.", field="title")
        return show_outcome(
            studio.do(AddRecipeLine(recipe_id=recipe_id, title=parsed.title, days=parsed.days, minutes=minutes)), parsed
        )
    lines = studio.ask(RecipeLines(recipe_id))
    if parsed.line is None or not 1 <= parsed.line <= len(lines):
        raise InvalidError(
            f"Which line, 1 to {len(lines)}?", hint="Give --line N; see: kitwright recipe show", field="line"
        )
    line_id = lines[parsed.line - 1].id
    if parsed.deed == "retire-line":
        return show_outcome(studio.do(RetireRecipeLine(line_id=line_id, back=parsed.back)), parsed)
    return show_outcome(
        studio.do(ChangeRecipeLine(line_id=line_id, title=parsed.title, days=parsed.days, minutes=minutes)), parsed
    )


def _show_recipe(studio: Studio, recipe_id: int, parsed: Namespace) -> int:
    lines = studio.ask(RecipeLines(recipe_id))
    recipe = next(row for row in studio.ask(Recipes(True)) if row.id == recipe_id)
    if parsed.json:
        entries = [
            {
                "number": number,
                "key": row.line.key,
                "title": row.line.title,
                "anchor": row.line.timing.aim.anchor.value,
                "days": row.line.timing.aim.days,
                "minutes": _effort(row.line, recipe).fixed,
                "after": [after.key for after in row.line.after],
                "advice": row.line.advice,
                "retired": row.retired,
            }
            for number, row in enumerate(lines, 1)
        ]
        print(answer("recipe", recipe=recipe, lines=entries))
        return 0
    say(f"{recipe.ref} {recipe.name}")
    table(
        ("Line", "What", "Days", "From", "Minutes", "and for each", ""),
        [
            (
                str(number),
                row.line.title,
                f"{row.line.timing.aim.days:+d}",
                row.line.timing.aim.anchor.value,
                str(_effort(row.line, recipe).fixed),
                ", ".join(f"{rate.minutes} a {rate.per.value}" for rate in _effort(row.line, recipe).rates),
                "retired" if row.retired else "advice" if row.line.advice else "",
            )
            for number, row in enumerate(lines, 1)
        ],
        right=(0, 2, 4),
    )
    return 0


def _effort(line: Line, recipe: RecipeRow) -> Effort:
    """The minutes that count in this recipe."""
    return line.first if recipe.first_time or line.again is None else line.again

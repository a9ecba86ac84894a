"""The verb `write`: lists for a spreadsheet, as CSV or as a workbook."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from pathlib import Path
from typing import Any

from scheduling.errors import InvalidError
from scheduling.queries.lists import (
    ACCESS_NEEDS,
    HEALTH_NOTE,
    BookingsList,
    MoneyList,
    PeopleList,
    RosterList,
    StockList,
    WrittenList,
)
from scheduling.saving import save_file
from scheduling.studio import Query, Studio
from tui.lines.answers import answer
from tui.lines.named import class_named
from tui.lines.out import say
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path

_HEALTH = {"needs": ACCESS_NEEDS.title, "health": HEALTH_NOTE.title}

_LISTS: dict[str, Callable[[Studio, Namespace], Query[WrittenList]]] = {
    "roster": lambda studio, parsed: RosterList(class_named(studio, parsed.class_date).id),
    "people": lambda _, parsed: PeopleList(with_retired=parsed.retired),
    "money": lambda _, parsed: MoneyList(parsed.first, parsed.until),
    "bookings": lambda _, parsed: BookingsList(),
    "stock": lambda _, parsed: StockList(),
}


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("which", choices=tuple(_LISTS), help="money: every movement; bookings: where each one stands")
    parser.add_argument("class_date", nargs="?", metavar="CLASS", help="roster: the class date, such as C05")
    parser.add_argument("--to", required=True, metavar="FILE", help="ends in .csv or .xlsx; only you may read it")
    parser.add_argument(
        "--with",
        dest="health",
        action="append",
        default=[],
        choices=tuple(_HEALTH),
        help="roster, people: access needs or health notes too, which no list holds otherwise",
    )
    parser.add_argument("--retired", action="store_true", help="people: retired ones too")
    parser.add_argument("--from", dest="first", type=dt.date.fromisoformat, metavar="DATE", help="money: the first day")
    parser.add_argument(
        "--until", type=dt.date.fromisoformat, metavar="DATE", help="money: the first day after the last"
    )


def run(parsed: Namespace) -> int:
    target = typed_path(parsed.to)
    _check(parsed, target)
    with open_studio(studio_path(parsed.file)) as studio:
        found = studio.ask(_LISTS[parsed.which](studio, parsed))
    octets = _octets(found, target, [_HEALTH[word] for word in dict.fromkeys(parsed.health)])
    changed = save_file(target, octets, private=True)
    rows = "1 row" if len(found.rows) == 1 else f"{len(found.rows)} rows"
    said = f"{'Written' if changed else 'Unchanged'}: {rows} in {target.absolute()}"
    if parsed.json:
        print(answer("written", said=said, file=str(target.absolute()), changed=changed))
    else:
        say(said)
    return 0


def _check(parsed: Namespace, target: Path) -> None:
    if (parsed.which == "roster") != bool(parsed.class_date):
        hint = "Write: kitwright write roster C05 --to FILE.csv"
        raise InvalidError("A roster, and no other list, is of one class.", hint=hint, field="class")
    if parsed.health and parsed.which not in ("roster", "people"):
        raise InvalidError(f"The list of {parsed.which} holds no health notes.", hint="Leave --with out.", field="with")
    if target.suffix.casefold() not in (".csv", ".xlsx"):
        raise InvalidError(
            f"It is not clear what {target.name} is to be.", hint="End its name in .csv or .xlsx.", field="to"
        )


def _octets(found: WrittenList, target: Path, health: list[str]) -> bytes:
    from scheduling.exchange.write import csv_bytes, xlsx_bytes

    if target.suffix.casefold() == ".csv":
        return csv_bytes(found.columns, found.rows, health=health)
    sheets: dict[str, Any] = {found.name: (found.columns, found.rows)}
    return xlsx_bytes(sheets, health=health)

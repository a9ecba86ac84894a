"""Reading the command line and running one verb of it."""

from __future__ import annotations

import argparse
import io
import itertools
import os
import sys
import traceback
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from importlib import import_module
from typing import NoReturn

from scheduling.errors import SchedulingError
from tui import cells
from tui.lines.out import show_refusal
from tui.lines.place import data_folder

REFUSED, USAGE, FAULT = 1, 2, 70
Verb = Callable[[Namespace], int]

#: The verbs in the order of the help, each with its module in tui/lines and what it is for.
VERBS: dict[str, tuple[str, str]] = {
    "week": ("week", "this week: what is due, how full the days are, what lapses"),
    "book": ("bookings", "book an attendee on a class date"),
    "cancel": ("bookings", "give up a booking, or some of its heads"),
    "seat": ("bookings", "give a waiting booking its seat"),
    "roster": ("bookings", "who is on a class date, and who waits"),
    "offer": ("offers", "offer free seats to those who wait; keep their answers"),
    "settle": ("offers", "settle offers and holds that lapsed"),
    "transfer": ("offers", "a booking to another date, or a seat to another person"),
    "pay": ("money", "keep a payment for a booking, or use a credit"),
    "refund": ("money", "keep that money went back, or give it as credit"),
    "charge": ("money", "charge a booking besides the fee: overtime, a late collection"),
    "cash": ("cash", "money that moved between two days, or is expected to move"),
    "owed": ("owed", "what is owed today, both ways"),
    "costs": ("costs", "what the studio, a venue, a kit or a class costs, and how a class is charged"),
    "heads": ("costs", "another number of heads on a booking"),
    "personal": ("costs", "all that is kept of one person, shown or as a file"),
    "money": ("owed", "a class date's costs, break-even and what is left"),
    "receipt": ("money", "a receipt or invoice for a booking"),
    "decide": ("decide", "classes to decide on: run, run reduced, wait or call off"),
    "day": ("day", "the day of a class: run sheet, signing in and out, tools, what follows"),
    "message": ("messages", "messages to attendees: draft, save, send, log, templates"),
    "promotion": ("promotions", "early birds and bundles: list, make, end"),
    "classes": ("classes", "the class dates to come"),
    "class": ("classes", "one class date: show, make, change, move, cancel, again, series, taught"),
    "attendees": ("people", "find attendees by a few letters"),
    "attendee": ("people", "one attendee: show, add, change, retire, erase"),
    "prep": ("prep", "prep tasks: list, tick, log minutes, drop, add, change"),
    "why": ("prep", "why a task lies where it lies, what binds it, and what would mend it"),
    "plan": ("plan", "the plan: how full the days are, how each class stands, what moved"),
    "whatif": ("whatif", "what a change would do to the plan, before it is kept"),
    "pin": ("plan", "place work of a task at a time of your own, or let the plan lay it"),
    "better": ("plan", "recipe minutes that your logged minutes propose"),
    "together": ("plan", "work of several classes worth doing in one go"),
    "venue": ("shelves", "venues: list, add, change, retire"),
    "project": ("shelves", "projects: list, add, change, retire"),
    "recipe": ("shelves", "prep recipes: list, show, change and add lines"),
    "needs": ("orders", "what the classes to come need, what is short, what to buy"),
    "order": ("orders", "orders: propose, place, list, promise, receive, cancel"),
    "stock": ("stock", "stock: list, count, waste, give, left-over, allot, journal"),
    "kit": ("kits", "a class date's kits: what is made, lacks, weighs, is posted"),
    "cut": ("cuts", "cut plans of class dates, drawn, with the sum behind them"),
    "material": ("materials", "materials: list, add, change, retire"),
    "supplier": ("materials", "suppliers: list, add, change, retire, shut, open"),
    "tool": ("materials", "tools: list, add, change, retire"),
    "reward": ("rewards", "suppliers' rewards: list, add, pool, retire"),
    "bench": ("rewards", "rules for kits: buffer, waste, kerf, trimmer, off-cuts"),
    "bill": ("materials", "a project's bill of materials: show, set, take"),
    "settings": ("settings", "the studio's settings, working hours and closed days"),
    "search": ("search", "find anything by a few letters"),
    "export": ("calendars", "write a calendar: for anyone, the private one, a class, an attendee's"),
    "publish": ("publishing", "put a calendar into a CalDAV collection of yours, or into a folder"),
    "write": ("lists", "write a list as CSV or XLSX: a roster, people, money, bookings, stock"),
    "import": ("files", "read sign-ups or busy times from a file"),
    "read": ("files", "what an outside file means, keeping nothing"),
    "undo": ("history", "take back the latest action, or the one named"),
    "redo": ("history", "make the action again that was taken back last"),
    "history": ("history", "what was done, newest first"),
    "setup": ("studio", "make a studio file"),
    "demo": ("studio", "make the demo studio and open it"),
    "backup": ("studio", "write a whole copy of the studio file"),
    "restore": ("studio", "put a copy back in the place of the studio file"),
    "copy-out": ("copies", "write the whole studio as JSON, for other programs"),
    "copy-in": ("copies", "make a studio file out of such JSON"),
}

ABOUT = "A studio book for one craft instructor: classes, sign-ups, prep and calendars."
NO_TERMINAL = (
    "There is no terminal for the screens here. Use a verb, such as: kitwright week, kitwright book, kitwright export."
    " All of them: kitwright --help"
)


class _WrongUsage(SystemExit):
    """What is wrong with the words of the command line, and where its help is; leaves with exit status 2."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(USAGE)
        self.message, self.hint = message, hint


class _Parser(ArgumentParser):
    """Usage errors in one line, with exit status 2."""

    def error(self, message: str) -> NoReturn:
        raise _WrongUsage(f"{self.prog}: {message}.", f"See: {self.prog} --help")


def parser_for(verb: str) -> ArgumentParser:
    """The parser of one verb, with its own arguments and those that all share."""
    module, about = VERBS[verb]
    parser = _Parser(prog=f"kitwright {verb}", description=about[0].upper() + about[1:] + ".", allow_abbrev=False)
    import_module(f"tui.lines.{module}").arguments(verb, parser)
    parser.add_argument("--file", help="the studio file, instead of KITWRIGHT_FILE or the one in the data folder")
    parser.add_argument("--json", action="store_true", help="answer as JSON")
    return parser


def run(arguments: list[str]) -> int:
    """Run the command line; gives the exit status: 0 done, 1 refused, 2 usage, 70 fault."""
    as_json = "--json" in itertools.takewhile(lambda word: word != "--", arguments)
    say_anything(as_json=as_json)
    try:
        try:
            status = _run(arguments)
        except _WrongUsage as wrong:
            status = _wrong_usage(wrong, as_json=as_json)
        except SchedulingError as error:
            status = show_refusal(error, as_json=as_json)
        sys.stdout.flush()
        return status
    except KeyboardInterrupt:
        return REFUSED
    except OSError as error:
        if error.filename is not None:
            return _fault(as_json=as_json)
        return _unanswered(error)
    except Exception:  # noqa: BLE001  the program's door: a fault is logged, never shown raw
        return _fault(as_json=as_json)


def _wrong_usage(wrong: _WrongUsage, *, as_json: bool) -> int:
    """Say what is wrong with the words: on standard error, or as JSON on standard output."""
    if as_json:
        from tui.lines.answers import answer

        print(answer("refused", error=f"{wrong.message} {wrong.hint}", hint=wrong.hint, field=""))
    else:
        print(cells.clean(f"{wrong.message} {wrong.hint}"), file=sys.stderr)
    return USAGE


def _unanswered(error: OSError) -> int:
    """The answer could not be written out: whoever read it has gone, or the disk it goes to is full."""
    # What is still to be written at the end goes nowhere instead of into a fault.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    if not isinstance(error, BrokenPipeError):
        why = error.strerror or error
        print(
            f"The answer could not be written: {why}. What was asked for may be done: see kitwright history.",
            file=sys.stderr,
        )
    return REFUSED


def say_anything(*, as_json: bool) -> None:
    """Let no name be a fault for want of a letter in the terminal's encoding; JSON is always UTF-8 (RFC 8259 8.1).

    An output that was closed before the start takes nothing and is no fault either.
    """
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123  open to the end
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            if as_json and stream is sys.stdout:
                stream.reconfigure(encoding="utf-8", errors="replace")
            else:
                stream.reconfigure(errors="replace")


def verb_first(arguments: list[str]) -> list[str]:
    """The same words with the verb before the options that every verb shares, wherever she wrote them."""
    at = 0
    while at < len(arguments) and arguments[at] not in VERBS:
        if arguments[at] == "--file":
            at += 2
        elif arguments[at] == "--json" or arguments[at].startswith("--file="):
            at += 1
        else:
            return arguments
    return [*arguments[at : at + 1], *arguments[:at], *arguments[at + 1 :]]


def _run(arguments: list[str]) -> int:
    arguments = verb_first(arguments)
    if arguments and arguments[0] in VERBS:
        verb = arguments[0]
        parsed = parser_for(verb).parse_args(arguments[1:])
        parsed.verb = verb
        module = import_module(f"tui.lines.{VERBS[verb][0]}")
        return int(module.run(parsed))
    parser = _Parser(
        prog="kitwright",
        description=ABOUT,
        epilog="Verbs:\n" + "\n".join(f"  {verb:10} {about}" for verb, (_, about) in VERBS.items()),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("verb", nargs="?", help="what to do; without one the screens open")
    parser.add_argument("--file", help="the studio file, instead of KITWRIGHT_FILE or the one in the data folder")
    parser.add_argument("--look", choices=("light", "dark", "plain"), help="how the screens look this time")
    parser.add_argument("--version", action="store_true", help="the program's version")
    parser.add_argument("--json", action="store_true", help=argparse.SUPPRESS)
    parsed = parser.parse_args(arguments)
    if parsed.version:
        from importlib.metadata import version

        print(f"kitwright {version('kitwright')}")
        return 0
    if parsed.verb is not None:
        near = [verb for verb in VERBS if verb.startswith(parsed.verb[:3])]
        meant = f" Did you mean {', '.join(near)}?" if near else ""
        raise _WrongUsage(f"kitwright: there is no verb {parsed.verb}.{meant}", "See: kitwright --help")
    if parsed.json:
        raise _WrongUsage("kitwright: the screens answer nothing as JSON.", "Give a verb, such as: kitwright week")
    from tui.lines.screens import open_screens

    return open_screens(parsed.file, look=parsed.look or "")


def _fault(*, as_json: bool) -> int:
    """Keep the traceback in a file of the data folder and say where; the studio file is whole."""
    text = traceback.format_exc()
    kept = ""
    try:
        folder = data_folder()
        folder.mkdir(parents=True, exist_ok=True)
        log = folder / "fault.log"
        log.unlink(missing_ok=True)
        number = os.open(log, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        with os.fdopen(number, "w", encoding="utf-8", errors="replace") as file:
            file.write(text)
        kept = str(log)
        where = f"What happened is in {log}."
    except OSError as error:
        where = f"{text.strip().splitlines()[-1]}; what happened could not be kept: {error}."
    said = f"A fault in Kitwright stopped this; the studio file is as it was. {where}"
    if as_json:
        from tui.lines.answers import answer

        print(answer("fault", error=said, log=kept))
    else:
        print(cells.clean(said), file=sys.stderr)
    return FAULT

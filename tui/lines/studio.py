"""The verbs `setup`, `demo`, `backup` and `restore`."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser, Namespace
from pathlib import Path

from scheduling.calendars_out import write_calendar
from scheduling.clock import WallTime
from scheduling.commands.bookings import Book
from scheduling.commands.settings import MoveClock, SetUpStudio
from scheduling.errors import InvalidError, StoreError
from scheduling.queries.calendars import ClassCalendar
from scheduling.queries.roster import Roster
from scheduling.queries.settings import Settings
from scheduling.queries.week import Week
from scheduling.restoring import restore
from scheduling.studio import COMMAND_LINE, Studio
from tui.lines.answers import answer
from tui.lines.out import say
from tui.lines.place import demo_path, open_studio, shared_folder_notice, studio_path
from tui.lines.screens import open_screens, terminal_trouble
from tui.typed_paths import typed_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "setup":
        parser.add_argument("--name", required=True, help="the studio's name")
        parser.add_argument("--zone", help="its time zone, such as Europe/Berlin; else this machine's")
        parser.add_argument("--currency", default="USD", help="three letters, such as EUR")
        parser.add_argument("--places", type=int, default=2, choices=(0, 2, 3), help="decimal places of the currency")
        parser.add_argument("--units", default="in", choices=("in", "mm"))
        parser.add_argument("--town", default="")
        parser.add_argument("--month-first", action="store_true", help="3/4 is the fourth of March")
    if verb == "demo":
        parser.add_argument("--on", type=dt.date.fromisoformat, metavar="YYYY-MM-DD", help="the day the demo stands at")
        parser.add_argument("--keep", action="store_true", help="go on with the demo as it was left")
        parser.add_argument("--look", choices=("light", "dark", "plain"), default="")
        parser.add_argument("--make-only", action="store_true", help="make the file and say where, open nothing")
        parser.add_argument("--out", metavar="FOLDER", help="without a terminal: where the class calendar goes")
    if verb == "backup":
        parser.add_argument("target", nargs="?", help="the file to write; else a dated one in the folder copies")
    if verb == "restore":
        parser.add_argument("copy", help="the copy to put in the place of the studio file")


def run(parsed: Namespace) -> int:
    return {"setup": _setup, "demo": _demo, "backup": _backup, "restore": _restore}[parsed.verb](parsed)


def _setup(parsed: Namespace) -> int:
    path = studio_path(parsed.file)
    first = SetUpStudio(
        name=parsed.name,
        town=parsed.town,
        time_zone=parsed.zone or machine_zone(),
        currency=parsed.currency.upper(),
        currency_places=parsed.places,
        units=parsed.units,
        day_first=not parsed.month_first,
    )
    with Studio.made(str(path), first, origin=COMMAND_LINE):
        pass
    said = f"{parsed.name} is set up in {path}."
    if parsed.json:
        print(answer("written", said=said, file=str(path), changed=True))
        return 0
    say(said)
    notice = shared_folder_notice(path)
    if notice:
        say(f"Note: {notice}")
    return 0


def machine_zone() -> str:
    """The IANA name of this machine's zone; raises InvalidError where it cannot be told."""
    import os

    name = os.environ.get("TZ", "").lstrip(":")
    if not name:
        link = Path("/etc/localtime")
        name = str(link.resolve()).partition("zoneinfo/")[2] if link.is_symlink() else ""
    if not name:
        plain = Path("/etc/timezone")
        name = plain.read_text("utf-8").strip() if plain.is_file() else ""
    if not name:
        raise InvalidError("This machine's time zone cannot be told.", hint="Give --zone Europe/Berlin.", field="zone")
    return name


def ask_and_make(path: Path) -> Path | None:
    """Let her set up a first studio on the screen; None when she leaves without one."""
    from tui.screens.set_up import SetUpApp

    return path if SetUpApp(path).run() else None


def _demo(parsed: Namespace) -> int:
    from demo.load import make_demo, refuse_another

    path = demo_path(parsed.file)
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    if not (parsed.keep and path.exists()):
        make_demo(path, on=parsed.on)
    else:
        refuse_another(path)
        if parsed.on is not None:
            _move_on(path, parsed.on)
    if parsed.make_only or parsed.json:
        return _written(f"The demo studio is in {path}.", path, parsed)
    if terminal_trouble():
        return _main_job(path, Path(parsed.out) if parsed.out else path.parent)
    return open_screens(None, look=parsed.look, path=path)


def _move_on(path: Path, day: dt.date) -> None:
    with Studio(str(path), origin=COMMAND_LINE) as studio:
        moment = WallTime(dt.datetime.combine(day, dt.time(8)), studio.ask(Settings()).time_zone).utc
        studio.do(MoveClock(moment=moment))


def _main_job(path: Path, folder: Path) -> int:
    """The three main jobs as text, where there is no terminal for the screens."""
    from tui.lines.bookings import show_roster
    from tui.lines.named import class_named, person_named
    from tui.lines.week import show

    print("There is no terminal here, so this is the main job as text.\n")
    with Studio(str(path), origin=COMMAND_LINE) as studio:
        print("1. Book an attendee: kitwright book C09 'Oriel Tranthorpe'")
        class_row = class_named(studio, "C09")
        roster = studio.ask(Roster(class_row.id))
        payer = person_named(studio, "Oriel Tranthorpe")
        if all(row.person_id != payer for row in roster.seated):
            say(studio.do(Book(class_date_id=class_row.id, payer_id=payer)).said)
        show_roster(studio.ask(Roster(class_row.id)))
        print("\n2. What prep is due this week: kitwright week\n")
        show(studio.ask(Week()))
        print("\n3. The class calendar: kitwright export")
        target = folder / "classes.ics"
        changed = write_calendar(studio, target, ClassCalendar())
        say(f"{'Written' if changed else 'Unchanged'}: {target}")
        print()
        say(f"The demo studio is in {path}. In a terminal, the same command opens the screens.")
    return 0


def _backup(parsed: Namespace) -> int:
    path = studio_path(parsed.file)
    with open_studio(path) as studio:
        target = studio.copy_to(typed_path(parsed.target) if parsed.target else None)
    return _written(f"A whole copy is in {target}.", target, parsed)


def _restore(parsed: Namespace) -> int:
    copy, path = typed_path(parsed.copy), studio_path(parsed.file)
    if not copy.is_file():
        raise StoreError(f"There is no copy {copy}.", hint="Look in the folder copies beside the studio file.")
    kept = restore(copy, path)
    return _written(
        f"{path} is as in {copy} again." + (f" What it held before is in {kept}." if kept else ""), path, parsed
    )


def _written(said: str, path: Path, parsed: Namespace) -> int:
    if parsed.json:
        print(answer("written", said=said, file=str(path), changed=True))
    else:
        say(said)
    return 0

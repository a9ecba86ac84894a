"""The verb `publish`: to a CalDAV collection of her own, or into a folder that is shared by link."""

from __future__ import annotations

import getpass
import os
import sys
from argparse import ArgumentParser, Namespace

from scheduling.calendars_out import write_calendar
from scheduling.commands.publishing import KeepCollection
from scheduling.errors import InvalidError
from scheduling.publishing import Place, publish
from scheduling.queries.calendars import (
    ClassCalendar,
    PrivateCalendar,
    PrivateEntries,
    PrivateObjects,
    PublicObjects,
)
from scheduling.queries.publishing import Collection
from scheduling.reaching import checked_url
from scheduling.studio import Studio
from tui.lines.answers import answer
from tui.lines.out import say
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path

PASSWORD = "KITWRIGHT_CALDAV_PASSWORD"  # noqa: S105  the name of the variable, not a password


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("where", choices=("collection", "folder"), help="a CalDAV collection, or a folder")
    parser.add_argument("to", nargs="?", metavar="URL|FOLDER", help="its address; the collection used last is known")
    parser.add_argument("--user", help="collection: the user there, remembered; the password never is")
    parser.add_argument(
        "--which", choices=("classes", "private"), default="classes", help="classes: for anyone; private: hers"
    )
    parser.add_argument("--blocks", action="store_true", help="private: planned prep as busy time too")
    parser.add_argument("--link", default="", help="folder: the address at which others subscribe to classes.ics")


def run(parsed: Namespace) -> int:
    if parsed.blocks and parsed.which != "private":
        raise InvalidError("Prep stands in the private calendar only.", hint="Say: --which private", field="which")
    with open_studio(studio_path(parsed.file)) as studio:
        return _to_folder(studio, parsed) if parsed.where == "folder" else _to_collection(studio, parsed)


def _to_folder(studio: Studio, parsed: Namespace) -> int:
    if not parsed.to:
        raise InvalidError("A folder is wanted.", hint="Write: kitwright publish folder FOLDER", field="to")
    folder = typed_path(parsed.to).absolute()
    target = folder / f"{parsed.which}.ics"
    private = PrivateCalendar(blocks=parsed.blocks)
    changed = write_calendar(studio, target, private if parsed.which == "private" else ClassCalendar(link=parsed.link))
    said = f"{'Written' if changed else 'Unchanged'}: {target}"
    if parsed.json:
        print(answer("written", said=said, file=str(target), changed=changed))
    else:
        say(said)
    return 0


def _to_collection(studio: Studio, parsed: Namespace) -> int:
    kept = studio.ask(Collection(parsed.which))
    if not (parsed.to or kept.url):
        raise InvalidError(
            "The address of the collection is not known yet.",
            hint="Write: kitwright publish collection https://... --user NAME",
            field="to",
        )
    url = checked_url(parsed.to or kept.url)
    user = parsed.user if parsed.user is not None else kept.user
    private = PrivateObjects(PrivateEntries(blocks=parsed.blocks))
    found = studio.ask(private) if parsed.which == "private" else studio.ask(PublicObjects())
    done = publish(found, Place(url, user, _password(user)))
    if (url, user) != (kept.url, kept.user):
        studio.do(KeepCollection(url=url, user=user, which=parsed.which))
    said = f"Published: {done.put} put, {done.same} the same, {done.removed} taken away."
    if parsed.json:
        print(answer("published", said=said, put=done.put, same=done.same, removed=done.removed, notices=done.notices))
    else:
        for notice in done.notices:
            say(f"Note: {notice}")
        say(said)
    return 0


def _password(user: str) -> str:
    """From the environment, else asked once; empty where nobody signs in."""
    if not user:
        return ""
    given = os.environ.get(PASSWORD, "")
    if given:
        return given
    if not sys.stdin.isatty():
        raise InvalidError("The password is not there.", hint=f"Set {PASSWORD} for this call.", field="password")
    return getpass.getpass(f"Password of {user} (not kept): ")

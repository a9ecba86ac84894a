"""Publishing as the screen does it: which calendar goes where, what would change there, and sending it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from scheduling.studio import Studio
from tui.widgets.ask import Answer

if TYPE_CHECKING:
    from scheduling.publishing import Ahead, EachStep, Place
    from scheduling.queries.calendars import ToPublish

How = Literal["folder", "classes", "private", "blocks"]
FILE: Final = "classes.ics"
HOWS: Final = (
    Answer("folder", "The class calendar, into a folder that others read by link"),
    Answer("classes", "The class calendar, to a collection at your provider (CalDAV)"),
    Answer("private", "Your own calendar, to a collection that you alone read (CalDAV)"),
    Answer("blocks", "The same, with planned prep as busy time"),
)
NAMES: Final[dict[str, str]] = {
    "folder": "The class calendar",
    "classes": "The class calendar",
    "private": "Your own calendar",
    "blocks": "Your own calendar, with planned prep",
}


@dataclass(frozen=True, slots=True)
class WantedPlace:
    """Which calendar goes where. url holds the address of a collection, or the path of a folder.

    link: where others subscribe to the file in a folder. password, trust: as scheduling.publishing.Place has them.
    """

    how: How
    url: str
    user: str = ""
    link: str = ""
    password: str = field(default="", repr=False)
    trust: str = ""

    @property
    def which(self) -> Literal["classes", "private"]:
        return "classes" if self.how in ("folder", "classes") else "private"


@dataclass(frozen=True, slots=True)
class Sent:
    """What came of it, as a sentence; notices: what was left alone, and why."""

    said: str
    notices: tuple[str, ...] = ()


def look(studio: Studio, wanted: WantedPlace) -> Ahead:
    """What publishing would change for those who read the calendar; sends nothing. Raises a SchedulingError."""
    from scheduling.calendar.save import written_before  # slow to import and rarely wanted
    from scheduling.calendars_out import link_in
    from scheduling.publishing import file_ahead, look_ahead
    from scheduling.queries.calendars import ClassCalendar

    if wanted.how != "folder":
        return look_ahead(_entries(studio, wanted), _place(wanted))
    before = written_before(Path(wanted.url) / FILE)
    calendar = ClassCalendar(link=wanted.link or link_in(before), before=before)
    return file_ahead(studio.ask(calendar), before)


def send(studio: Studio, wanted: WantedPlace, each: EachStep) -> Sent:
    """Publish; what is said is whole, also where `each` stopped it. Raises a SchedulingError."""
    from scheduling.calendars_out import write_calendar
    from scheduling.commands.publishing import KeepCollection
    from scheduling.publishing import publish
    from scheduling.queries.calendars import ClassCalendar
    from scheduling.queries.publishing import Collection

    if wanted.how == "folder":
        target = Path(wanted.url) / FILE
        changed = write_calendar(studio, target, ClassCalendar(link=wanted.link))
        return Sent(f"{NAMES['folder']} is in {target}." + ("" if changed else " Nothing in it has changed."))
    done = publish(_entries(studio, wanted), _place(wanted), each=each)
    kept = studio.ask(Collection(wanted.which))
    if (kept.url, kept.user) != (wanted.url, wanted.user):
        studio.do(KeepCollection(url=wanted.url, user=wanted.user, which=wanted.which))
    said = f"{NAMES[wanted.how]}: {done.put} sent, {done.removed} taken away, {done.same} as they were."
    if done.left:
        said += f" Stopped with {done.left} still to send; publish again for the rest."
    return Sent(said, tuple(done.notices))


def _entries(studio: Studio, wanted: WantedPlace) -> ToPublish:
    from scheduling.queries.calendars import PrivateEntries, PrivateObjects, PublicObjects

    if wanted.which == "classes":
        return studio.ask(PublicObjects())
    return studio.ask(PrivateObjects(PrivateEntries(blocks=wanted.how == "blocks")))


def _place(wanted: WantedPlace) -> Place:
    from scheduling.publishing import Place as Collection

    return Collection(wanted.url, wanted.user, wanted.password, wanted.trust)

"""Looking at an outside file, in a thread of its own: what it means for the studio, nothing kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from scheduling.clock import day_in
from scheduling.commands.importing import FileKept, KeepBusyTimes, KeepSignUps
from scheduling.model.taking_in import file_digest
from scheduling.outside import busy_entries, content_of, is_calendar, read_busy, read_window
from scheduling.queries.import_effect import ClassEffect, ImportEffect
from scheduling.queries.importing import BusyPreview, KeptMapping, KeptZones, PreviewBusy, PreviewSignUps, SignUpPreview
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from tui.reading_settings import Setting, settings_of

if TYPE_CHECKING:
    from scheduling.exchange.mapping import Mapping

Progress = Callable[[int, int], bool]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A file to look at, with what was answered about it.

    answers: (kind, about, value) of questions about sign-ups. zones: (name in the file, IANA zone) of a calendar.
    class_date_id: the class of sign-ups that name none. heads: (row, heads) of rows that leave that open.
    """

    path: Path
    answers: tuple[tuple[str, str, str], ...] = ()
    zones: tuple[tuple[str, str], ...] = ()
    class_date_id: int | None = None
    heads: tuple[tuple[int, int], ...] = ()

    @property
    def source(self) -> str:
        """The name by which the file's answers and rows are remembered."""
        return self.path.name


@dataclass(frozen=True, slots=True)
class SignUpsSeen:
    """A file of people and sign-ups; effects: what it would do to each class. settings: how it was read."""

    wanted: Wanted
    digest: str
    preview: SignUpPreview
    effects: tuple[ClassEffect, ...]
    settings: tuple[Setting, ...] = ()

    @property
    def may_keep(self) -> bool:
        return self.preview.may_keep

    @property
    def without_class(self) -> int:
        """Sign-ups left out because the file names no class for them that fits."""
        return sum(entry.what == "left out" and entry.class_date_id is None for entry in self.preview.sign_ups)

    def keep(self, studio: Studio, progress: Progress | None = None) -> FileKept:
        """Keep it as it was seen; `progress` may stop it while it is prepared. Raises SchedulingError."""
        preview = self.preview
        return studio.do(
            KeepSignUps(
                source=preview.source,
                digest=self.digest,
                people=preview.people,
                sign_ups=preview.sign_ups,
                mapping=preview.mapping.as_dict(),
            ),
            progress,
        )


@dataclass(frozen=True, slots=True)
class BusySeen:
    """A calendar of busy times from the day `first` on.

    zones: what zone names of the file were said to mean. zones_to_ask: those that nobody knows.
    is_whole: False where the file breaks off or is damaged.
    """

    wanted: Wanted
    digest: str
    preview: BusyPreview
    first: dt.date
    notices: tuple[str, ...] = ()
    zones_to_ask: tuple[str, ...] = field(default=())
    is_whole: bool = True
    zones: tuple[tuple[str, str], ...] = ()

    @property
    def takes_away_by_damage(self) -> bool:
        """The file is not whole, and what is kept would go because of it."""
        return not self.is_whole and self.preview.gone > 0

    @property
    def empties(self) -> bool:
        """The file has no busy time, though its source had."""
        return not self.preview.entries and self.preview.gone > 0

    @property
    def days(self) -> int:
        """Calendar days on which something new or changed lies."""
        return len({entry.starts[:10] for entry in (*self.preview.new, *self.preview.changed)})

    @property
    def may_keep(self) -> bool:
        changes = self.preview.new or self.preview.changed or self.preview.gone
        return bool(changes) and not self.zones_to_ask and not self.takes_away_by_damage

    def keep(self, studio: Studio, _progress: Progress | None = None) -> FileKept:
        """Keep it as it was seen, also when that leaves none of its source; raises SchedulingError."""
        return studio.do(
            KeepBusyTimes(
                source=self.preview.source,
                digest=self.digest,
                entries=self.preview.entries,
                first=self.first,
                empty_is_meant=self.empties,
                zones=dict(self.zones)
                if self.preview.source == self.wanted.source
                else studio.ask(KeptZones(self.preview.source)),
            )
        )


Seen = SignUpsSeen | BusySeen


def look_at(studio: Studio, wanted: Wanted, progress: Progress) -> Seen:
    """Read the file and compare it with the studio.

    studio: the thread's own. progress: called with (done, whole) rows; False stops.
    Raises SchedulingError: the file cannot be read, is of another kind, or `progress` stopped it (field "stopped").
    """
    content = content_of(wanted.path)
    zone = studio.ask(Settings()).time_zone
    today = day_in(studio.now, zone)
    if is_calendar(content, wanted.path.name):
        return _look_at_calendar(studio, wanted, content, zone, today)
    from scheduling.exchange.read import read_people

    mapping: Mapping = studio.ask(KeptMapping(wanted.source))
    for kind, about, value in wanted.answers:
        mapping = mapping.answered(kind, about, value)
    read = read_people(
        content, wanted.path.name, today=today, mapping=mapping, zone=zone, progress=progress, asks_names=True
    )
    preview = studio.ask(PreviewSignUps(read, wanted.source, wanted.class_date_id, wanted.heads))
    effects = studio.ask(ImportEffect(preview.sign_ups))
    return SignUpsSeen(wanted, file_digest(content), preview, effects, settings_of(read))


def _look_at_calendar(studio: Studio, wanted: Wanted, content: bytes, zone: str, today: dt.date) -> BusySeen:
    window = read_window(today)
    zones = studio.ask(KeptZones(wanted.source)) | dict(wanted.zones)
    read = read_busy(content, wanted.source, home_zone=zone, window=window, zones=zones)
    return BusySeen(
        wanted=wanted,
        digest=file_digest(content),
        preview=studio.ask(PreviewBusy(busy_entries(read, zone), wanted.source, window[0])),
        first=window[0],
        notices=tuple(notice.text for notice in read.notices),
        zones_to_ask=tuple(read.zones_to_ask),
        is_whole=read.is_whole,
        zones=tuple(zones.items()),
    )

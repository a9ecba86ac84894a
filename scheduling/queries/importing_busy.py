"""What a calendar file would change in the busy times of its source, before anything of it is kept."""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from scheduling.calendar.again import Again, read_again
from scheduling.model.taking_in import BusyEntry
from scheduling.outside import BusyFile, entry_of, occurrence_of
from scheduling.queries.classes import Classes
from scheduling.store.rows import Reader
from scheduling.store.spans import entry_span, kept_entry
from scheduling.words import show_day


@dataclass(frozen=True, slots=True)
class KeptZones:
    """What the zone names of a calendar source were said to mean before: name in the file to IANA name."""

    source: str

    def fetch(self, reader: Reader) -> dict[str, str]:
        text = reader.value("SELECT mapping FROM outside_source WHERE kind = 'busy times' AND name = ?", (self.source,))
        kept = json.loads(text).get("zones", {}) if text else {}
        return {str(name): str(zone) for name, zone in kept.items()}


@dataclass(frozen=True, slots=True)
class BusyPreview:
    """What a calendar file would change in the busy times of its source.

    entries: for KeepBusyTimes as they stand; they hold too what stays though the file does not name it.
    new: busy times not known yet. changed: known ones in their new form; one that takes no time any more, because it
    was cancelled or is free, still has the title that it had. gone_entries: what the file does not hold any more.
    ignored: what the file says in an older revision than the one kept. same: busy times that stay as they are.
    source: where it is kept; a message on single entries goes to the source that they came from.
    """

    source: str
    entries: tuple[BusyEntry, ...]
    new: tuple[BusyEntry, ...]
    changed: tuple[BusyEntry, ...]
    gone_entries: tuple[BusyEntry, ...]
    ignored: tuple[BusyEntry, ...]
    same: int
    clashes: tuple[str, ...]

    @property
    def gone(self) -> int:
        return len(self.gone_entries)

    @property
    def freed(self) -> tuple[BusyEntry, ...]:
        """The changed ones that take no time any more."""
        return tuple(entry for entry in self.changed if not entry.takes_time)


@dataclass(frozen=True, slots=True)
class PreviewBusy:
    """Compare a calendar file with what is kept of its source, from the day `first` on.

    A file that breaks off, or that speaks of single entries only, takes nothing away. One that is whole and holds no
    entry would take all of it: KeepBusyTimes refuses that unless it is told that it is meant.
    """

    file: BusyFile
    source: str
    first: dt.date

    def fetch(self, reader: Reader) -> BusyPreview:
        source = self._source(reader)
        kept = [
            kept_entry(row)
            for row in reader.rows(
                """SELECT outside_time.* FROM outside_time JOIN outside_source ON outside_source.id = source_id
                   WHERE outside_source.name = ? AND outside_source.kind = 'busy times' AND outside_time.ends > ?
                   ORDER BY outside_time.id""",
                (source, f"{self.first.isoformat()}T00:00"),
            )
        ]
        read = self.file.read
        again = read_again([occurrence_of(entry) for entry in kept], read)
        if not read.entries and read.is_whole and not read.is_message:
            again = Again((), (), again.kept, (), ())
        return self._preview(reader, source, kept, again)

    def _preview(self, reader: Reader, source: str, kept: list[BusyEntry], again: Again) -> BusyPreview:
        of_uid = Counter(entry.uid for entry in kept)
        before = {(entry.uid, ""): entry for entry in kept if of_uid[entry.uid] == 1}
        before |= {entry.identity: entry for entry in kept}

        def was(one: BusyEntry) -> BusyEntry | None:
            return before.get(one.identity) or before.get((one.uid, ""))

        new, changed, gone, ignored, whole = (
            [entry_of(one, self.file.zone) for one in found]
            for found in (again.new, again.changed, again.gone, again.ignored, again.kept)
        )
        entries = [one for one in whole if one.takes_time or one.status == "CANCELLED" or was(one)]
        told = [one for one in changed if one.takes_time]
        told += [
            replace(one, title=old.title)
            for one in changed
            if not one.takes_time and (old := was(one)) is not None and old.takes_time
        ]
        touched = {one.identity for one in (*new, *changed)}
        new = [one for one in new if one.takes_time]
        return BusyPreview(
            source=source,
            entries=tuple(entries),
            new=tuple(new),
            changed=tuple(told),
            gone_entries=tuple(one for one in gone if one.takes_time),
            ignored=tuple(ignored),
            same=sum(one.takes_time and one.identity not in touched for one in entries),
            clashes=tuple(_clashes(reader, [one for one in (*new, *told) if one.takes_time])),
        )

    def _source(self, reader: Reader) -> str:
        """The source of a file; of a message, the one that holds its entries, where one alone does."""
        if not self.file.read.is_message:
            return self.source
        read = self.file.read
        uids = sorted({one.uid for one in read.occurrences} | {one.uid for one in read.spoken_of})
        marks = ",".join("?" * len(uids))
        names = reader.rows(
            f"""SELECT DISTINCT outside_source.name FROM outside_time JOIN outside_source
                ON outside_source.id = source_id WHERE outside_source.kind = 'busy times' AND uid IN ({marks})""",  # noqa: S608  only marks are put in
            uids,
        )
        found = [row["name"] for row in names]
        return found[0] if len(found) == 1 else self.source


def _clashes(reader: Reader, entries: Iterable[BusyEntry]) -> list[str]:
    """Sentences on classes to come that lie in these busy times."""
    spans = [(*entry_span(entry), entry.title or "a busy time") for entry in entries]
    said = [
        f"{row.ref} {row.title} on {show_day(session.starts.local.date())} lies in {title}."
        for row in Classes("coming", with_cancelled=False).fetch(reader)
        for session in row.sessions
        for starts, ends, title in spans
        if starts < session.ends.utc and session.starts.utc < ends
    ]
    return list(dict.fromkeys(said))

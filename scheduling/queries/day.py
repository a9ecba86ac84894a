"""The day of a class on one sheet: times with the drying clock, who is here, who collects whom, tools, what follows."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.clock import WallTime, wall_time
from scheduling.errors import NotFoundError
from scheduling.model.day import (
    AFTER,
    BEFORE,
    Segment,
    Step,
    default_steps,
    late_minutes,
    run_sheet,
    sheet_warnings,
)
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.day_things import kits_bagged, kits_given, tools_wanted
from scheduling.store.rows import Reader, from_utc_text


@dataclass(frozen=True, slots=True)
class OnTheDay:
    """One head; times in the class's zone. child: it has a guardian, who and `collectors` may collect it.

    late: minutes past the end at which it was collected, or that it waits now; 0 within the first ten.
    """

    seat_id: int
    booking_id: int
    payer_id: int
    person_id: int | None
    name: str
    mark: str
    signed_in: WallTime | None
    signed_out: WallTime | None
    signed_out_to: str
    child: bool
    guardian: str
    guardian_phone: str
    collectors: str
    late: int
    no_photos: bool
    photos_unasked: bool
    has_health_note: bool
    needs: str
    kit: str
    kit_collect_by: dt.date | None
    to_ask: str


@dataclass(frozen=True, slots=True)
class ToolCount:
    """A tool counted out and in, or to be counted: None where it is not yet.

    wanted: how many the project asks for with these heads, 0 for one that it does not name. owned: None for such a one.
    """

    tool: str
    counted_out: int | None
    counted_in: int | None
    wanted: int = 0
    owned: int | None = None

    @property
    def missing(self) -> int:
        if self.counted_in is None or self.counted_out is None:
            return 0
        return max(0, self.counted_out - self.counted_in)


@dataclass(frozen=True, slots=True)
class FollowUp:
    """What is left to do after the class: a sentence and its day, None where it is to be done now.

    deed: "taught" or "kits" where one action does it, else empty.
    """

    what: str
    day: dt.date | None
    deed: str = ""


@dataclass(frozen=True, slots=True)
class DaySheet:
    """before, after: what is done around the class; segments: while it is on; here, missing: heads, by name."""

    class_row: ClassRow
    before: tuple[Segment, ...]
    segments: tuple[Segment, ...]
    after: tuple[Segment, ...]
    own_sheet: bool
    heads: tuple[OnTheDay, ...]
    tools: tuple[ToolCount, ...]
    follow_up: tuple[FollowUp, ...]
    warnings: tuple[str, ...]

    @property
    def here(self) -> tuple[OnTheDay, ...]:
        return tuple(one for one in self.heads if one.signed_in and not one.signed_out)

    @property
    def missing(self) -> tuple[OnTheDay, ...]:
        return tuple(one for one in self.heads if not one.signed_in and not one.mark)

    @property
    def to_collect(self) -> tuple[OnTheDay, ...]:
        """The children, with who may collect them."""
        return tuple(one for one in self.heads if one.child)


@dataclass(frozen=True, slots=True)
class Day:
    """The sheet of a class; meeting: which of its sessions, from 0. Raises NotFoundError."""

    class_date_id: int
    meeting: int = 0

    def fetch(self, reader: Reader) -> DaySheet:
        rows = class_rows(reader, [self.class_date_id])
        if not rows or not 0 <= self.meeting < len(rows[0].sessions):
            raise NotFoundError(
                f"There is no class date {ref('class_date', self.class_date_id)}, or no such meeting of it.",
                hint="Look it up in the classes.",
                field="class_date_id",
            )
        row = rows[0]
        session = row.sessions[self.meeting]
        starts, ends = session.starts.aware, session.ends.aware
        own = tuple(
            Step(one["what"], one["minutes"], one["drying_minutes"])
            for one in reader.rows(
                "SELECT * FROM run_step WHERE class_date_id = ? ORDER BY position, id", (self.class_date_id,)
            )
        )
        segments = run_sheet(own or default_steps(session.minutes, children=row.children), starts, ends)
        before = tuple(
            segment for minutes, step in BEFORE for segment in run_sheet((step,), _moved(starts, -minutes), ends)
        )
        heads = tuple(self._heads(reader, row, session.ends))
        tools = _tools(reader, row)
        warnings = sheet_warnings(segments, ends)
        warnings += [f"{one.tool}: {one.missing} missing." for one in tools if one.missing]
        return DaySheet(
            class_row=row,
            before=before,
            segments=segments,
            after=run_sheet(AFTER, ends, _moved(ends, 60)),
            own_sheet=bool(own),
            heads=heads,
            tools=tools,
            follow_up=tuple(self._follow_up(reader, row, heads, tools)),
            warnings=tuple(warnings),
        )

    def _heads(self, reader: Reader, row: ClassRow, ends: WallTime) -> list[OnTheDay]:
        found: list[OnTheDay] = []
        for one in reader.rows(
            """SELECT seat.*, booking.payer_id, person.name, person.photos, person.health_note, person.access_needs,
                 person.guardian_id, person.collectors, payer.name AS payer, guardian.name AS guardian,
                 guardian.phone AS guardian_phone
               FROM booking JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
               JOIN person AS payer ON payer.id = booking.payer_id
               LEFT JOIN person ON person.id = seat.person_id
               LEFT JOIN person AS guardian ON guardian.id = person.guardian_id
               WHERE booking.class_date_id = ? AND booking.state IN ('held', 'deposit', 'confirmed')
               ORDER BY coalesce(person.name, payer.name), seat.id""",
            (row.id,),
        ):
            went = None if one["signed_out_at"] is None else from_utc_text(one["signed_out_at"])
            child = one["guardian_id"] is not None
            waits = child and one["signed_in_at"] is not None
            found.append(
                OnTheDay(
                    seat_id=one["id"],
                    booking_id=one["booking_id"],
                    payer_id=one["payer_id"],
                    person_id=one["person_id"],
                    name=one["name"] or f"Guest of {one['payer']}",
                    mark=one["mark"],
                    signed_in=self._local(one["signed_in_at"], row),
                    signed_out=self._local(one["signed_out_at"], row),
                    signed_out_to=one["signed_out_to"],
                    child=child,
                    guardian=one["guardian"] or "",
                    guardian_phone=one["guardian_phone"] or "",
                    collectors=one["collectors"] or "",
                    late=late_minutes(went or reader.now, ends.utc) if waits else 0,
                    no_photos=one["photos"] != "yes",
                    photos_unasked=one["photos"] not in ("yes", "no"),
                    has_health_note=bool(one["health_note"]),
                    needs=one["access_needs"] or "",
                    kit=one["kit"],
                    kit_collect_by=None
                    if one["kit_collect_by"] is None
                    else dt.date.fromisoformat(one["kit_collect_by"]),
                    to_ask=one["ask_again"],
                )
            )
        return found

    @staticmethod
    def _local(text: str | None, row: ClassRow) -> WallTime | None:
        return None if text is None else wall_time(from_utc_text(text), row.starts.zone)

    def _follow_up(
        self, reader: Reader, row: ClassRow, heads: tuple[OnTheDay, ...], tools: tuple[ToolCount, ...]
    ) -> list[FollowUp]:
        """What the day leaves to do, soonest first; empty until the class is over."""
        if row.ends.utc > reader.now:
            return []
        found: list[FollowUp] = []
        unmarked = sum(not one.mark for one in heads)
        if unmarked:
            found.append(FollowUp(f"{unmarked} heads are neither attended nor no-show: mark them.", None))
        if not row.taught:
            found.append(FollowUp("Mark the class as taught.", None, "taught"))
        open_tools = [one.tool for one in tools if one.counted_in is None and one.counted_out is not None]
        if open_tools:
            found.append(FollowUp(f"Count in: {', '.join(open_tools)}.", None))
        found += [
            FollowUp(f"The kit of {one.name} waits to be collected, then back in stock.", one.kit_collect_by)
            for one in heads
            if one.kit == "to collect"
        ]
        left = (kits_bagged(reader, row.id) or 0) - kits_given(reader, row.id)
        taken_apart = reader.value(
            "SELECT 1 FROM stock_movement WHERE class_date_id = ? AND reason = 'left over' LIMIT 1", (row.id,)
        )
        if left > 0 and not taken_apart:
            found.append(FollowUp(f"{left} kits are left over: take them apart into stock.", None, "kits"))
        for note in reader.rows(
            """SELECT DISTINCT person.name, person.health_erase_on FROM seat
               JOIN booking ON booking.id = seat.booking_id JOIN person ON person.id = seat.person_id
               WHERE booking.class_date_id = ? AND person.health_erase_on IS NOT NULL AND seat.given_up_at IS NULL""",
            (row.id,),
        ):
            day = dt.date.fromisoformat(note["health_erase_on"])
            found.append(FollowUp(f"The health note of {note['name']} is erased after that day.", day))
        return sorted(found, key=lambda one: (one.day is not None, one.day or dt.date.min, one.what))


def _tools(reader: Reader, row: ClassRow) -> tuple[ToolCount, ...]:
    """The project's tools in its order, with their counts, then others that were counted."""
    version = reader.value("SELECT project_version_id FROM class_date WHERE id = ?", (row.id,))
    counted = {
        one["tool"].casefold(): one
        for one in reader.rows("SELECT * FROM tool_count WHERE class_date_id = ? ORDER BY tool", (row.id,))
    }
    found: list[ToolCount] = []
    for tool in tools_wanted(reader, version, row.heads):
        one = counted.pop(tool.name.casefold(), None)
        out, back = (None, None) if one is None else (one["counted_out"], one["counted_in"])
        found.append(ToolCount(tool.name, out, back, tool.wanted, tool.owned))
    found += [ToolCount(one["tool"], one["counted_out"], one["counted_in"]) for one in counted.values()]
    return tuple(found)


def _moved(moment: dt.datetime, minutes: int) -> dt.datetime:
    """So many real minutes later, in the same zone."""
    return (moment.astimezone(dt.UTC) + dt.timedelta(minutes=minutes)).astimezone(moment.tzinfo)

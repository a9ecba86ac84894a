"""The calendars that are written, as the bytes of a file: for anyone, for her, and for one attendee."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace

from scheduling.calendar.entries import BusyBlock, CalendarEvent, CalendarFile, CalendarTodo
from scheduling.calendar.withdrawn import SentEntry, above, newest, sent_entry, sent_in, withdrawn
from scheduling.calendar.write import private_calendar, public_calendar
from scheduling.errors import NotFoundError, StoreError
from scheduling.model.bookings import heads_text
from scheduling.model.refs import ref
from scheduling.queries.calendar_entries import class_events, deadline_blocks, made_uid, prep_blocks, prep_todo, risen
from scheduling.queries.plan import PrepTasks
from scheduling.store.rows import Reader, from_utc_text


@dataclass(frozen=True, slots=True)
class ClassCalendar:
    """The public calendar as iCalendar bytes; of one class date where it is named. Private parties are left out.

    What went out to anyone and has been taken back since stays for half a year as cancelled, in every such file.
    link: the address at which others subscribe to the file; readers then know where and when to ask again.
    before: the file that is to be replaced, which may know more than the studio, as after a restored copy.
    """

    class_date_id: int | None = None
    link: str = ""
    before: bytes = field(default=b"", repr=False)

    def fetch(self, reader: Reader) -> bytes:
        wanted = None if self.class_date_id is None else [self.class_date_id]
        events = [event for event in class_events(reader, wanted) if event.is_public]
        head = replace(calendar_head(reader, "classes"), source_url=self.link)
        sent = _sent(reader, "anyone", self.before, head, class_date_id=self.class_date_id)
        gone, _ = withdrawn(sent, standing={one.uid for one in events}, now=reader.now)
        gone = [one for one in gone if one.is_public]
        events = [*above(events, sent), *gone]
        if self.class_date_id is not None:
            if not events:
                raise NotFoundError(
                    f"{ref('class_date', self.class_date_id)} is not there or is private.",
                    hint="Name another class date.",
                )
            head = replace(head, uid=made_uid(head.uid, events[0].uid), name=events[0].title)
        return public_calendar(head, [event.published() for event in events])


@dataclass(frozen=True, slots=True)
class PrivateEntries:
    """What stands in her own calendar, as entries.

    prep: the tasks as to-dos. blocks: planned prep as busy time too. deadlines: the days each class lives by.
    alarms: a day before a class, when it is time to go, and on the morning of a deadline or a due task.
    """

    prep: bool = True
    blocks: bool = False
    deadlines: bool = True
    alarms: bool = True

    def fetch(self, reader: Reader) -> tuple[list[CalendarEvent], list[CalendarTodo], list[BusyBlock]]:
        tasks = PrepTasks(with_closed=True).fetch(reader) if self.prep or self.blocks else ()
        todos = [prep_todo(task, alarms=self.alarms) for task in tasks] if self.prep else []
        blocks = prep_blocks(tasks) if self.blocks else []
        if self.deadlines:
            blocks += deadline_blocks(reader, alarms=self.alarms)
        return class_events(reader, alarms=self.alarms), todos, blocks


@dataclass(frozen=True, slots=True)
class PrivateCalendar:
    """Her own calendar as iCalendar bytes: every class with its joining link, and the rest as in PrivateEntries.

    before: as in ClassCalendar.
    """

    prep: bool = True
    blocks: bool = False
    deadlines: bool = True
    alarms: bool = True
    before: bytes = field(default=b"", repr=False)

    def fetch(self, reader: Reader) -> bytes:
        events, todos, blocks = PrivateEntries(self.prep, self.blocks, self.deadlines, self.alarms).fetch(reader)
        head = calendar_head(reader, "private")
        sent = _sent(reader, "herself", self.before, head)
        # What is left out because she asked for less is not taken back.
        standing = {one.uid for one in events} | {one.uid for one in todos} | {one.uid for one in blocks}
        standing |= _owed_uids(reader, with_days=not self.deadlines)
        gone, gone_todos = withdrawn(sent, standing=standing, now=reader.now)
        return private_calendar(
            head, [*above(events, sent), *gone], [*above(todos, sent), *gone_todos], above(blocks, sent)
        )


def _owed_uids(reader: Reader, *, with_days: bool) -> set[str]:
    """The identities of all prep tasks and, `with_days`, of all deadlines."""
    found = {str(row["public_id"]) for row in reader.rows("SELECT public_id FROM task")}
    return found | {one.uid for one in deadline_blocks(reader, alarms=False)} if with_days else found


def _sent(
    reader: Reader,
    circle: str,
    before: bytes,
    head: CalendarFile,
    *,
    person_id: int | None = None,
    class_date_id: int | None = None,
) -> dict[str, SentEntry]:
    """What went out to that circle of readers, by UID: as the studio remembers it, and as the file of before says."""
    where = "circle = ? AND coalesce(person_id, 0) = ?"
    parameters: list[object] = [circle, person_id or 0]
    if class_date_id is not None:
        where += " AND class_date_id = ?"
        parameters.append(class_date_id)
    rows = reader.rows(f"SELECT lines FROM calendar_sent WHERE {where} ORDER BY id", parameters)  # noqa: S608  marks
    kept = [entry for row in rows if (entry := sent_entry(row["lines"])) is not None]
    return newest(kept, sent_in(before, calendar_uid=head.uid) if class_date_id is None else ())


@dataclass(frozen=True, slots=True)
class PublishedEntry:
    """One entry as a calendar object of its own (RFC 4791 4.1); component: VEVENT or VTODO."""

    uid: str
    title: str
    component: str
    octets: bytes


@dataclass(frozen=True, slots=True)
class ToPublish:
    """A calendar cut into objects; uid: the calendar's identity."""

    uid: str
    entries: tuple[PublishedEntry, ...]


@dataclass(frozen=True, slots=True)
class PublicObjects:
    """What anyone may read, as calendar objects."""

    def fetch(self, reader: Reader) -> ToPublish:
        head = calendar_head(reader, "classes")
        bare = replace(head, uid="", name="")
        events = [event.published() for event in class_events(reader) if event.is_public]
        return ToPublish(
            head.uid,
            tuple(PublishedEntry(one.uid, one.title, "VEVENT", public_calendar(bare, [one])) for one in events),
        )


@dataclass(frozen=True, slots=True)
class PrivateObjects:
    """What she alone reads, as calendar objects."""

    entries: PrivateEntries = PrivateEntries()

    def fetch(self, reader: Reader) -> ToPublish:
        head = calendar_head(reader, "private")
        bare = replace(head, uid="", name="")
        events, todos, blocks = self.entries.fetch(reader)
        found = [(one.uid, one.title, "VEVENT", private_calendar(bare, [one])) for one in events]
        found += [(one.uid, one.title, "VEVENT", private_calendar(bare, [], [], [one])) for one in blocks]
        found += [(one.uid, one.title, "VTODO", private_calendar(bare, [], [one])) for one in todos]
        return ToPublish(head.uid, tuple(PublishedEntry(*one) for one in found))


@dataclass(frozen=True, slots=True)
class AttendeeCalendar:
    """The calendar of one attendee, to be sent to them: the classes that they pay for or sit in, and nothing else.

    A place given up stays as cancelled, and so does for half a year a class or booking that was taken back after it
    went out; a place on the waitlist, or one offered, is tentative. Joining links are in it for those who have a
    place; her own notes and other people never are.
    Raises NotFoundError: there is no such attendee, or they have no class.
    """

    person_id: int
    alarms: bool = True

    def fetch(self, reader: Reader) -> bytes:
        person = reader.row("person", self.person_id)
        if person is None or person["erased_at"] is not None:
            raise NotFoundError(
                f"There is no attendee {ref('person', self.person_id)}.",
                hint="Look them up by name.",
                field="person_id",
            )
        places = _places(reader, self.person_id)
        head = calendar_head(reader, f"attendee {person['public_id']}")
        sent = _sent(reader, "attendee", b"", head, person_id=self.person_id)
        created = {
            row["public_id"]: (row["class_date_id"], row["created_at"])
            for row in reader.rows(
                """SELECT session.public_id, class_date_id, class_date.created_at FROM session
                   JOIN class_date ON class_date.id = class_date_id"""
            )
        }
        events = [
            places[created[event.uid][0]].on(event, created[event.uid][1])
            for event in class_events(reader, places, alarms=self.alarms)
        ]
        gone, _ = withdrawn(sent, standing={one.uid for one in events}, now=reader.now)
        if not events and not gone:
            raise NotFoundError(
                f"{ref('person', self.person_id)} has no class.", hint="Book them first.", field="person_id"
            )
        return private_calendar(head, [*above(events, sent), *gone])


@dataclass(frozen=True, slots=True)
class _Place:
    """Where somebody stands with one class date.

    standing: "has a place", "waits" or "given up". changed: the latest change of their bookings or seats there, as
    kept; it only rises, also when a change is taken back.
    """

    standing: str
    changed: str
    about: str

    def on(self, event: CalendarEvent, class_made: str) -> CalendarEvent:
        """The event as this attendee is to see it."""
        status = event.status
        if self.standing == "given up":
            status = "CANCELLED"
        elif self.standing == "waits" and status == "CONFIRMED":
            status = "TENTATIVE"
        title = f"Waitlist: {event.title}" if self.standing == "waits" else event.title
        return replace(
            event,
            title=title,
            status=status,
            sequence=event.sequence + risen(class_made, self.changed),
            modified_at=max(event.modified_at, from_utc_text(self.changed)),
            conference=event.conference if self.standing == "has a place" else None,
            private_note=self.about,
            # Time to go is hers alone: she sets up before they come.
            alarms=event.alarms[:1] if status != "CANCELLED" else (),
        )


_STANDINGS = {"held": "has a place", "deposit": "has a place", "confirmed": "has a place", "offered": "waits",
              "waitlist": "waits", "cancelled": "given up", "transferred": "given up"}  # fmt: skip


def _places(reader: Reader, person_id: int) -> dict[int, _Place]:
    """The class dates that somebody has or had to do with, by number; an enquiry alone is none."""
    found: dict[int, list[tuple[str, str, str]]] = defaultdict(list)
    for row in reader.rows(
        """SELECT booking.id, booking.class_date_id, booking.state, booking.modified_at, booking.payer_id = ?1 AS pays,
             (SELECT count(*) FROM seat WHERE booking_id = booking.id AND given_up_at IS NULL) AS heads,
             EXISTS (SELECT 1 FROM seat WHERE booking_id = booking.id AND person_id = ?1 AND given_up_at IS NULL)
               AS sits
           FROM booking WHERE booking.state <> 'enquiry' AND (booking.payer_id = ?1
             OR booking.id IN (SELECT booking_id FROM seat WHERE person_id = ?1)) ORDER BY booking.id""",
        (person_id,),
    ):
        standing = _STANDINGS[row["state"]]
        if not (row["sits"] or (row["pays"] and row["heads"])):
            standing = "given up"
        heads = f", {heads_text(row['heads'])}" if row["pays"] else ""
        changed = max(row["modified_at"], _seats_changed_at(reader, row["id"]))
        about = f"Booking {ref('booking', row['id'])}{heads}" if standing != "given up" else ""
        found[row["class_date_id"]].append((standing, changed, about))
    best = ("has a place", "waits", "given up")
    return {
        class_date_id: _Place(
            standing=min((one[0] for one in there), key=best.index),
            changed=max(one[1] for one in there),
            about="; ".join(one[2] for one in there if one[2]),
        )
        for class_date_id, there in found.items()
    }


def _seats_changed_at(reader: Reader, booking_id: int) -> str:
    """When a seat of a booking last changed hands, by the history (a seat itself keeps no time); empty for never."""
    seats = [row["id"] for row in reader.rows("SELECT id FROM seat WHERE booking_id = ?", (booking_id,))]
    touched = " OR ".join(f"""instr(changes, '["seat",{seat},') > 0""" for seat in seats) or "0"
    made = " OR ".join(f"{seat} BETWEEN first_id AND last_id" for seat in seats) or "0"
    touched += f" OR id IN (SELECT history_id FROM history_part WHERE made_in = 'seat' AND ({made}))"  # noqa: S608  row numbers
    return str(
        reader.value(
            f"""WITH touching AS (SELECT id FROM history WHERE {touched})
                SELECT max(at) FROM history WHERE id IN touching OR target_id IN touching"""  # noqa: S608  row numbers
        )
        or ""
    )


def calendar_head(reader: Reader, which: str) -> CalendarFile:
    """The head of one of the studio's calendars, with an identity that stays; raises StoreError before set-up."""
    row = reader.first("SELECT public_id, name, time_zone FROM studio")
    if row is None:
        raise StoreError("The file holds no studio yet.", hint="Set one up first.")
    names = {"classes": row["name"], "private": f"{row['name']}: own calendar"}
    return CalendarFile(
        uid=made_uid(row["public_id"], which),
        name=names.get(which, f"{row['name']}: your classes"),
        zone=row["time_zone"],
    )

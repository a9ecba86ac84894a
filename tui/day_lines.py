"""The day of a class as rows: who is here, who collects whom, the run sheet's clock, tools, the car, what follows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.model.day import Segment
from scheduling.queries.car_list import CarLine
from scheduling.queries.day import DaySheet, FollowUp, OnTheDay, ToolCount
from scheduling.queries.plan import PlannedTask
from scheduling.words import show_day
from tui import class_lines
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section, Tone

HEAD_COLUMNS: Final = (
    Column("", share=4, least=20),
    Column("", 20),
    Column("", 12, drop=1),
    Column("", share=3, least=8),
)
SHEET_COLUMNS: Final = (Column("", 12), Column("", share=1, least=20), Column("", 19))
CAUTION: Final = (
    "The venue's own rules and the fire authority's number go before this sheet; collecting a child is for your"
    " local safeguarding rules."
)


@dataclass(slots=True)
class DayLines:
    """Rows of both lists; what each row stands for, by its id, and what to say of it."""

    heads: list[Row | Section] = field(default_factory=list)
    sheet: list[Row | Section] = field(default_factory=list)
    people: dict[Hashable, OnTheDay] = field(default_factory=dict)
    tools: dict[Hashable, ToolCount] = field(default_factory=dict)
    follow_up: dict[Hashable, FollowUp] = field(default_factory=dict)
    tasks: dict[Hashable, PlannedTask] = field(default_factory=dict)
    about: dict[Hashable, str] = field(default_factory=dict)


def heading(page: DaySheet, meeting: int, *, today: dt.date) -> list[str]:
    """The class and how many of its heads are here, in two lines."""
    row = page.class_row
    which = f", session {meeting + 1} of {len(row.sessions)}" if len(row.sessions) > 1 else ""
    when = class_lines.session_words(row.sessions[meeting], today=today)
    gone = sum(one.signed_out is not None for one in page.heads)
    attended = sum(one.mark == "attended" and one.signed_in is None for one in page.heads)
    absent = sum(one.mark == "no-show" for one in page.heads)
    parts = [
        f"{len(page.missing)} not here yet" if page.missing else "",
        f"{len(page.here)} here" if page.here or not attended else "",
        f"{attended} attended" if attended else "",
        f"{gone} gone" if gone else "",
        f"{absent} did not come" if absent else "",
    ]
    counted = ", ".join(part for part in parts if part)
    children = sum(one.signed_out is None for one in page.to_collect if one.mark != "no-show")
    collect = f"; {children} {'child' if children == 1 else 'children'} to be collected" if children else ""
    return [
        f"{class_lines.named(row)}, {when}{which}, {row.venue}",
        f"{heads_text(len(page.heads))}: {counted}{collect}",
    ]


def day_lines(
    page: DaySheet, car: Sequence[CarLine], tasks: Sequence[PlannedTask], *, now: dt.datetime, today: dt.date
) -> DayLines:
    """Both lists. tasks: prep that is still open once the class is over."""
    lines = DayLines()
    for one in page.heads:
        _head(lines, one)
    _collection(lines, page.to_collect)
    _run_sheet(lines, page, now)
    _tools(lines, page.tools)
    _car(lines, car)
    _after(lines, page, tasks, today)
    return lines


def state_of(one: OnTheDay) -> tuple[str, str, Tone]:
    """Where a head is in words, with its sign and tone."""
    if one.mark == "no-show":
        return "did not come", "x", "bad"
    if one.signed_out is not None:
        return f"gone {one.signed_out.local:%H:%M}", "-", "quiet"
    if one.signed_in is not None:
        return f"here since {one.signed_in.local:%H:%M}", "+", "good"
    if one.mark == "attended":
        return "attended", "+", "good"
    return "not here yet", "", ""


#: What a row says in short, said whole below it.
_WHOLE: Final = {"photos?": "photos not asked yet, so none"}


def _head(lines: DayLines, one: OnTheDay) -> None:
    key = ("head", one.seat_id)
    words, sign, tone = state_of(one)
    notes = [one.needs] if one.needs else []
    notes += ["health note"] if one.has_health_note else []
    notes += ["child"] if one.child else []
    notes += ["photos?" if one.photos_unasked else "no photos"] if one.no_photos else []
    notes += ["asked again"] if one.to_ask else []
    said = ", ".join(notes)
    lines.heads.append(Row(key, (one.name, Cell(words, tone), one.kit or "-", Cell(said, "warn")), sign, tone))
    parts = [f"{one.name}: {words}"]
    if one.signed_out_to:
        parts[0] += f" with {one.signed_out_to}"
    parts.append(f"kit {one.kit}" if one.kit else "kit not handed over")
    if one.kit_collect_by:
        parts.append(f"to be collected by {show_day(one.kit_collect_by)}")
    if one.child:
        parts.append(_collects(one))
    parts += [_WHOLE.get(note, note) for note in notes if note not in ("health note", "child")]
    if one.has_health_note:
        parts.append("health note on their page (Enter)")
    lines.about[key] = "; ".join(parts) + "."
    lines.people[key] = one


def _collects(one: OnTheDay) -> str:
    also = f", or {one.collectors}" if one.collectors else ""
    return f"collected by {one.guardian} {one.guardian_phone}".strip() + also


def _collection(lines: DayLines, children: Sequence[OnTheDay]) -> None:
    if not children:
        return
    lines.sheet.append(Section("Who collects whom", "j signs out; c changes who may"))
    for one in children:
        key = ("collect", one.seat_id)
        late = f"{one.late} min late" if one.late else ""
        gone = one.signed_out is not None
        state, _sign, _tone = state_of(one)
        state = "not yet" if not one.signed_in and not one.mark else state.replace("here since", "here")
        right = Cell(late, "bad" if not gone else "")
        who = f"{one.guardian} {one.guardian_phone}".strip() + (f", {one.collectors}" if one.collectors else "")
        waits = bool(late) and not gone
        lines.sheet.append(Row(key, (state, f"{one.name}: {who}", right), "!" if waits else "", "bad" if waits else ""))
        with_whom = f" Went with {one.signed_out_to}." if one.signed_out_to else ""
        lines.about[key] = f"{one.name} is {_collects(one)}.{with_whom} Nobody else without asking the guardian."
        lines.people[key] = one


def _run_sheet(lines: DayLines, page: DaySheet, now: dt.datetime) -> None:
    lines.sheet.append(Section("Run sheet", "yours" if page.own_sheet else "the usual one; c writes yours"))
    for n, segment in enumerate((*page.before, *page.segments, *page.after)):
        key = ("step", n)
        is_now = segment.starts <= now < segment.ends
        dry = _dry(segment)
        right = Cell("now", "accent") if is_now and not dry else Cell(dry, "" if segment.dry_in_time else "bad")
        clock = f"{segment.starts:%H:%M}-{segment.ends:%H:%M}"
        sign, tone = ("~", "accent") if is_now else ("", "")
        if not segment.dry_in_time:
            sign, tone = "!", "bad"
        step_tone: Tone = "bad" if tone == "bad" else "accent" if tone == "accent" else ""
        lines.sheet.append(Row(key, (clock, segment.step.what, right), sign, step_tone))
        drying = f"; what it glues is dry at {segment.dries_at:%a %H:%M}" if segment.dries_at else ""
        late = "" if segment.dry_in_time else ", after the end: send it home under boards and weight"
        lines.about[key] = f"{clock} {segment.step.what}{drying}{late}."
    for n, warning in enumerate(page.warnings):
        lines.sheet.append(Row(("warning", n), ("To look at", Cell(warning, "warn"), ""), "!", "warn"))
        lines.about["warning", n] = warning


def _dry(segment: Segment) -> str:
    if segment.dries_at is None:
        return ""
    return f"dry {segment.dries_at:%H:%M}" + ("" if segment.dry_in_time else ", too late")


def _tools(lines: DayLines, tools: Sequence[ToolCount]) -> None:
    lines.sheet.append(Section("Tools, out and in", "c counts; n adds one" if tools else "n adds one to count"))
    for tool in tools:
        key = ("tool", tool.tool)
        wanted = f" of {tool.wanted}" if tool.wanted else ""
        out = f"{tool.counted_out}{wanted} out" if tool.counted_out is not None else f"0{wanted} out"
        back = "" if tool.counted_in is None else f"{tool.counted_in} in"
        if tool.missing:
            back += f", {tool.missing} missing"
        short = tool.owned is not None and tool.owned < tool.wanted
        tone: Tone = "bad" if tool.missing else "warn" if short else ""
        name = f"{tool.tool} (only {tool.owned} owned)" if short else tool.tool
        lines.sheet.append(Row(key, (out, name, Cell(back, tone)), "!" if tone else "", tone))
        lines.about[key] = (
            f"{tool.tool}: {out}{f', {back}' if back else ', not counted in yet'}. Enter counts it; blades go to the"
            " sharps tin."
        )
        lines.tools[key] = tool


def _car(lines: DayLines, car: Sequence[CarLine]) -> None:
    if not car:
        return
    lines.sheet.append(Section("For the car"))
    for n, one in enumerate(car):
        count = "" if one.count is None else str(one.count)
        lines.sheet.append(Row(("car", n), (count, one.what, Cell(one.note, "quiet"))))
        lines.about["car", n] = " ".join(part for part in (count, one.what) if part) + (
            f" ({one.note})." if one.note else "."
        )


def _after(lines: DayLines, page: DaySheet, tasks: Sequence[PlannedTask], today: dt.date) -> None:
    if not page.follow_up and not tasks:
        return
    lines.sheet.append(Section("After it", "Enter does it; t ticks prep, m logs its minutes"))
    for n, follow in enumerate(page.follow_up):
        key = ("follow", n)
        day = "now" if follow.day is None else f"by {show_day(follow.day, today=today)}"
        lines.sheet.append(Row(key, (day, follow.what, "")))
        lines.about[key] = follow.what
        lines.follow_up[key] = follow
    for task in tasks:
        key = ("task", task.id)
        lines.sheet.append(Row(key, ("prep", task.title, Cell(task.standing, "quiet"))))
        lines.about[key] = f"{task.title}: still open. t ticks it off, m logs the minutes it took."
        lines.tasks[key] = task

"""The verb `day`: the sheet of a class's day, signing in and out, no-shows, tool counts, its run sheet."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.commands.day import CountTools, GiveKit, MarkNoShow, SetCollectors, SetRunSheet, SignIn, SignOut
from scheduling.commands.people import AddPerson
from scheduling.commands.walk_ins import WalkIn
from scheduling.errors import InvalidError, NotFoundError
from scheduling.folding import fold_text
from scheduling.model.day import Segment
from scheduling.model.refs import ref
from scheduling.queries.car_list import CarLine, CarList
from scheduling.queries.day import Day, DaySheet, OnTheDay
from scheduling.studio import Studio
from scheduling.typed_steps import read_step
from scheduling.words import show_day
from tui.lines.answers import answer
from tui.lines.named import class_named, person_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path

DEEDS = ("show", "walk-in", "car", "in", "out", "no-show", "kit", "tool", "steps", "collectors")
KITS = {"none": "", "posted": "posted", "given": "handed over", "collect": "to collect", "stock": "back in stock"}


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("class_date", metavar="CLASS", help="a reference such as C05, or words of its title or day")
    parser.add_argument("deed", nargs="?", default="show", choices=DEEDS, help="what to do (show the sheet)")
    parser.add_argument(
        "named", nargs="*", help="in, out, no-show, kit, collectors: a head; tool: the tool; steps: see --help"
    )
    parser.add_argument("--back", action="store_true", help="in: take it away")
    parser.add_argument("--to", default="", metavar="NAME", help="out: who collects; collectors: the names, by commas")
    parser.add_argument("--though-unlisted", action="store_true", help="out: to one who is not listed, checked by you")
    parser.add_argument(
        "--kit", choices=tuple(KITS), default="stock", help="kit: where it is; no-show: stock or collect"
    )
    parser.add_argument("--out", type=int, metavar="N", help="tool: counted out")
    parser.add_argument("--in", type=int, dest="counted_in", metavar="N", help="tool: counted in")
    parser.add_argument("--new", action="store_true", help="walk-in: somebody who is not kept yet")
    parser.add_argument("--over-the-list", action="store_true", help="walk-in: though others wait")
    parser.add_argument("--meeting", type=int, default=1, metavar="N", help="which of its meetings (1)")
    parser.epilog = (
        "steps: each as WHAT=TIME or WHAT=TIME+DRYING, such as 'Glue the spine=20m+1h'; none for the usual ones"
    )


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        class_date_id = class_named(studio, parsed.class_date).id
        if parsed.deed == "car":
            return _car(studio.ask(CarList(class_date_id)), parsed)
        if parsed.deed == "show":
            return _show(studio.ask(Day(class_date_id, parsed.meeting - 1)), parsed)
        return show_outcome(studio.do(_command(studio, class_date_id, parsed)), parsed)


def _command(studio: Studio, class_date_id: int, parsed: Namespace) -> Any:
    words = " ".join(parsed.named)
    if parsed.deed == "steps":
        return SetRunSheet(class_date_id=class_date_id, steps=tuple(read_step(text) for text in parsed.named))
    if not words:
        raise InvalidError(f"Who, or what, for {parsed.deed}?", hint="kitwright day C05 in NAME", field="named")
    if parsed.deed == "walk-in":
        also: dict[str, Any] = {"class_date_id": class_date_id, "over_the_list": parsed.over_the_list}
        if parsed.new:
            return WalkIn(newcomer=AddPerson(name=words), **also)
        return WalkIn(person_id=person_named(studio, words), **also)
    if parsed.deed == "tool":
        return CountTools(class_date_id=class_date_id, tool=words, counted_out=parsed.out, counted_in=parsed.counted_in)
    if parsed.deed == "collectors":
        return SetCollectors(person_id=person_named(studio, words), collectors=parsed.to)
    seat_id = _head(studio.ask(Day(class_date_id)), words).seat_id
    if parsed.deed == "in":
        return SignIn(seat_id=seat_id, back=parsed.back)
    if parsed.deed == "out":
        return SignOut(seat_id=seat_id, to=parsed.to, though_unlisted=parsed.though_unlisted)
    if parsed.deed == "kit":
        return GiveKit(seat_id=seat_id, kit=KITS[parsed.kit])
    return MarkNoShow(seat_id=seat_id, kit="to collect" if parsed.kit == "collect" else "back in stock")


def _head(sheet: DaySheet, words: str) -> OnTheDay:
    """The head of the class whose name holds the words, or whose booking it is."""
    wanted = fold_text(words)
    hits = [
        one
        for one in sheet.heads
        if wanted in fold_text(one.name) or wanted == fold_text(ref("booking", one.booking_id))
    ]
    if not hits:
        raise NotFoundError(f"No head of {sheet.class_row.ref} matches {words!r}.", hint="See: kitwright day CLASS")
    if len(hits) > 1:
        raise InvalidError(
            f"{words!r} matches {', '.join(one.name for one in hits[:6])}.", hint="Give more of the name."
        )
    return hits[0]


def _show(sheet: DaySheet, parsed: Namespace) -> int:
    row = sheet.class_row
    if parsed.json:
        print(
            answer(
                "day",
                **{"class": row.ref},
                before=[_segment(one) for one in sheet.before],
                segments=[_segment(one) for one in sheet.segments],
                after=[_segment(one) for one in sheet.after],
                heads=[_entry(one) for one in sheet.heads],
                tools=sheet.tools,
                follow_up=sheet.follow_up,
                warnings=sheet.warnings,
            )
        )
        return 0
    say(f"{row.ref} {row.title}, {show_day(row.first_day, year=True)}, {row.venue}")
    print()
    table(
        ("From", "To", "", "Dry at"),
        [
            (
                f"{one.starts:%H:%M}",
                f"{one.ends:%H:%M}",
                one.step.what,
                "" if one.dries_at is None else f"{one.dries_at:%a %H:%M}{'' if one.dry_in_time else ' after the end'}",
            )
            for one in (*sheet.before, *sheet.segments, *sheet.after)
        ],
    )
    print()
    table(
        ("", "Name", "In", "Out", "With", "Kit", "Needs"),
        [
            (
                " ".join(
                    mark
                    for mark, holds in (
                        ("*", one.has_health_note),
                        ("photos?", one.photos_unasked),
                        ("no photos", one.no_photos and not one.photos_unasked),
                        ("ask", one.to_ask),
                    )
                    if holds
                ),
                one.name,
                f"{one.signed_in.local:%H:%M}" if one.signed_in else one.mark,
                f"{one.signed_out.local:%H:%M}" if one.signed_out else "",
                one.signed_out_to,
                one.kit,
                one.needs,
            )
            for one in sheet.heads
        ],
    )
    if any(one.has_health_note for one in sheet.heads):
        print("* a health note is kept: read it on the attendee's page")
    if sheet.to_collect:
        print("\nWho is collected by whom")
        table(
            ("Name", "Guardian", "Phone", "Also", "Late"),
            [
                (one.name, one.guardian, one.guardian_phone, one.collectors, f"{one.late} min" if one.late else "")
                for one in sheet.to_collect
            ],
        )
    for tool in sheet.tools:
        wanted = f" of {tool.wanted} wanted" if tool.wanted else ""
        out = f"{tool.counted_out} out" if tool.counted_out is not None else "not counted out"
        back = "" if tool.counted_in is None else f", {tool.counted_in} in"
        say(f"{tool.tool}: {out}{wanted}{back}")
    for follow in sheet.follow_up:
        say(f"Then{f', by {show_day(follow.day)}' if follow.day else ''}: {follow.what}")
    for warning in sheet.warnings:
        say(f"Note: {warning}")
    print("The venue's own rules and the fire authority's number go before this sheet.")
    return 0


def _car(lines: tuple[CarLine, ...], parsed: Namespace) -> int:
    if parsed.json:
        print(answer("car", lines=[{"what": one.what, "count": one.count, "note": one.note} for one in lines]))
    elif lines:
        table(
            ("How many", "What", ""),
            [("" if one.count is None else str(one.count), one.what, one.note) for one in lines],
            right=(0,),
        )
    else:
        print("It is held online: nothing goes into the car.")
    return 0


def _segment(one: Segment) -> dict[str, Any]:
    return {
        "from": one.starts,
        "to": one.ends,
        "what": one.step.what,
        "dries_at": one.dries_at,
        "dry_in_time": one.dry_in_time,
    }


def _entry(one: OnTheDay) -> dict[str, Any]:
    return {
        "booking": ref("booking", one.booking_id),
        "name": one.name,
        "mark": one.mark,
        "signed_in": one.signed_in,
        "signed_out": one.signed_out,
        "signed_out_to": one.signed_out_to,
        "child": one.child,
        "guardian": one.guardian,
        "guardian_phone": one.guardian_phone,
        "collectors": one.collectors,
        "late": one.late,
        "no_photos": one.no_photos,
        "has_health_note": one.has_health_note,
        "kit": one.kit,
        "kit_collect_by": one.kit_collect_by,
        "to_ask": one.to_ask,
    }

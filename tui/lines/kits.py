"""The verb `kit`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.buying.kit_weight import grams, thickness_text
from scheduling.commands.bills import ChooseKitOptions
from scheduling.commands.kit_runs import STEPS, BeginKitRun, NoteKits, PostKit, ReturnKits, TickKits
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.kit_costs import CashOfClassKits, CostOfClassKit
from scheduling.queries.kit_runs import KitRun, KitRunPage
from scheduling.queries.owed import Today
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import counted, read_day, show_day
from tui.kit_words import cash_text, kit_words, lift_text
from tui.lines.answers import answer
from tui.lines.named import class_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path
from tui.stock_words import served_text

DEEDS = ("show", "begin", "tick", "problem", "mended", "weigh", "post", "options", "return")


def arguments(_verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("named", metavar="CLASS", help="a class date")
    parser.add_argument("deed", choices=DEEDS, nargs="?", default="show", help="what to do (show)")
    parser.add_argument("what", nargs="?", help=f"tick: the step, one of {', '.join(STEPS)}; problem: what it is;"
                        " mended: its number; weigh: grams; post, options: a seat's number; return: kits")  # fmt: skip
    parser.add_argument("--count", type=int, help="tick: done so far, in all (all of them)")
    parser.add_argument("--by", default="", help="tick: who checked")
    parser.add_argument("--proof", default="", help="post: the proof of posting")
    parser.add_argument("--day", help="post: when (today)")
    parser.add_argument("--again", action="store_true", help="post: a second one, for a kit that did not come")
    parser.add_argument("--option", action="append", default=[], metavar="NAME",
                        help="options: one that the seat has, by its name on the bill")  # fmt: skip
    parser.add_argument("--to", metavar="CLASS", help="return: the class that gets the cut pieces")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        class_id = class_named(studio, parsed.named).id
        return _show(studio, parsed, class_id) if parsed.deed == "show" else _deed(studio, parsed, class_id)


def _show(studio: Studio, parsed: Namespace, class_id: int) -> int:
    page = studio.ask(KitRun(class_id))
    facts = studio.ask(Settings())
    cost, cash = studio.ask(CostOfClassKit(class_id)), studio.ask(CashOfClassKits(class_id))
    if parsed.json:
        print(
            answer(
                "kit",
                **_kit_entry(page, facts.currency),
                cost=None if cost is None else facts.currency.from_minor(cost.total),
                cash=None if cash is None else facts.currency.from_minor(cash.total),
                cash_left=None if cash is None else facts.currency.from_minor(cash.left),
            )
        )
        return 0
    say(
        f"{page.ref} {page.title}, {show_day(page.day)}: {counted(page.kits, 'kit')}: {counted(page.heads, 'head')},"
        f" {page.spares} spare, {page.demo_copies} demo copy. "
        f"{counted(page.late.heads, 'late sign-up')} could still get a kit."
    )
    for limit in page.late.limits:
        say(f"  One more would lack {limit.ref} {limit.material.name}: {lift_text(limit, facts.currency)}.")
    if page.newer_version is not None:
        say(f"Its project is at version {page.newer_version}; this class keeps the one it was planned with.")
    table(
        ("Step", "Part", "Done", "Of", "Left", "Checked by"),
        [
            (step.step, step.part, str(step.done), str(step.wanted), str(step.left or ""), step.checked_by)
            for step in page.steps
        ],
        right=(2, 3, 4),
    )
    for row, one in page.shorts:
        say(f"  {row.ref} {row.material.name}: {served_text(row, one)}")
    _say_seats(page)
    weight = page.weight
    thick = thickness_text(weight.thickness, facts.units)
    say(f"A kit weighs about {grams(weight.milligrams)}; its boards are {thick} thick.")
    _say_mail(page)
    for tool in page.tools:
        if tool.short:
            say(f"  {tool.name}: {tool.wanted} are wanted, {tool.owned} owned. Share, borrow or buy {tool.short}.")
    for note in page.notes:
        if note.weight_mg is None:
            say(f"  {note.id}: {note.note}{' (mended)' if note.mended else ''}")
        else:
            say(f"  Weighed {grams(note.weight_mg)}, {'as expected' if note.within else 'not as expected: open it'}.")
    if cost is not None:
        say(f"A kit costs {facts.currency.show(cost.total)} by its bill, by the share that it uses.")
    if cash is not None:
        say(cash_text(cash, facts.currency))
    for caution in page.label.cautions:
        say(f"  Caution: {caution}")
    return 0


def _say_seats(page: KitRunPage) -> None:
    for kit in page.seat_kits:
        if kit.options:
            say(f"  seat {kit.seat_id} {kit.name}: {kit_words(kit)}")
    if page.options:
        say(f"Options of a kit: {', '.join(page.options)}.")


def _say_mail(page: KitRunPage) -> None:
    if page.post_by is None:
        return
    weight = page.weight
    posted = sum(1 for parcel in page.parcels if parcel.posted_on)
    each = grams(weight.milligrams + weight.mailer)
    say(f"Post by {show_day(page.post_by)}: {posted} of {len(page.parcels)} are posted, each {each}: {weight.mail}")
    for parcel in page.parcels:
        when = f"posted {show_day(parcel.posted_on)} {parcel.proof}" if parcel.posted_on else "to post"
        say(f"  seat {parcel.seat_id} {parcel.name}{' (abroad)' if parcel.abroad else ''}: {when}")


def _kit_entry(page: KitRunPage, currency: Currency) -> dict[str, Any]:
    """The page's fields; names of people are left out, seats are not."""
    return {
        "class": page.ref,
        "title": page.title,
        "day": page.day,
        "kits": page.kits,
        "heads": page.heads,
        "spares": page.spares,
        "demo_copies": page.demo_copies,
        "begun": page.begun,
        "steps": page.steps,
        "notes": page.notes,
        "weight_mg": page.weight.milligrams,
        "mailer_mg": page.weight.mailer,
        "mail": page.weight.mail if page.post_by is not None else None,
        "tools": page.tools,
        "label": page.label,
        "post_by": page.post_by,
        "options": page.options,
        "seat_kits": [
            {"seat": kit.seat_id, "options": kit.options, "swaps": kit.swaps} for kit in page.seat_kits if kit.options
        ],
        "parcels": [
            {"seat": each.seat_id, "posted_on": each.posted_on, "proof": each.proof, "times": each.times}
            for each in page.parcels
        ],
        "short": [
            {"material": row.ref, "name": row.material.name, "short": one.need.short} for row, one in page.shorts
        ],
        "late_sign_ups": page.late.heads,
        "late_limits": [
            {
                "material": limit.ref,
                "name": limit.material.name,
                "packs": limit.packs,
                "cost": currency.from_minor(limit.cost),
                "comes": limit.comes,
                "needed_by": limit.need_day,
                "in_time": limit.in_time,
                "from_classes": [ref("class_date", number) for number in limit.from_classes],
            }
            for limit in page.late.limits
        ],
        "newer_version": page.newer_version,
    }


def _deed(studio: Studio, parsed: Namespace, class_id: int) -> int:
    if parsed.deed == "begin":
        return show_outcome(studio.do(BeginKitRun(class_date_id=class_id)), parsed)
    if parsed.what is None:
        raise InvalidError(f"What is there to {parsed.deed}?", hint="See: kitwright kit --help", field="what")
    if parsed.deed == "tick":
        step = next((row for row in studio.ask(KitRun(class_id)).steps if row.step == parsed.what), None)
        count = parsed.count if parsed.count is not None else (step.wanted if step else 0)
        return show_outcome(
            studio.do(TickKits(class_date_id=class_id, step=parsed.what, done=count, checked_by=parsed.by)), parsed
        )
    if parsed.deed == "problem":
        return show_outcome(studio.do(NoteKits(class_date_id=class_id, note=parsed.what)), parsed)
    if parsed.deed == "mended":
        return show_outcome(studio.do(NoteKits(class_date_id=class_id, mended=_whole(parsed.what))), parsed)
    if parsed.deed == "weigh":
        return show_outcome(studio.do(NoteKits(class_date_id=class_id, weight_mg=_whole(parsed.what) * 1000)), parsed)
    if parsed.deed == "post":
        day = None
        if parsed.day:
            first = studio.ask(Settings()).day_first
            day = read_day(parsed.day, today=studio.ask(Today()), day_first=first, past=True).value
        return show_outcome(
            studio.do(PostKit(seat_id=_whole(parsed.what), posted_on=day, proof=parsed.proof, again=parsed.again)),
            parsed,
        )
    if parsed.deed == "options":
        return show_outcome(
            studio.do(ChooseKitOptions(seat_id=_whole(parsed.what), names=tuple(dict.fromkeys(parsed.option)))), parsed
        )
    to = class_named(studio, parsed.to).id if parsed.to else None
    return show_outcome(studio.do(ReturnKits(class_date_id=class_id, kits=_whole(parsed.what), to_class_id=to)), parsed)


def _whole(text: str) -> int:
    if not text.isdecimal() or len(text) > 9:
        raise InvalidError(f"{text!r} is no number.", hint="Give a whole number.", field="what")
    return int(text)

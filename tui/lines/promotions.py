"""The verb `promotion`: early birds and bundles, what they cost and brought."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.commands.promotions import AddPromotion, ChangePromotion, EndPromotion
from scheduling.errors import InvalidError
from scheduling.model.refs import ref_id
from scheduling.queries.owed import Today
from scheduling.queries.promotions import Promotions, PromotionsPage
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.typed_promotions import read_off
from scheduling.words import counted, read_day, show_day
from tui.lines.answers import answer
from tui.lines.named import class_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("deed", nargs="?", default="list", choices=("list", "early-bird", "bundle", "change", "end"))
    parser.add_argument(
        "named", nargs="?", metavar="NAME", help="the new name; for change and end a reference such as N01"
    )
    parser.add_argument("--name", help="change: another name")
    parser.add_argument("--off", help="what it takes off a head: 15%% or a sum")
    parser.add_argument(
        "--class", dest="classes", action="append", default=[], metavar="CLASS", help="early-bird: each class"
    )
    parser.add_argument("--one", action="append", default=[], metavar="CLASS", help="bundle: classes on one side")
    parser.add_argument(
        "--other", action="append", default=[], metavar="CLASS", help="bundle: classes on the other side"
    )
    parser.add_argument("--opens", metavar="DAY", help="its first day (today)")
    parser.add_argument("--ends", metavar="DAY", help="its last day")
    parser.add_argument(
        "--ends-days-before", type=int, metavar="N", help="to the end of T minus N days, for each class"
    )
    parser.add_argument("--first", type=int, metavar="N", help="only for the first N heads of a class")
    parser.add_argument("--with-others", action="store_true", help="may stand beside another promotion")
    parser.add_argument("--back", action="store_true", help="end: let it go on again")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.deed == "list":
            return _list(studio.ask(Promotions()), parsed)
        if not parsed.named:
            raise InvalidError("Which promotion?", hint=f"kitwright promotion {parsed.deed} NAME", field="named")
        if parsed.deed == "change":
            promotion_id = ref_id(parsed.named, "promotion")
            entries = _entries(studio, parsed)
            given = {name: value for name, value in entries.items() if value or (value == 0 and value is not False)}
            if parsed.name:
                given["name"] = parsed.name
            return show_outcome(studio.do(ChangePromotion(promotion_id=promotion_id, **given)), parsed)
        if parsed.deed == "end":
            promotion_id = ref_id(parsed.named, "promotion")
            return show_outcome(studio.do(EndPromotion(promotion_id=promotion_id, back=parsed.back)), parsed)
        kind = "early bird" if parsed.deed == "early-bird" else "bundle"
        return show_outcome(studio.do(AddPromotion(name=parsed.named, kind=kind, **_entries(studio, parsed))), parsed)


def _entries(studio: Studio, parsed: Namespace) -> dict[str, Any]:
    facts, today = studio.ask(Settings()), studio.ask(Today())
    found: dict[str, Any] = {
        "ends_days_before": parsed.ends_days_before,
        "first_heads": parsed.first,
        "with_others": parsed.with_others,
        "classes": tuple(class_named(studio, text).id for text in parsed.classes),
        "ones": tuple(class_named(studio, text).id for text in parsed.one),
        "others": tuple(class_named(studio, text).id for text in parsed.other),
    }
    for name in ("opens", "ends"):
        if getattr(parsed, name):
            found[name] = read_day(getattr(parsed, name), today=today, day_first=facts.day_first, field=name).value
    if parsed.off:
        off = read_off(parsed.off, facts.currency).value
        found |= {"percent": off.percent} if off.minor is None else {"off_minor": off.minor}
    return found


def _list(page: PromotionsPage, parsed: Namespace) -> int:
    money, show = page.currency.from_minor, page.currency.show
    if parsed.json:
        print(
            answer(
                "promotions",
                currency=page.currency.code,
                promotions=[
                    {
                        "promotion": row.ref,
                        "name": row.promotion.name,
                        "what": row.promotion.kind,
                        "opens": row.promotion.opens,
                        "ended": row.ended,
                        "bookings": row.bookings,
                        "heads": row.heads,
                        "cost": money(row.cost),
                        "brought": money(row.brought),
                        "classes": [
                            {
                                "class": one.class_row.ref,
                                "side": one.role,
                                "price": money(one.price),
                                "last_day": one.last_day,
                                "runs": one.runs,
                                "full": one.full,
                            }
                            for one in row.classes
                        ],
                    }
                    for row in page.rows
                ],
                host_places={"heads": page.host_places[0], "worth": money(page.host_places[1])},
            )
        )
        return 0
    if not page.rows:
        print("No promotion is kept. Add one with: kitwright promotion early-bird NAME --off 15% --class C09")
    for row in page.rows:
        state = "ended" if row.ended else f"from {show_day(row.promotion.opens, year=True)}"
        say(f"{row.ref} {row.promotion.name}, {row.promotion.kind}, {state}")
        say(
            f"  {counted(row.heads, 'head')} on {counted(row.bookings, 'booking')}; cost {show(row.cost)},"
            f" brought {show(row.brought)}"
        )
        table(
            ("", "Class", "Title", "A head", "Last day", ""),
            [
                (
                    "" if one.role == "each" else one.role,
                    one.class_row.ref,
                    one.class_row.title,
                    show(one.price),
                    show_day(one.last_day, year=True) if one.last_day else "",
                    "full" if one.full else ("runs" if one.runs else ""),
                )
                for one in row.classes
            ],
            right=(3,),
        )
    if page.host_places[0]:
        say(f"Free places of hosts: {page.host_places[0]}, worth {show(page.host_places[1])}")
    return 0

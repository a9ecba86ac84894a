"""The verbs `costs`, `heads` and `personal`: what things cost, heads of a booking, all that is kept of one person."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from decimal import Decimal, InvalidOperation
from typing import Any

from scheduling.amounts import read_money
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.costs import (
    AddClassCost,
    DropClassCost,
    SetClassMoney,
    SetKitCost,
    SetStudioMoney,
    SetVenueCosts,
)
from scheduling.commands.heads import AddHeads
from scheduling.commands.parties import GiveFinalCount
from scheduling.errors import InvalidError
from scheduling.model.refs import ref_id
from scheduling.model.terms_text import read_refund_tiers
from scheduling.money import Currency
from scheduling.queries.person_data import PersonData, data_text
from scheduling.queries.roster import SeatsOf, SeatsToGive
from scheduling.queries.settings import Settings
from scheduling.saving import save_file
from scheduling.studio import Studio
from scheduling.words import read_minutes
from tui.lines.answers import answer
from tui.lines.named import class_named, person_named, shelf_named
from tui.lines.out import say, show_outcome
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path

_SUMS = {
    "studio": ("hourly_rate", "card_flat", "mailer"),
    "venue": ("hire", "hire_deposit", "travel", "drinks"),
    "class": ("postage", "deposit", "kit_cost", "overtime"),
    "project": ("kit_cost",),
}


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "heads":
        parser.add_argument("booking", metavar="BOOKING", help="a reference such as B231")
        parser.add_argument("heads", type=int, metavar="N", help="how many heads it has from now on")
        parser.add_argument("--over-the-list", action="store_true", help="pass over those who wait")
        parser.add_argument("--final", action="store_true", help="a party's final count: so many are charged")
        return
    if verb == "personal":
        parser.add_argument("attendee", metavar="ATTENDEE", help="a reference such as A12, or a name")
        parser.add_argument("--health", action="store_true", help="with the health note itself")
        parser.add_argument("--to", metavar="FILE", help="write it into a new file instead of showing it")
        return
    parser.add_argument("of", choices=tuple(_SUMS), help="what the costs are of")
    parser.add_argument("named", nargs="?", metavar="NAME", help="the venue, project or class; nothing for the studio")
    for name in sorted({name for names in _SUMS.values() for name in names}):
        parser.add_argument(f"--{name.replace('_', '-')}", dest=name, metavar="SUM")
    parser.add_argument("--card", metavar="PERCENT", help="studio: of each card payment, such as 2.9%%")
    parser.add_argument("--credit-days", type=int, help="studio: how long a credit lasts")
    parser.add_argument("--hire-by", choices=("none", "hour", "evening"), help="venue")
    parser.add_argument("--least", metavar="TIME", help="venue: the least time of a hire, such as 3h")
    parser.add_argument("--host-free-from", type=int, metavar="N", help="class: the host's place is free with N others")
    parser.add_argument("--least-heads", type=int, metavar="N", help="class: a party pays for N heads at least")
    parser.add_argument("--tiers", help="class: what goes back, such as '14 full, 7 half, 2 credit, 0 none'")
    parser.add_argument("--add", metavar="WHAT=SUM", help="class: a further cost, such as Helper=40")
    parser.add_argument("--per-head", action="store_true", help="class: with --add, for each head")
    parser.add_argument("--drop", metavar="WHAT", help="class: take a further cost away")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.verb == "heads":
            return _heads(studio, parsed)
        if parsed.verb == "personal":
            return _personal(studio, parsed)
        return show_outcome(studio.do(_command(studio, parsed)), parsed)


def _command(studio: Studio, parsed: Namespace) -> Any:
    currency = studio.ask(Settings()).currency
    given: dict[str, Any] = {
        f"{name}_minor": read_money(getattr(parsed, name), currency, field=name).value
        for name in _SUMS[parsed.of]
        if getattr(parsed, name) is not None
    }
    if parsed.of == "studio":
        if parsed.card is not None:
            given["card_percent"] = _percent(parsed.card)
        if parsed.credit_days is not None:
            given["credit_days"] = parsed.credit_days
        return SetStudioMoney(**given)
    if not parsed.named:
        raise InvalidError(f"Which {parsed.of}?", hint=f"kitwright costs {parsed.of} NAME", field="named")
    if parsed.of == "venue":
        if parsed.hire_by is not None:
            given["hire_by"] = parsed.hire_by
        if parsed.least is not None:
            given["hire_least_minutes"] = read_minutes(parsed.least, field="least").value
        return SetVenueCosts(venue_id=shelf_named(studio, "venue", parsed.named), **given)
    if parsed.of == "project":
        return SetKitCost(
            project_id=shelf_named(studio, "project", parsed.named), kit_cost_minor=given.get("kit_cost_minor")
        )
    return _of_class(class_named(studio, parsed.named).id, given, currency, parsed)


def _of_class(class_date_id: int, given: dict[str, Any], currency: Currency, parsed: Namespace) -> Any:
    if parsed.add:
        what, sign, amount = parsed.add.rpartition("=")
        if not sign:
            raise InvalidError("A further cost has words and a sum.", hint="Write it as Helper=40.", field="add")
        minor = read_money(amount, currency, field="add").value
        per = "head" if parsed.per_head else "class"
        return AddClassCost(class_date_id=class_date_id, what=what, amount_minor=minor, per=per)
    if parsed.drop:
        return DropClassCost(class_date_id=class_date_id, what=parsed.drop)
    if parsed.tiers is not None:
        given["refund_tiers"] = read_refund_tiers(parsed.tiers, field="tiers").value
    if parsed.host_free_from is not None:
        given["host_free_from"] = parsed.host_free_from
    if parsed.least_heads is not None:
        given["least_heads_charged"] = parsed.least_heads
    return SetClassMoney(class_date_id=class_date_id, **given)


def _percent(text: str) -> Decimal:
    try:
        return Decimal(text.strip().removesuffix("%").strip().replace(",", "."))
    except InvalidOperation as error:
        raise InvalidError(f"{text} is not a percentage.", hint="Write 2.9%.", field="card") from error


def _heads(studio: Studio, parsed: Namespace) -> int:
    booking_id = ref_id(parsed.booking, "booking", field="booking")
    if parsed.final:
        final = GiveFinalCount(booking_id=booking_id, heads=parsed.heads, over_the_list=parsed.over_the_list)
        return show_outcome(studio.do(final), parsed)
    more = parsed.heads - len(studio.ask(SeatsOf(booking_id)))
    if more > 0:
        return show_outcome(
            studio.do(AddHeads(booking_id=booking_id, more=more, over_the_list=parsed.over_the_list)), parsed
        )
    if parsed.heads < 1 or not more:
        raise InvalidError(
            "That is no other number of heads.", hint="Cancel the booking if nobody comes.", field="heads"
        )
    seats = studio.ask(SeatsToGive(booking_id, -more))
    return show_outcome(studio.do(CancelBooking(booking_id=booking_id, seat_ids=seats)), parsed)


def _personal(studio: Studio, parsed: Namespace) -> int:
    data = studio.ask(PersonData(person_named(studio, parsed.attendee), with_health=parsed.health))
    if parsed.to:
        target = typed_path(parsed.to)
        save_file(target, data_text(data).encode(), private=True, new=True)
        if parsed.json:
            print(answer("saved", files=[str(target)]))
        else:
            say(f"All that is kept of them is in {target}; give it to nobody else.")
        return 0
    if parsed.json:
        print(answer("personal", **data))
        return 0
    for line in data_text(data).splitlines():
        say(line)
    return 0

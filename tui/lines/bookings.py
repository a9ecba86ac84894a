"""The verbs `book`, `cancel`, `seat` and `roster`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections import Counter

from scheduling.commands.bookings import Book, CancelBooking, SettleBooking
from scheduling.commands.newcomers import BookNewcomer
from scheduling.commands.people import AddPerson
from scheduling.errors import InvalidError, NotFoundError
from scheduling.model.refs import ref_id
from scheduling.queries.roster import Roster, RosterPage, SeatsToGive
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import show_day
from tui.lines.answers import answer, class_entry, roster_entry
from tui.lines.named import class_named, person_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb in ("book", "roster"):
        parser.add_argument("class_date", metavar="CLASS", help="a reference such as C05, or words of its title or day")
    if verb == "book":
        parser.add_argument("attendee", metavar="ATTENDEE", help="a reference such as A12, a name, or an e-mail")
        parser.add_argument(
            "--heads", type=int, default=1, metavar="N", help="heads in all, the attendee's own included"
        )
        parser.add_argument(
            "--with", dest="others", action="append", default=[], metavar="ATTENDEE", help="another head by name"
        )
        parser.add_argument("--only-pays", action="store_true", help="the attendee pays but takes no seat")
        parser.add_argument("--new", action="store_true", help="add the attendee when nobody has that name")
        parser.add_argument("--email", default="", help="with --new")
        parser.add_argument("--phone", default="", help="with --new")
        parser.add_argument(
            "--state", default="confirmed", choices=("enquiry", "held", "deposit", "confirmed", "waitlist"),
            help="what the booking is when there is room",
        )  # fmt: skip
        parser.add_argument("--note", default="", help="a note on the booking")
        parser.add_argument(
            "--staying", type=int, default=0, metavar="N", help="adults who stay in the room without a seat"
        )
    if verb in ("cancel", "seat"):
        parser.add_argument("booking", metavar="BOOKING", help="a reference such as B231")
    if verb == "cancel":
        parser.add_argument("--heads", type=int, metavar="N", help="give up only so many heads, the unnamed first")
        parser.add_argument("--offer", action="store_true", help="offer the seats to those who wait")
    if verb in ("book", "seat"):
        parser.add_argument("--over-the-list", action="store_true", help="pass over those who have waited longer")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return {"book": _book, "cancel": _cancel, "seat": _seat, "roster": _roster}[parsed.verb](studio, parsed)


def _book(studio: Studio, parsed: Namespace) -> int:
    class_row = class_named(studio, parsed.class_date)
    if not 1 <= parsed.heads <= 200:
        raise InvalidError("Heads go from 1 to 200.", hint="Book larger groups in parts.", field="heads")
    others = [person_named(studio, other, field="with") for other in parsed.others]
    common = {
        "class_date_id": class_row.id,
        "state": parsed.state,
        "over_the_list": parsed.over_the_list,
        "note": parsed.note,
        "staying_adults": parsed.staying,
    }
    try:
        payer = person_named(studio, parsed.attendee)
    except NotFoundError:
        if not parsed.new:
            raise
        guests = [*others, *(None for _ in range(parsed.heads - len(others) - (not parsed.only_pays)))]
        person = AddPerson(name=parsed.attendee, email=parsed.email, phone=parsed.phone)
        made = BookNewcomer(person=person, others=tuple(guests), only_pays=parsed.only_pays, **common)
        return show_outcome(studio.do(made), parsed)
    people: list[int | None] = [*([] if parsed.only_pays else [payer]), *others]
    people += [None] * (parsed.heads - len(people))
    return show_outcome(studio.do(Book(payer_id=payer, people=tuple(people), **common)), parsed)


def _cancel(studio: Studio, parsed: Namespace) -> int:
    booking_id = ref_id(parsed.booking, "booking", field="booking")
    seats: tuple[int, ...] = ()
    if parsed.heads is not None:
        seats = studio.ask(SeatsToGive(booking_id, parsed.heads))
    return show_outcome(studio.do(CancelBooking(booking_id=booking_id, seat_ids=seats, offer_on=parsed.offer)), parsed)


def _seat(studio: Studio, parsed: Namespace) -> int:
    booking_id = ref_id(parsed.booking, "booking", field="booking")
    return show_outcome(
        studio.do(SettleBooking(booking_id=booking_id, state="confirmed", over_the_list=parsed.over_the_list)), parsed
    )


def _roster(studio: Studio, parsed: Namespace) -> int:
    page = studio.ask(Roster(class_named(studio, parsed.class_date).id))
    if parsed.json:
        print(
            answer(
                "roster",
                **{"class": class_entry(page.class_row, studio.ask(Settings()).currency)},
                seated=[roster_entry(row) for row in page.seated],
                waiting=[roster_entry(row) for row in page.waiting],
                asking=[roster_entry(row) for row in page.asking],
                warnings=page.warnings,
            )
        )
        return 0
    show_roster(page)
    return 0


def show_roster(page: RosterPage) -> None:
    """Print a roster as text; health notes are a mark only."""
    row = page.class_row
    say(f"{row.ref} {row.title}, {show_day(row.first_day, year=True)} {row.starts.local:%H:%M}, {row.venue}")
    say(f"{row.heads} of {row.seats} seats taken, minimum {row.minimum}, {row.waiting} waiting")
    if page.seated:
        print()
        table(
            ("", "Name", "Booking", "State", "Needs", "Phone"),
            [
                (
                    "*" if one.has_health_note else "",
                    one.name or f"(guest of {one.payer})",
                    one.booking_ref,
                    one.mark or one.state + (f", asked: {one.ask_again}" if one.ask_again else ""),
                    one.needs,
                    one.guardian_phone or one.phone,
                )
                for one in page.seated
            ],
        )
        if any(one.has_health_note for one in page.seated):
            print("* a health note is kept: read it on the attendee's page")
    else:
        print("Nobody has a seat yet.")
    if row.mailed_kit and page.seated:
        print("\nKits go to")
        heads = Counter(one.payer_id for one in page.seated)
        table(
            ("Kits", "Payer", "Address", ""),
            [
                (
                    str(heads[one.payer_id]),
                    one.payer,
                    ", ".join(one.address.splitlines()),
                    "abroad" if one.abroad else "",
                )
                for one in {one.payer_id: one for one in page.seated}.values()
            ],
            right=(0,),
        )
    if page.waiting:
        print("\nWaitlist, in join order")
        table(
            ("Name", "Booking", "Phone"), [(one.name or one.payer, one.booking_ref, one.phone) for one in page.waiting]
        )
    for warning in page.warnings:
        say(f"Note: {warning}")

"""The verbs `offer`, `settle` and `transfer`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.commands.offers import AcceptOffer, OfferSeats, RefuseOffer, SettleLapsed
from scheduling.commands.transfers import AnswerAgain, TransferBooking, TransferSeat
from scheduling.errors import InvalidError
from scheduling.model.refs import ref, ref_id
from scheduling.queries.roster import SeatsOf
from scheduling.queries.waitlist import PendingRow, Waitlist, WaitlistPage
from scheduling.studio import Studio
from scheduling.words import counted, show_moment
from tui.lines.answers import answer
from tui.lines.named import class_named, person_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "offer":
        parser.add_argument(
            "named", nargs="?", metavar="CLASS or BOOKING", help="whose free seats, or to whom; none: show"
        )
        parser.add_argument("--heads", type=int, metavar="N", help="of a party, offer only so many; the rest waits on")
        parser.add_argument("--over-the-list", action="store_true", help="pass over those who have waited longer")
        parser.add_argument("--accepted", action="store_true", help="the offer to this booking is accepted")
        parser.add_argument("--refused", action="store_true", help="the offer is refused: offer on")
        parser.add_argument(
            "--waits-on", action="store_true", help="with --refused: waits on, from the end of the list"
        )
        parser.add_argument(
            "--state", choices=("held", "deposit", "confirmed"), default="confirmed", help="with --accepted"
        )
    elif verb == "settle":
        parser.add_argument("class_date", nargs="?", metavar="CLASS", help="only what lapsed of this class")
    else:
        parser.add_argument("booking", metavar="BOOKING", help="a reference such as B231")
        parser.add_argument(
            "target",
            metavar="CLASS or ATTENDEE",
            help="the other date; with --person the other person; or stays, leaves",
        )
        parser.add_argument("--person", action="store_true", help="give the seat to another person")
        parser.add_argument(
            "--instead-of", metavar="ATTENDEE", help="with --person: which of its heads gives the seat on"
        )
        parser.add_argument("--also-pays", action="store_true", help="with --person: the new person is the payer too")
        parser.add_argument("--over-the-list", action="store_true", help="pass over those who wait for the other date")
        parser.add_argument(
            "--head", action="append", default=[], metavar="ATTENDEE", help="with stays, leaves: only this head"
        )
        parser.add_argument("--offer", action="store_true", help="with leaves: offer the seats to those who wait")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return {"offer": _offer, "settle": _settle, "transfer": _transfer}[parsed.verb](studio, parsed)


def _offer(studio: Studio, parsed: Namespace) -> int:
    if not parsed.named:
        return _show(studio.ask(Waitlist()), parsed)
    if parsed.named[:1].upper() == "B" and parsed.named[1:].isdecimal():
        booking_id = ref_id(parsed.named, "booking")
        if parsed.accepted:
            return show_outcome(studio.do(AcceptOffer(booking_id=booking_id, state=parsed.state)), parsed)
        if parsed.refused:
            return show_outcome(studio.do(RefuseOffer(booking_id=booking_id, stays_waiting=parsed.waits_on)), parsed)
        waiting = {row.booking_id: row for row in studio.ask(Waitlist()).waiting}
        if booking_id not in waiting:
            raise InvalidError(f"{parsed.named} is on no waitlist.", hint="See: kitwright offer", field="booking")
        command = OfferSeats(
            class_date_id=waiting[booking_id].class_date_id,
            booking_id=booking_id,
            heads=parsed.heads,
            over_the_list=parsed.over_the_list,
        )
        return show_outcome(studio.do(command), parsed)
    if parsed.accepted or parsed.refused:
        raise InvalidError("Which booking?", hint="kitwright offer B231 --accepted", field="booking")
    return show_outcome(studio.do(OfferSeats(class_date_id=class_named(studio, parsed.named).id)), parsed)


def _settle(studio: Studio, parsed: Namespace) -> int:
    class_date_id = class_named(studio, parsed.class_date).id if parsed.class_date else None
    return show_outcome(studio.do(SettleLapsed(class_date_id=class_date_id)), parsed)


def _transfer(studio: Studio, parsed: Namespace) -> int:
    booking_id = ref_id(parsed.booking, "booking", field="booking")
    if parsed.target in ("stays", "leaves"):
        wanted = {person_named(studio, head, field="head") for head in parsed.head}
        seats = tuple(seat.seat_id for seat in studio.ask(SeatsOf(booking_id)) if seat.person_id in wanted)
        if len(seats) < len(wanted):
            raise InvalidError(
                f"A head named is not on {parsed.booking}.", hint="See its class's roster.", field="head"
            )
        asked = AnswerAgain(
            booking_id=booking_id,
            answer=parsed.target,
            seat_ids=seats,
            offer_on=parsed.offer and parsed.target == "leaves",
        )
        return show_outcome(studio.do(asked), parsed)
    if not parsed.person:
        transfer = TransferBooking(
            booking_id=booking_id,
            class_date_id=class_named(studio, parsed.target).id,
            over_the_list=parsed.over_the_list,
        )
        return show_outcome(studio.do(transfer), parsed)
    seat_id = _seat(studio, booking_id, parsed)
    person_id = person_named(studio, parsed.target)
    return show_outcome(
        studio.do(TransferSeat(seat_id=seat_id, person_id=person_id, also_pays=parsed.also_pays)), parsed
    )


def _seat(studio: Studio, booking_id: int, parsed: Namespace) -> int:
    """The seat that is given on: the only one, or that of the head named."""
    seats = studio.ask(SeatsOf(booking_id))
    if parsed.instead_of:
        person_id = person_named(studio, parsed.instead_of, field="instead_of")
        seats = tuple(seat for seat in seats if seat.person_id == person_id)
    if len(seats) != 1:
        raise InvalidError(
            f"{parsed.booking} has {counted(len(seats), 'head')} to choose from.",
            hint="Say whose with --instead-of.",
            field="instead_of",
        )
    return seats[0].seat_id


def _show(page: WaitlistPage, parsed: Namespace) -> int:
    if parsed.json:
        print(
            answer(
                "waitlist",
                lapsed=[_entry(row) for row in page.lapsed],
                open=[_entry(row) for row in page.open],
                waiting=[_entry(row) for row in page.waiting],
            )
        )
        return 0
    if not (page.lapsed or page.open or page.waiting):
        print("Nobody waits, and no offer or hold runs.")
        return 0
    for title, rows in (("Lapsed: kitwright settle", page.lapsed), ("Offers and holds", page.open)):
        if rows:
            say(title)
            table(
                ("Booking", "Payer", "Phone", "Class", "Heads", "", "Until"),
                [
                    (
                        row.ref,
                        row.payer,
                        row.phone,
                        ref("class_date", row.class_date_id),
                        str(row.heads),
                        row.state,
                        show_moment(row.lapses.local) if row.lapses else "by telephone",
                    )
                    for row in rows
                ],
                right=(4,),
            )
            print()
    if page.waiting:
        print("Waitlists, in join order")
        table(
            ("Class", "", "Payer", "Booking", "Heads", "Phone", ""),
            [
                (
                    ref("class_date", row.class_date_id),
                    str(row.place),
                    row.payer,
                    row.ref,
                    str(row.heads),
                    row.phone,
                    "seats are free" if row.fits else "",
                )
                for row in page.waiting
            ],
            right=(1, 4),
        )
    return 0


def _entry(row: PendingRow) -> dict[str, Any]:
    return {
        "booking": row.ref,
        "class": ref("class_date", row.class_date_id),
        "payer": row.payer,
        "phone": row.phone,
        "email": row.email,
        "heads": row.heads,
        "state": row.state,
        "place": row.place or None,
        "lapses": row.lapses,
        "lapsed": row.lapsed,
        "fits": row.fits,
    }

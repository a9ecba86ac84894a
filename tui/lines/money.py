"""The verbs `pay`, `refund`, `charge` and `receipt`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.amounts import read_money
from scheduling.commands.parties import AddCharge, DropCharge
from scheduling.commands.payments import GiveCredit, GiveRefund, MarkBounced, SettleByTerms, TakePayment, UseCredit
from scheduling.model.balances import METHODS
from scheduling.model.refs import ref_id
from scheduling.queries.owed import Today
from scheduling.queries.person_money import Receipt
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import read_day, read_minutes
from tui.lines.answers import answer
from tui.lines.named import person_named
from tui.lines.out import say, show_outcome
from tui.lines.owed import entry_of
from tui.lines.place import open_studio, studio_path
from tui.paper_lines import paper_text


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb in ("pay", "refund", "receipt", "charge"):
        parser.add_argument("booking", metavar="BOOKING", help="a reference such as B231")
    if verb in ("pay", "refund"):
        parser.add_argument("amount", nargs="?", help="the sum; without one all that is to pay, or owed back")
        parser.add_argument("--method", choices=METHODS, default=METHODS[0], help=f"how it was paid ({METHODS[0]})")
        parser.add_argument("--reference", default="", help="the bank's or card's words for it")
        parser.add_argument("--day", help="when it moved (today)")
    if verb == "pay":
        parser.add_argument("--by", metavar="ATTENDEE", help="who pays, where it is a gift")
        parser.add_argument("--deposit", action="store_true", help="only what the deposit lacks")
        parser.add_argument("--credit", metavar="CREDIT", help="pay with a credit such as K03")
        parser.add_argument("--bounced", metavar="PAYMENT", help="say that a payment such as Y12 did not come")
        parser.add_argument("--came-after-all", action="store_true", help="with --bounced: it did come")
    if verb == "refund":
        parser.add_argument("--as-credit", action="store_true", help="as a credit with a last day")
        parser.add_argument("--until", metavar="DAY", help="with --as-credit: its last day")
        parser.add_argument(
            "--noticed", metavar="DAY", help="decide by the terms of that day for heads that an outside file took away"
        )
        parser.add_argument("--past-terms", action="store_true", help="more than the terms give, as a favour")
    if verb == "charge":
        parser.add_argument("amount", nargs="?", help="the sum, with --what")
        parser.add_argument("--what", default="", help="what it is for, as it stands on the invoice")
        parser.add_argument("--overtime", metavar="TIME", help="so long past the end, at the class's rate an hour")
        parser.add_argument("--drop", metavar="WHAT", help="take a charge away, by its words")
    if verb == "receipt":
        parser.add_argument("--invoice", action="store_true", help="as an invoice")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return {"pay": _pay, "refund": _refund, "receipt": _receipt, "charge": _charge}[parsed.verb](studio, parsed)


def _moved(studio: Studio, parsed: Namespace) -> dict[str, Any]:
    """Sum and day as typed."""
    facts = studio.ask(Settings())
    found: dict[str, Any] = {}
    if parsed.amount is not None:
        found["amount_minor"] = read_money(parsed.amount, facts.currency).value
    if parsed.day is not None:
        found["day"] = read_day(parsed.day, today=studio.ask(Today()), day_first=facts.day_first, past=True).value
    return found


def _pay(studio: Studio, parsed: Namespace) -> int:
    if parsed.bounced:
        payment_id = ref_id(parsed.bounced, "payment", field="bounced")
        return show_outcome(studio.do(MarkBounced(payment_id=payment_id, back=parsed.came_after_all)), parsed)
    booking_id = ref_id(parsed.booking, "booking", field="booking")
    moved = _moved(studio, parsed)
    if parsed.credit:
        credit_id = ref_id(parsed.credit, "credit", field="credit")
        moved.pop("day", None)
        return show_outcome(studio.do(UseCredit(credit_id=credit_id, booking_id=booking_id, **moved)), parsed)
    payer_id = person_named(studio, parsed.by, field="by") if parsed.by else None
    return show_outcome(
        studio.do(
            TakePayment(
                booking_id=booking_id,
                method=parsed.method,
                reference=parsed.reference,
                payer_id=payer_id,
                only_deposit=parsed.deposit,
                **moved,
            )
        ),
        parsed,
    )


def _refund(studio: Studio, parsed: Namespace) -> int:
    booking_id = ref_id(parsed.booking, "booking", field="booking")
    if parsed.noticed:
        facts, today = studio.ask(Settings()), studio.ask(Today())
        day = read_day(parsed.noticed, today=today, day_first=facts.day_first, past=True, field="noticed").value
        return show_outcome(studio.do(SettleByTerms(booking_id=booking_id, noticed_on=day)), parsed)
    moved = _moved(studio, parsed)
    if parsed.as_credit:
        moved.pop("day", None)
        if parsed.until:
            facts = studio.ask(Settings())
            today = studio.ask(Today())
            moved["ends_on"] = read_day(parsed.until, today=today, day_first=facts.day_first, field="until").value
        return show_outcome(studio.do(GiveCredit(booking_id=booking_id, past_terms=parsed.past_terms, **moved)), parsed)
    return show_outcome(
        studio.do(
            GiveRefund(
                booking_id=booking_id,
                method=parsed.method,
                reference=parsed.reference,
                past_terms=parsed.past_terms,
                **moved,
            )
        ),
        parsed,
    )


def _charge(studio: Studio, parsed: Namespace) -> int:
    booking_id = ref_id(parsed.booking, "booking", field="booking")
    if parsed.drop:
        return show_outcome(studio.do(DropCharge(booking_id=booking_id, what=parsed.drop)), parsed)
    amount = parsed.amount and read_money(parsed.amount, studio.ask(Settings()).currency).value
    minutes = parsed.overtime and read_minutes(parsed.overtime, field="overtime").value
    command = AddCharge(
        booking_id=booking_id, what=parsed.what, amount_minor=amount or None, overtime_minutes=minutes or None
    )
    return show_outcome(studio.do(command), parsed)


def _receipt(studio: Studio, parsed: Namespace) -> int:
    paper = studio.ask(Receipt(ref_id(parsed.booking, "booking", field="booking"), as_invoice=parsed.invoice))
    if parsed.json:
        money = paper.currency.from_minor
        print(
            answer(
                "receipt",
                paper=paper.kind,
                reference=paper.reference,
                day=paper.day,
                studio=paper.studio,
                payer=paper.payer,
                address=paper.address,
                **{"class": paper.class_row.ref},
                currency=paper.currency.code,
                lines=[{"what": words, "amount": money(amount)} for words, amount in paper.lines],
                entries=[entry_of(entry.what, money(entry.amount), entry) for entry in paper.entries],
                due=money(paper.due),
                held=money(paper.held),
                to_pay=money(paper.to_pay),
                text=paper_text(paper),
            )
        )
        return 0
    for line in paper_text(paper).splitlines():
        say(line)
    return 0

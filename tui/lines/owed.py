"""The verbs `owed` and `money`: what is owed both ways, and the figures of one class."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from decimal import Decimal
from typing import Any

from scheduling.model.prices import Figure
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.class_money import ClassMoney, ClassMoneyPage
from scheduling.queries.owed import Owed, OwedPage
from scheduling.queries.person_money import Entry, PersonMoney, PersonMoneyPage
from scheduling.store.booking_money import BookingMoney
from scheduling.studio import Studio
from scheduling.words import counted, show_day, show_minutes
from tui.lines.answers import answer
from tui.lines.named import class_named, person_named
from tui.lines.out import say, table
from tui.lines.place import open_studio, studio_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "owed":
        parser.add_argument("attendee", nargs="?", help="only this attendee: payments, bookings, credits")
    else:
        parser.add_argument("class_date", metavar="CLASS", help="a reference such as C05, or words of its title or day")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return (_owed if parsed.verb == "owed" else _money)(studio, parsed)


def booking_entry(one: BookingMoney, currency: Currency) -> dict[str, Any]:
    """Where one booking stands, in an answer."""
    return {
        "booking": ref("booking", one.id),
        "class": ref("class_date", one.class_date_id),
        "payer": one.payer,
        "state": one.state,
        "heads": one.heads,
        "price": currency.from_minor(one.price),
        "due": currency.from_minor(one.balance.due),
        "held": currency.from_minor(one.held),
        "to_pay": currency.from_minor(one.balance.to_pay),
        "to_give_back": currency.from_minor(one.balance.to_give_back),
        "to_credit": currency.from_minor(one.balance.to_credit),
        "lines": lines_entry(Figure.of(one.balance.lines()), currency)["lines"],
    }


def lines_entry(figure: Figure, currency: Currency) -> dict[str, Any]:
    """A figure with the lines that it is the sum of."""
    return {
        "sum": currency.from_minor(figure.amount),
        "lines": [{"what": words, "amount": currency.from_minor(amount)} for words, amount in figure.lines],
    }


def entry_of(what: str, amount: Decimal, entry: Entry) -> dict[str, Any]:
    """One movement of money, in an answer."""
    return {
        "day": entry.day,
        "what": what,
        "amount": amount,
        "method": entry.method,
        "reference": entry.reference,
        "payment": ref("payment", entry.id) if entry.id else None,
        "bounced": entry.bounced,
    }


def _owed(studio: Studio, parsed: Namespace) -> int:
    if parsed.attendee:
        return _of_person(studio.ask(PersonMoney(person_named(studio, parsed.attendee))), parsed)
    page = studio.ask(Owed())
    if parsed.json:
        print(_owed_answer(page))
        return 0
    show, code, owed = page.currency.show, page.currency.code, page.liability
    if page.to_give_back:
        print("To give back")
        table(
            ("Booking", "Payer", "Class", "Money", "As credit"),
            [
                (
                    ref("booking", one.id),
                    one.payer,
                    ref("class_date", one.class_date_id),
                    show(one.balance.to_give_back),
                    show(one.balance.to_credit),
                )
                for one in page.to_give_back
            ],
            right=(3, 4),
        )
    else:
        print("Nothing is to be given back.")
    for one in page.to_decide:
        say(
            f"{ref('booking', one.id)} was taken away by an outside file: decide with"
            f" kitwright refund {ref('booking', one.id)} --noticed DAY"
        )
    if page.to_pay:
        print("\nStill to be paid")
        table(
            ("Booking", "Payer", "Class", "To pay"),
            [
                (ref("booking", one.id), one.payer, ref("class_date", one.class_date_id), show(one.balance.to_pay))
                for one in page.to_pay
            ],
            right=(3,),
        )
    if page.credits:
        print("\nCredits with something left")
        table(
            ("Credit", "Of", "Left", "Last day"),
            [
                (
                    one.ref,
                    one.person,
                    show(one.left),
                    show_day(one.ends_on, year=True) + (" (over)" if one.over else ""),
                )
                for one in page.credits
            ],
            right=(2,),
        )
    if owed.classes:
        print("\nHeld for classes to come")
        table(
            ("Class", "Title", "Tier today", "If you call it off", "If all cancel", "As credit"),
            [
                (
                    ref("class_date", one.class_date_id),
                    page.classes[one.class_date_id].title,
                    one.part,
                    show(one.fees + one.deposits),
                    show(one.cash),
                    show(one.credit),
                )
                for one in owed.classes
            ],
            right=(3, 4, 5),
        )
    print()
    say(f"Owed if you call all off: {show(owed.fees)} and deposits {show(owed.deposits)} {code}.")
    say(
        f"Owed if all cancel today: {show(owed.cash)}, as credit {show(owed.credit)},"
        f" deposits kept {show(owed.deposits_kept)} {code}. Credits besides: {show(owed.credits)}."
    )
    print("By the terms kept with each booking; the law of the place goes before them.")
    return 0


def _owed_answer(page: OwedPage) -> str:
    money, owed = page.currency.from_minor, page.liability
    return answer(
        "owed",
        currency=page.currency.code,
        today=page.today,
        to_give_back=[booking_entry(one, page.currency) for one in page.to_give_back],
        to_decide=[ref("booking", one.id) for one in page.to_decide],
        to_pay=[booking_entry(one, page.currency) for one in page.to_pay],
        credits=[
            {"credit": one.ref, "of": one.person, "left": money(one.left), "ends_on": one.ends_on, "over": one.over}
            for one in page.credits
        ],
        if_called_off={"fees": money(owed.fees), "deposits": money(owed.deposits)},
        if_all_cancel={
            "cash": money(owed.cash),
            "credit": money(owed.credit),
            "deposits_kept": money(owed.deposits_kept),
            "by_tier": {
                part: {"cash": money(cash), "credit": money(credit)} for part, (cash, credit) in owed.by_part().items()
            },
        },
        credits_sum=money(owed.credits),
        classes=[
            {
                "class": ref("class_date", one.class_date_id),
                "tier": one.part,
                "bookings": one.bookings,
                "fees": money(one.fees),
                "deposits": money(one.deposits),
                "cash": money(one.cash),
                "credit": money(one.credit),
                "deposits_kept": money(one.deposits_kept),
            }
            for one in owed.classes
        ],
    )


def _of_person(page: PersonMoneyPage, parsed: Namespace) -> int:
    show, money = page.currency.show, page.currency.from_minor
    if parsed.json:
        print(
            answer(
                "person_money",
                attendee=ref("person", page.person_id),
                name=page.name,
                currency=page.currency.code,
                bookings=[
                    booking_entry(one.money, page.currency)
                    | {"entries": [entry_of(entry.what, money(entry.amount), entry) for entry in one.entries]}
                    for one in page.bookings
                ],
                credits=[{"credit": one.ref, "left": money(one.left), "ends_on": one.ends_on} for one in page.credits],
                gifts=[entry_of(entry.what, money(entry.amount), entry) for entry in page.gifts],
                to_pay=money(page.to_pay),
                to_give_back=money(page.to_give_back),
            )
        )
        return 0
    sums = f"to pay {show(page.to_pay)}, to give back {show(page.to_give_back)}"
    say(f"{ref('person', page.person_id)} {page.name}: {sums}")
    for one in page.bookings:
        print()
        say(f"{ref('booking', one.money.id)} {one.class_row.ref} {one.class_row.title}, {one.money.state}")
        for words, amount in one.money.balance.price.lines:
            say(f"  {words:48}{show(amount):>12}")
        for entry in one.entries:
            name = f" {ref('payment', entry.id)}" if entry.id else ""
            what = f"{show_day(entry.day, year=True)} {entry.what}{name}{' (did not come)' if entry.bounced else ''}"
            say(f"  {what:48}{show(-entry.amount):>12}")
    for credit in page.credits:
        say(f"{credit.ref}: {show(credit.left)} left, to the end of {show_day(credit.ends_on, year=True)}")
    return 0


def _money(studio: Studio, parsed: Namespace) -> int:
    page = studio.ask(ClassMoney(class_named(studio, parsed.class_date).id))
    if parsed.json:
        print(_money_answer(page))
        return 0
    show, row = page.currency.show, page.class_row
    say(f"{row.ref} {row.title}, {show_day(row.first_day, year=True)}: fee {show(row.fee_minor)} {page.currency.code}")
    for title, figure in (
        ("A head at the full fee leaves", page.net_per_head),
        ("Costs however many come", page.fixed),
        (f"Left with {counted(row.heads, 'head')} booked", page.left),
    ):
        print()
        say(f"{title:48}{show(figure.amount):>12}")
        for words, amount in figure.lines:
            say(f"  {words:46}{show(amount):>12}")
    print()
    table(
        ("Heads", "", "Leaves", "An hour"),
        [
            (
                str(one.heads),
                ", ".join(one.marks),
                show(one.left.amount),
                "" if one.per_hour is None else show(one.per_hour),
            )
            for one in page.at_heads
        ],
        right=(0, 2, 3),
    )
    work = ", ".join(f"{words} {show_minutes(minutes)}" for words, minutes in page.work)
    print()
    say(f"Break-even: {'never' if page.break_even is None else page.break_even}. Your work: {work}.")
    say(
        f"Received {show(page.received)}, held {show(page.held)}, still to be paid {show(page.to_pay)},"
        f" to give back {show(page.to_give_back)}, as credit {show(page.to_credit)}."
    )
    for warning in page.warnings:
        say(f"Note: {warning}")
    return 0


def _money_answer(page: ClassMoneyPage) -> str:
    currency = page.currency
    return answer(
        "money",
        **{"class": page.class_row.ref},
        currency=currency.code,
        fixed=lines_entry(page.fixed, currency),
        net_per_head=lines_entry(page.net_per_head, currency),
        break_even=page.break_even,
        full_pay_heads=page.full_pay_heads,
        at_heads=[
            {
                "heads": one.heads,
                "marks": one.marks,
                "left": lines_entry(one.left, currency),
                "per_hour": None if one.per_hour is None else currency.from_minor(one.per_hour),
            }
            for one in page.at_heads
        ],
        income=lines_entry(page.income, currency),
        left=lines_entry(page.left, currency),
        per_hour=None if page.per_hour is None else currency.from_minor(page.per_hour),
        work_minutes=dict(page.work),
        received=currency.from_minor(page.received),
        held=currency.from_minor(page.held),
        to_pay=currency.from_minor(page.to_pay),
        to_give_back=currency.from_minor(page.to_give_back),
        to_credit=currency.from_minor(page.to_credit),
        bookings=[booking_entry(one, currency) for one in page.bookings],
        warnings=page.warnings,
    )

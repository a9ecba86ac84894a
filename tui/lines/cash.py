"""The verb `cash`: payments and refunds of a period, or what is expected to come in and go out, day by day."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser, Namespace

from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.queries.cash import CashDates, CashDatesPage, MoneyMoved, MoneyMovedPage
from scheduling.queries.owed import Today
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import read_day, show_day
from tui.lines.answers import answer
from tui.lines.out import say, table
from tui.lines.place import open_studio, studio_path


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("--from", dest="first", metavar="DAY", help="what moved, from this day on")
    parser.add_argument("--to", dest="through", metavar="DAY", help="with --from: through this day (today)")
    parser.add_argument("--days", type=int, default=60, help="without --from: how many days ahead (60)")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.first is None and parsed.through is None:
            if not 0 <= parsed.days <= 1000:
                raise InvalidError("Days go from 0 to 1000.", hint="Give fewer days.", field="days")
            return _expected(studio.ask(CashDates(parsed.days)), parsed)
        if parsed.first is None:
            raise InvalidError("From which day?", hint="Give --from as well.", field="first")
        today = studio.ask(Today())
        first = _day(studio, parsed.first, today, "first")
        through = today if parsed.through is None else _day(studio, parsed.through, today, "through")
        return _moved(studio.ask(MoneyMoved(first, through)), parsed)


def _day(studio: Studio, typed: str, today: dt.date, field: str) -> dt.date:
    day_first = studio.ask(Settings()).day_first
    return read_day(typed, today=today, day_first=day_first, past=True, field=field).value


def _moved(page: MoneyMovedPage, parsed: Namespace) -> int:
    money, show = page.currency.from_minor, page.currency.show
    if parsed.json:
        print(
            answer(
                "money_moved",
                **{"from": page.first},
                currency=page.currency.code,
                through=page.through,
                moved=[
                    {
                        "day": row.day,
                        "booking": ref("booking", row.booking_id),
                        "class": ref("class_date", row.class_date_id),
                        "person": ref("person", row.person_id),
                        "name": row.person,
                        "amount": money(row.amount),
                        "method": row.method,
                        "reference": row.reference,
                        "payment": ref("payment", row.payment_id) if row.payment_id else None,
                        "bounced": row.bounced,
                    }
                    for row in page.rows
                ],
                by_method={
                    method: {"came_in": money(came), "went_back": money(back)}
                    for method, (came, back) in page.by_method.items()
                },
                came_in=money(page.came_in),
                went_back=money(page.went_back),
            )
        )
        return 0
    if page.rows:
        table(
            ("Day", "Booking", "Who", "Class", "Method", "Reference", "Sum"),
            [
                (
                    show_day(row.day, year=True),
                    ref("booking", row.booking_id),
                    row.person,
                    ref("class_date", row.class_date_id),
                    row.method + (" (did not come)" if row.bounced else ""),
                    row.reference,
                    show(row.amount),
                )
                for row in page.rows
            ],
            right=(6,),
        )
    for method, (came, back) in page.by_method.items():
        say(f"{method}: came in {show(came)}, went back {show(back)}")
    span = f"{show_day(page.first, year=True)} to {show_day(page.through, year=True)}"
    say(f"{span}: came in {show(page.came_in)}, went back {show(page.went_back)} {page.currency.code}.")
    return 0


def _expected(page: CashDatesPage, parsed: Namespace) -> int:
    money, show = page.currency.from_minor, page.currency.show
    if parsed.json:
        print(
            answer(
                "cash_dates",
                currency=page.currency.code,
                today=page.today,
                through=page.through,
                dates=[
                    {
                        "day": one.day,
                        "kind": one.kind,
                        "what": one.what,
                        "amount": money(one.amount),
                        "overdue": one.overdue,
                        "booking": ref("booking", one.booking_id) if one.booking_id else None,
                        "class": ref("class_date", one.class_date_id) if one.class_date_id else None,
                        "order": ref("supply_order", one.order_id) if one.order_id else None,
                    }
                    for one in page.dates
                ],
                comes_in=money(page.comes_in),
                goes_out=money(page.goes_out),
            )
        )
        return 0
    if page.dates:
        table(
            ("By the end of", "", "What", "Sum"),
            [
                (show_day(one.day, year=True), "overdue" if one.overdue else "", one.what, show(one.amount))
                for one in page.dates
            ],
            right=(3,),
        )
    say(
        f"To {show_day(page.through, year=True)}: comes in {show(page.comes_in)}, goes out {show(page.goes_out)}"
        f" {page.currency.code}, as far as it is known."
    )
    return 0

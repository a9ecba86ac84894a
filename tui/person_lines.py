"""All that is kept of an attendee, line by line."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.model.prices import Figure
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.people import PersonBooking, PersonPage, PersonRow
from scheduling.queries.person_money import Entry, PersonMoneyPage
from scheduling.store.booking_money import BookingMoney
from scheduling.words import show_day
from tui import class_lines, money_lines
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section, Tone

PERSON_COLUMNS: Final = (Column("", 20), Column("", share=3, least=20), Column("", 28, drop=1))
ERASE: Final = "erase"
_DAY_CELLS: Final = 10
NEWS_OF_STATE: Final[dict[str, Tone]] = {"waitlist": "warn", "cancelled": "quiet", "transferred": "quiet"}


@dataclass
class PersonLines:
    """rows: what to show; about: the whole text of a row that the list may have to cut, by row id.

    classes, people: what Enter opens, by row id. bookings, seats: what a row is about; payments: with whether they
    bounced; credits: by row id.
    """

    rows: list[Row | Section] = field(default_factory=list)
    about: dict[str, str] = field(default_factory=dict)
    classes: dict[str, int] = field(default_factory=dict)
    people: dict[str, int] = field(default_factory=dict)
    bookings: dict[str, int] = field(default_factory=dict)
    payments: dict[str, tuple[int, bool]] = field(default_factory=dict)
    credits: dict[str, int] = field(default_factory=dict)

    def fact(self, name: str, label: str, text: str, right: str = "", tone: Tone = "") -> None:
        """One line of what is kept; a dash where nothing is."""
        one_line = " / ".join(text.splitlines())
        self.rows.append(Row(name, (label, Cell(one_line or "-", tone if one_line else "quiet"), Cell(right, "quiet"))))
        self.about[name] = f"{label}: {one_line}{f' ({right})' if right else ''}" if one_line else ""


def person_lines(
    page: PersonPage, children: Sequence[PersonRow], money: PersonMoneyPage, *, today: dt.date
) -> PersonLines:
    """The page of one attendee; an erased one shows only what stays."""
    lines = PersonLines()
    if page.erased:
        lines.rows.append(Section("Erased for good; bookings keep their places and sums"))
    else:
        _contact(lines, page, today)
        _needs(lines, page, today)
        _family(lines, page, children)
    coming = [one for one in page.bookings if _is_coming(one, today)]
    past = [one for one in page.bookings if not _is_coming(one, today)]
    balances = {one.money.id: one.money for one in money.bookings}
    _bookings(lines, "Bookings to come", sorted(coming, key=_starts), balances, money.currency, today)
    _bookings(lines, "Bookings past", sorted(past, key=_starts, reverse=True), balances, money.currency, today)
    _money(lines, money, today)
    if not page.erased:
        lines.rows.append(Section("Erasing"))
        lines.rows.append(Row(ERASE, ("Erase for good", "asks first; cannot be undone", ""), mark="!", tone="bad"))
        lines.about[ERASE] = (
            "Enter asks, and says what goes and what stays. To keep the person but take them out of the lists, retire"
            " them with x instead."
        )
    return lines


def _contact(lines: PersonLines, page: PersonPage, today: dt.date) -> None:
    lines.rows.append(Section("Contact", "retired: out of the lists" if page.retired else ""))
    lines.fact("email", "E-mail", page.email)
    lines.fact("phone", "Phone", page.phone)
    lines.fact("address", "Address", page.address, "abroad" if page.abroad else "")
    born = f"{page.birth_year}" if page.birth_year else ""
    age = f"{today.year - page.birth_year} this year" if page.birth_year else ""
    lines.fact("birth_year", "Born in", born, age)
    lines.fact("note", "Note", page.note)
    lines.rows.append(Section("Consents"))
    for name, label, answer, on in (
        ("photos", "Photos", page.photos, page.photos_on),
        ("news", "News by e-mail", page.news, page.news_on),
    ):
        said = {"yes": "yes, agreed", "no": "no, said no"}.get(answer, "not asked yet")
        lines.fact(name, label, said, f"on {_day(on)}" if on else "", "good" if answer == "yes" else "")


def _needs(lines: PersonLines, page: PersonPage, today: dt.date) -> None:
    lines.rows.append(Section("Needs", "health notes are shown only here"))
    lines.fact("access_needs", "Access needs", page.access_needs)
    until = f"kept to {_day(page.health_erase_on)}" if page.health_erase_on else ""
    lines.fact("health_note", "Health note", page.health_note, until, "warn")
    if page.health_note and page.health_erase_on:
        lines.about["health_note"] += "; then it is erased for good, also from the history and the copies."


def _family(lines: PersonLines, page: PersonPage, children: Sequence[PersonRow]) -> None:
    if page.guardian_id is None and not children:
        return
    lines.rows.append(Section("Guardian and children"))
    if page.guardian_id is not None:
        lines.fact("guardian", "Guardian", page.guardian, "pays for bookings")
        lines.people["guardian"] = page.guardian_id
    for child in children:
        name = f"child {child.id}"
        lines.fact(name, "Guardian of", f"{child.name}  {child.ref}", f"{child.coming} to come" if child.coming else "")
        lines.people[name] = child.id


def _bookings(
    lines: PersonLines,
    title: str,
    bookings: Sequence[PersonBooking],
    balances: Mapping[int, BookingMoney],
    currency: Currency,
    today: dt.date,
) -> None:
    if not bookings:
        return
    lines.rows.append(Section(title, str(len(bookings))))
    for one in bookings:
        row_id = f"booking {one.booking_id}"
        row = one.class_row
        cancelled = row.state == "cancelled"
        state = "class cancelled" if cancelled else one.state
        tone: Tone = "bad" if cancelled else NEWS_OF_STATE.get(one.state, "")
        payer = "" if one.pays else ", paid by another"
        balance = money_lines.balance_cell(balances.get(one.booking_id), currency)
        stands = balance.text if isinstance(balance, Cell) else balance
        day = show_day(row.first_day, today=today)
        lines.rows.append(
            Row(
                row_id,
                (
                    Cell(f"{one.ref} {state}", tone),
                    class_lines.named(row),
                    Cell(
                        f"{day:<{_DAY_CELLS}} {stands}".rstrip(), balance.tone if isinstance(balance, Cell) else "quiet"
                    ),
                ),
            )
        )
        sums = ""
        if one.booking_id in balances:
            sums = money_lines.sum_words("To pay", Figure.of(balances[one.booking_id].balance.lines()), currency)
        lines.about[row_id] = (
            f"{one.ref}, {state}, {heads_text(one.heads)}{payer}: {class_lines.named(row)},"
            f" {class_lines.when(row, today=today)}, {row.venue}. {sums}".strip()
        )
        lines.classes[row_id] = row.id
        lines.bookings[row_id] = one.booking_id


def _money(lines: PersonLines, money: PersonMoneyPage, today: dt.date) -> None:
    """Credits with something left, then every movement of money, the newest first."""
    show = money.currency.show
    moved: list[tuple[int | None, Entry]] = [(one.money.id, entry) for one in money.bookings for entry in one.entries]
    moved += [(None, gift) for gift in money.gifts]
    if not moved and not money.credits:
        return
    parts = [f"{show(money.to_pay)} to pay"] if money.to_pay else []
    parts += [f"{show(money.to_give_back)} to give back"] if money.to_give_back else []
    lines.rows.append(Section("Money", ", ".join(parts) or "nothing is open"))
    for credit in money.credits:
        row_id = f"credit {credit.id}"
        until = f"{'over since' if credit.over else 'to'} {show_day(credit.ends_on, today=today)}"
        left = Cell(f"{show(credit.left)} left", "quiet" if credit.over else "good")
        lines.rows.append(Row(row_id, (f"Credit {credit.ref}", Cell(until, "warn" if credit.over else ""), left)))
        lines.about[row_id] = (
            f"{credit.ref} of {show(credit.amount)} for {ref('booking', credit.booking_id)}, given"
            f" {show_day(credit.day, year=True)}: {show(credit.used)} used, {show(credit.left)} left. P pays with it."
        )
        lines.credits[row_id] = credit.id
    for n, (booking_id, entry) in enumerate(sorted(moved, key=lambda one: one[1].day, reverse=True)):
        row_id = f"moved {n}"
        name = "" if booking_id is None else f", {ref('booking', booking_id)}"
        how = ", ".join(part for part in (entry.method, entry.reference) if part)
        amount = Cell("did not come" if entry.bounced else show(entry.amount), "warn" if entry.bounced else "")
        what = f"{entry.what}{name}{f', {how}' if how else ''}"
        lines.rows.append(Row(row_id, (show_day(entry.day, today=today), what, amount)))
        number = f"{ref('payment', entry.id)} " if entry.id else ""
        bounced = " It did not come, and counts for nothing; x lets it count again." if entry.bounced else ""
        undone = " x says that it did not come." if entry.id and not entry.bounced else bounced
        lines.about[row_id] = f"{number}{show_day(entry.day, year=True)}: {what}, {show(entry.amount)}.{undone}"
        if booking_id is not None:
            lines.bookings[row_id] = booking_id
        if entry.id:
            lines.payments[row_id] = (entry.id, entry.bounced)


def _starts(one: PersonBooking) -> dt.datetime:
    return one.class_row.starts.utc


def _is_coming(one: PersonBooking, today: dt.date) -> bool:
    return one.class_row.ends.local.date() >= today and one.state not in ("cancelled", "transferred")


def _day(iso: str | None) -> str:
    return show_day(dt.date.fromisoformat(iso), year=True) if iso else ""


def personal_entries(page: PersonPage) -> Iterator[str]:
    """What erasing would take away, by name, of what is there."""
    for label, value in (
        ("name", page.name),
        ("e-mail", page.email),
        ("phone", page.phone),
        ("address", page.address),
        ("birth year", page.birth_year),
        ("guardian", page.guardian_id),
        ("access needs", page.access_needs),
        ("health note", page.health_note),
        ("consents", page.photos_on or page.news_on),
        ("notes", page.note),
    ):
        if value:
            yield label

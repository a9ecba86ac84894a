"""Cards of a contact file made into people: names, addresses, phones and birthdays; groups are left out."""

from __future__ import annotations

import datetime as dt
import re

from scheduling.errors import InvalidError
from scheduling.exchange.emails import read_emails
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.names import joined_name, shown_name
from scheduling.exchange.people import alike, person_key, with_more
from scheduling.exchange.phones import read_phones
from scheduling.exchange.rows import Birthday, Notices, PeopleRead, Person, Phone, Progress, Source
from scheduling.exchange.text import clean, one_line
from scheduling.exchange.vcards import Card, read_cards

_STEP = 1000
_NO_PERSON = ("group", "location", "thing", "application", "device")
_BIRTHDAY = re.compile(r"(?P<year>\d{4}|--)-?(?P<month>\d\d)-?(?P<day>\d\d)(?:T.*|\s.*)?")
_LEAP_YEAR = 2000


def read_contacts(content: bytes, notices: Notices, progress: Progress | None) -> PeopleRead:
    """The people of a contact file, in file order; rows are card numbers.

    Notices tell of unreadable lines, unclosed cards, groups, organisations and cards of one person.
    Raises InvalidError: there is no card with a name, address or number; or `progress` says stop.
    """
    cards, old = read_cards(content)
    if old:
        notices.add(0, "encoding", f"The file is not all UTF-8; it is read as {old}. Look at the accents.")
    people: list[Person] = []
    at: dict[str, int] = {}
    for index, card in enumerate(cards):
        if index % _STEP == 0 and progress is not None and not progress(index, len(cards)):
            raise InvalidError("The reading was stopped.", hint="Nothing of the file is kept.", field="stopped")
        person = _person(card, notices)
        if person is None:
            continue
        known = at.get(person.key)
        if known is None:
            at[person.key] = len(people)
            people.append(person)
        else:
            people[known] = with_more(people[known], person)
            notices.add(card.number, "cards of one person", f"is {person.name} again; it counts once.")
    if not people and not any(card.properties for card in cards):
        raise InvalidError("The contact file holds nobody.", hint="Give a file with contacts.", field="file")
    if progress is not None:
        progress(len(cards), len(cards))
    return PeopleRead(
        people=tuple(people),
        sign_ups=(),
        ask=(),
        notices=notices.all(),
        mapping=Mapping(),
        header=(),
        source=Source("contacts", old or "utf-8"),
        alike=alike(people, notices),
    )


def _person(card: Card, notices: Notices) -> Person | None:
    kind = _kind(card)
    if kind in _NO_PERSON:
        notices.add(card.number, "cards of groups or things", f"“{_title(card)}” is a {kind}, not a person; left out.")
        return None
    emails = _emails(card, notices)
    phones = _phones(card, notices)
    name, is_organisation = _name(card, kind)
    if card.bad_lines:
        lines = "1 line" if card.bad_lines == 1 else f"{card.bad_lines} lines"
        notices.add(card.number, "cards with unreadable lines", f"{lines} of this card could not be read.")
    if not name:
        if not emails and not phones:
            notices.add(card.number, "cards without a name", "names nobody and is left out.")
            return None
        name = (*emails, *(phone.typed for phone in phones))[0]
        notices.add(card.number, "cards without a name", f"has no name; {name} stands for it.")
    if not card.is_closed:
        notices.add(card.number, "cards never closed", f"the card of {name} is never closed; it may lack something.")
    if is_organisation:
        notices.add(card.number, "organisations", f"{name} is an organisation, not a person.")
    uid, note = card.first("UID"), card.first("NOTE")
    return Person(
        name=shown_name(name),
        typed=name,
        key=person_key(shown_name(name), emails[0] if emails else ""),
        row=card.number,
        emails=emails,
        phones=phones,
        birthday=_birthday(card),
        address=_address(card),
        note=clean(note.text) if note else "",
        source_id=one_line(uid.text) if uid else "",
        is_organisation=is_organisation,
    )


def _kind(card: Card) -> str:
    for name in ("KIND", "X-ADDRESSBOOKSERVER-KIND"):
        found = card.first(name)
        if found:
            return found.text.strip().casefold()
    return "group" if card.all("MEMBER") or card.all("X-ADDRESSBOOKSERVER-MEMBER") else ""


def _title(card: Card) -> str:
    found = card.first("FN") or card.first("N")
    return one_line(found.parts()[0])[:60] if found else "without a name"


def _name(card: Card, kind: str) -> tuple[str, bool]:
    """The name, and whether it is an organisation's: FN, else given and family name of N, else nickname, else ORG."""
    organisation = card.first("ORG")
    company = one_line(organisation.parts()[0]) if organisation else ""
    shown_as = card.first("X-ABSHOWAS")
    is_company = kind == "org" or (shown_as is not None and shown_as.text.strip().upper() == "COMPANY")
    parts = found.parts() if (found := card.first("N")) else []
    built = joined_name(*(parts[1:2] or [""]), *(parts[0:1] or [""]))
    formatted = one_line(full.text) if (full := card.first("FN")) else ""
    nickname = one_line(nick.text) if (nick := card.first("NICKNAME")) else ""
    name = formatted or built or nickname
    if not name:
        return company, bool(company)
    return name, is_company or (name == company and not built)


def _emails(card: Card, notices: Notices) -> tuple[str, ...]:
    found: list[str] = []
    for entry in card.all("EMAIL"):
        read = read_emails(entry.text)
        if read.odd:
            notices.add(card.number, "e-mail addresses", f"{read.odd}.")
        found += [email for email in read.found if email.casefold() not in (known.casefold() for known in found)]
    return tuple(found)


def _phones(card: Card, notices: Notices) -> tuple[Phone, ...]:
    """Numbers, the preferred first and fax numbers last."""
    found: list[Phone] = []
    for entry in sorted(card.all("TEL"), key=lambda entry: entry.has_type("fax")):
        read, odd = read_phones(entry.text)
        if odd:
            notices.add(card.number, "phone numbers", f"{odd}.")
        numbers = {(phone.number, phone.extension) for phone in found}
        found += [phone for phone in read if (phone.number, phone.extension) not in numbers]
    return tuple(found)


def _birthday(card: Card) -> Birthday | None:
    """BDAY with or without a year (RFC 6350 4.3.1); impossible dates and free text are none."""
    entry = card.first("BDAY")
    found = _BIRTHDAY.fullmatch(entry.text.strip()) if entry else None
    if not entry or not found:
        return None
    year = None if found["year"] == "--" else int(found["year"])
    if str(year) in [word for words in entry.params.values() for word in words]:
        year = None  # a private parameter says which year stands for "not known"
    try:
        day = dt.date(year or _LEAP_YEAR, int(found["month"]), int(found["day"]))
    except ValueError:
        return None
    return Birthday(day.month, day.day, year)


def _address(card: Card) -> str:
    entry = card.first("ADR")
    if not entry:
        return ""
    box, extra, street, town, region, code, country = [clean(part) for part in (entry.parts() + [""] * 7)[:7]]
    place = " ".join(part for part in (code, town) if part)
    return "\n".join(part for part in (box, street, extra, place, region, country) if part)

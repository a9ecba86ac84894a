"""Messages to attendees: templates she edits, filled for one household; how they look as a file or a link.

One message goes to one address and says nothing of anyone outside that household (domain.md, rule 6).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from scheduling.errors import InvalidError

if TYPE_CHECKING:
    import datetime as dt

_FIELD = re.compile(r"\{([a-z_]+)\}")
FIELDS: Final[dict[str, str]] = {
    "name": "who it is for, by name",
    "heads": "the heads of this household, by name",
    "class": "title of the class",
    "day": "its first day",
    "times": "all its days and hours",
    "place": "the venue, or live online",
    "address": "the venue's address, or the link to join",
    "bring": "what to bring",
    "to_pay": "what is still to pay",
    "back": "what goes back",
    "credit": "what is theirs as credit",
    "until": "until when an offer stands",
    "studio": "the studio's name",
}


@dataclass(frozen=True, slots=True)
class Template:
    """A kind of message; is_news: only for those who said yes to news."""

    name: str
    subject: str
    body: str
    is_news: bool = False


DEFAULTS: Final[tuple[Template, ...]] = (
    Template(
        "confirmation",
        "Your place: {class}, {day}",
        "Dear {name},\n\nthank you for signing up for {class}. A place is kept for {heads}.\n\n"
        "{times}\n{place}\n{address}\n\nStill to pay: {to_pay}.\n\n{studio}\n",
    ),
    Template(
        "reminder",
        "Soon: {class}, {day}",
        "Dear {name},\n\n{class} is coming up for {heads}.\n\n{times}\n{place}\n{address}\n\n{bring}\n\n{studio}\n",
    ),
    Template(
        "what to bring",
        "What to bring to {class}",
        "Dear {name},\n\nfor {class} on {day}:\n\n{bring}\n\n{studio}\n",
    ),
    Template(
        "offer",
        "A seat is free: {class}, {day}",
        "Dear {name},\n\na seat on {class} has become free for {heads}.\n\n{times}\n{place}\n\n"
        "It is kept for you {until}. Please say yes or no by then.\n\n{studio}\n",
    ),
    Template(
        "moved",
        "New date: {class}, {day}",
        "Dear {name},\n\n{class} had to be moved. It is now held:\n\n{times}\n{place}\n\n"
        "Please say whether this suits {heads}. If it does not, all that you paid goes back.\n\n{studio}\n",
    ),
    Template(
        "cancelled",
        "Called off: {class}, {day}",
        "Dear {name},\n\n{class} on {day} cannot be held, and I am sorry for it.\n\n"
        "What goes back to you: {back}. As credit: {credit}.\n\n{studio}\n",
    ),
    Template(
        "thanks",
        "Thank you for coming to {class}",
        "Dear {name},\n\nthank you for being at {class}. A line on what went well and what did not would help me.\n\n"
        "{studio}\n",
    ),
    Template("news", "News from {studio}", "Dear {name},\n\n\n\n{studio}\n", is_news=True),
)


def check_template(subject: str, body: str) -> None:
    """Raise InvalidError for a field that is not known, or a subject of several lines."""
    if "\n" in subject or "\r" in subject:
        raise InvalidError("A subject is one line.", hint="Put the rest into the text.", field="subject")
    for text, field in ((subject, "subject"), (body, "body")):
        for name in _FIELD.findall(text):
            if name not in FIELDS:
                raise InvalidError(
                    f"There is no field {{{name}}}.", hint=f"Use one of {', '.join(sorted(FIELDS))}.", field=field
                )


def filled(text: str, values: Mapping[str, str]) -> str:
    """The text with its fields filled once; what is filled in is never read as a field itself."""
    return _FIELD.sub(lambda match: values.get(match[1], match[0]), text)


def one_line(text: str) -> str:
    """Text for a header: no line ends or other signs that are not text, so that nothing slips in as a header."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def as_mail(
    *, sender: str, sender_name: str, address: str, subject: str, body: str, public_id: str, moment: dt.datetime
) -> EmailMessage:
    """The message as RFC 5322 mail to one address.

    The Message-ID is the message's own public id, so that a copy sent twice by hand is known as the same one.
    Raises InvalidError where an address cannot stand in a mail.
    """
    mail = EmailMessage(policy=SMTP)
    mail["From"] = _address(sender, sender_name)
    mail["To"] = _address(address, "")
    mail["Subject"] = one_line(subject)
    mail["Date"] = format_datetime(moment)
    mail["Message-ID"] = f"<{public_id}@{sender.rpartition('@')[2] or 'localhost'}>"
    mail.set_content(body)
    return mail


def _address(address: str, name: str) -> Address:
    try:
        return Address(display_name=one_line(name), addr_spec=address)
    except (ValueError, IndexError) as error:
        raise InvalidError(
            f"{one_line(address)!r} is not an address that mail can go to.", hint="Mend it.", field="address"
        ) from error


def mailto(address: str, subject: str, body: str) -> str:
    """A link that opens the message in her own mail program (RFC 6068)."""
    text = body.replace("\r\n", "\n").replace("\n", "\r\n")
    return f"mailto:{quote(address, safe='@+')}?subject={quote(one_line(subject), safe='')}&body={quote(text, safe='')}"

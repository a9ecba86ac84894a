"""Drafts, the log of what went to whom, templates, and how mail is sent."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from email.message import EmailMessage

from scheduling.errors import ConflictError, NotFoundError
from scheduling.model.messages import DEFAULTS, Template, as_mail, mailto
from scheduling.model.refs import ref
from scheduling.store.rows import Reader, from_utc_text


@dataclass(frozen=True, slots=True)
class MessageRow:
    """One message. state: draft, sending (in doubt once nobody sends), sent, failed, dropped; at: since when, UTC."""

    id: int
    public_id: str
    template: str
    class_date_id: int | None
    address: str
    subject: str
    body: str
    state: str
    at: dt.datetime
    trouble: str

    @property
    def class_ref(self) -> str:
        return "" if self.class_date_id is None else ref("class_date", self.class_date_id)

    @property
    def link(self) -> str:
        return mailto(self.address, self.subject, self.body)


@dataclass(frozen=True, slots=True)
class MailSettings:
    """How mail leaves; ready: all that is needed but the password is there."""

    sender: str
    sender_name: str
    host: str
    port: int
    user: str
    security: str

    @property
    def ready(self) -> bool:
        return bool(self.sender and self.host)


@dataclass(frozen=True, slots=True)
class Messages:
    """Messages, newest first; of some states, of one class, or one by its number."""

    states: tuple[str, ...] = ("draft", "sending", "failed")
    class_date_id: int | None = None
    message_id: int | None = None
    at_most: int = 500

    def fetch(self, reader: Reader) -> tuple[MessageRow, ...]:
        marks = ", ".join("?" * len(self.states))
        rows = reader.rows(
            f"""SELECT * FROM message WHERE (id = ? OR (? IS NULL AND state IN ({marks})))
                  AND (? IS NULL OR class_date_id = ?) ORDER BY id DESC LIMIT ?""",  # noqa: S608  only marks
            (
                self.message_id,
                self.message_id,
                *self.states,
                self.class_date_id,
                self.class_date_id,
                self.at_most,
            ),
        )
        if self.message_id is not None and not rows:
            raise NotFoundError(f"There is no message {self.message_id}.", hint="Look in the list.", field="message_id")
        return tuple(
            MessageRow(
                row["id"],
                row["public_id"],
                row["template"],
                row["class_date_id"],
                row["address"],
                row["subject"],
                row["body"],
                row["state"],
                from_utc_text(row["state_at"]),
                row["trouble"],
            )
            for row in rows
        )


@dataclass(frozen=True, slots=True)
class Mail:
    """How mail leaves this studio."""

    def fetch(self, reader: Reader) -> MailSettings:
        row = reader.first("SELECT * FROM studio")
        if row is None:
            raise NotFoundError("The file holds no studio yet.", hint="Set one up first.")
        return MailSettings(
            row["mail_from"], row["name"], row["mail_host"], row["mail_port"], row["mail_user"], row["mail_security"]
        )


@dataclass(frozen=True, slots=True)
class AsMail:
    """One message as mail, for a file or the server; raises ConflictError without a sender's address."""

    message_id: int

    def fetch(self, reader: Reader) -> EmailMessage:
        (row,) = Messages(message_id=self.message_id).fetch(reader)
        settings = Mail().fetch(reader)
        if not settings.sender:
            raise ConflictError("There is no sender's address yet.", hint="Set the address that mail goes from.")
        return as_mail(
            sender=settings.sender,
            sender_name=settings.sender_name,
            address=row.address,
            subject=row.subject,
            body=row.body,
            public_id=row.public_id,
            moment=reader.now,
        )


@dataclass(frozen=True, slots=True)
class Templates:
    """Every template: hers first in the place of the one it came with."""

    def fetch(self, reader: Reader) -> tuple[Template, ...]:
        own = {
            row["name"]: Template(row["name"], row["subject"], row["body"], bool(row["is_news"]))
            for row in reader.rows("SELECT * FROM message_template ORDER BY name")
        }
        known = [own.pop(one.name, one) for one in DEFAULTS]
        return (*known, *own.values())

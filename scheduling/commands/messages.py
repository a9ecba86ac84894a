"""Messages: templates kept, drafts made and dropped, and the log of what was sent to whom."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from scheduling.commands.drafting import STATES, draft_for_class, home_values, keep_draft, template_named
from scheduling.commands.drafting import Household as _Household
from scheduling.commands.found import found, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.messages import DEFAULTS, check_template
from scheduling.model.refs import ref
from scheduling.store.rows import Transaction
from scheduling.words import counted

Audience = Literal["seated", "offered", "waiting", "all"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MessagesKept(Outcome):
    """drafts: how many were drafted; message_id: the one that was changed, where it was one."""

    drafts: int = 0
    message_id: int = 0
    state: str = ""


class SetMail(Request[MessagesKept]):
    """Set from which address and through which server of her own mail goes; None leaves a value as it is.

    The password is asked for each session and never kept. security: starttls on 587 as a rule, tls on 465.
    """

    mail_from: Annotated[str, Field(max_length=200)] | None = None
    mail_host: Annotated[str, Field(max_length=200)] | None = None
    mail_port: Annotated[int, Field(ge=1, le=65535)] | None = None
    mail_user: Annotated[str, Field(max_length=200)] | None = None
    mail_security: Literal["starttls", "tls"] | None = None

    def run(self, tx: Transaction) -> MessagesKept:
        if self.mail_from and self.mail_from.count("@") != 1:
            raise InvalidError("The sender is an e-mail address.", hint="Write it as name@place.", field="mail_from")
        columns = {name: getattr(self, name) for name in self.model_fields_set if getattr(self, name) is not None}
        tx.update("studio", 1, columns)
        return MessagesKept(summary="Changed how mail is sent", said="How mail is sent is kept.")


class SetTemplate(Request[MessagesKept]):
    """Keep her own wording of a template, or a new one; fields stand in braces, such as {name}."""

    name: Annotated[str, Field(min_length=1, max_length=40)]
    subject: Annotated[str, Field(min_length=1, max_length=200)]
    body: Annotated[str, Field(min_length=1, max_length=20000)]
    is_news: bool | None = None

    def run(self, tx: Transaction) -> MessagesKept:
        check_template(self.subject, self.body)
        known = {one.name: one.is_news for one in DEFAULTS}
        row = tx.first("SELECT id, is_news FROM message_template WHERE name = ?", (self.name,))
        is_news = known.get(self.name, bool(row["is_news"]) if row else False) if self.is_news is None else self.is_news
        columns: dict[str, str | int | None] = {"subject": self.subject, "body": self.body, "is_news": int(is_news)}
        if row is None:
            tx.insert("message_template", {"name": self.name, **columns})
        else:
            tx.update("message_template", row["id"], columns)
        return MessagesKept(summary=f"Changed the template {self.name}", said=f"The template {self.name} is kept.")


def _drafted(count: int, where: str) -> str:
    """What is said of so many new drafts; of none too, so that nobody looks for them."""
    if not count:
        return f"No message is drafted for {where}: nobody has an address, or each has this draft or got these words."
    return f"{counted(count, 'message is', 'messages are')} drafted for {where}: page 0 shows them before they go."


class DraftMessages(Request[MessagesKept]):
    """Draft a template for the households of a class, its waitlist, or one booking. Nothing is sent by it."""

    template: str
    class_date_id: int
    audience: Audience = "seated"
    booking_id: int | None = None

    def run(self, tx: Transaction) -> MessagesKept:
        found(tx, "class_date", self.class_date_id)
        count = draft_for_class(
            tx, self.class_date_id, self.template, audience=self.audience, booking_id=self.booking_id
        )
        states = ", ".join(f"'{state}'" for state in STATES[self.audience])
        without = int(
            tx.value(
                f"""SELECT count(DISTINCT booking.id) FROM booking JOIN person ON person.id = booking.payer_id
                    WHERE class_date_id = ? AND state IN ({states}) AND person.email = ''""",  # noqa: S608  ours
                (self.class_date_id,),
            )
        )
        where = ref("class_date", self.class_date_id)
        return MessagesKept(
            summary=f"Drafted {counted(count, 'message')} ({self.template}) for {where}",
            said=_drafted(count, where),
            warnings=(f"{counted(without, 'booking has', 'bookings have')} no e-mail of the payer: telephone.",)
            if without
            else (),
            drafts=count,
        )


class DraftNews(Request[MessagesKept]):
    """Draft news for those who said yes to it, one for each address, and for nobody else."""

    template: str = "news"

    def run(self, tx: Transaction) -> MessagesKept:
        wording = template_named(tx, self.template)
        if not wording.is_news:
            raise ConflictError(f"{self.template} is no news template.", hint="Draft it for a class.", field="template")
        homes: dict[str, _Household] = {}
        for row in tx.rows(
            """SELECT id, name, email FROM person WHERE news = 'yes' AND email <> '' AND retired_at IS NULL
                 AND erased_at IS NULL AND guardian_id IS NULL ORDER BY id"""
        ):
            home = homes.setdefault(row["email"].casefold(), _Household(row["email"], called=row["name"]))
            home.people.add(row["id"])
        studio = {"studio": str(tx.value("SELECT name FROM studio"))}
        count = sum(
            keep_draft(tx, wording, home.address, home.people, studio | home_values(tx, home), None)
            for home in homes.values()
        )
        return MessagesKept(
            summary=f"Drafted {counted(count, 'message')} ({self.template})",
            said=_drafted(count, "those who said yes to news"),
            drafts=count,
        )


class ChangeDraft(Request[MessagesKept]):
    """Change the wording of one draft, or drop it."""

    message_id: int
    subject: Annotated[str, Field(min_length=1, max_length=300)] | None = None
    body: Annotated[str, Field(min_length=1, max_length=20000)] | None = None
    drop: bool = False

    def run(self, tx: Transaction) -> MessagesKept:
        row = found(tx, "message", self.message_id)
        if row["state"] not in ("draft", "failed"):
            raise ConflictError(f"The message {self.message_id} is {row['state']}.", hint="Draft a new one.")
        columns: dict[str, str | int | None] = {
            name: getattr(self, name) for name in ("subject", "body") if getattr(self, name) is not None
        }
        if self.drop:
            columns |= {"state": "dropped", "state_at": tx.now_text}
        tx.update("message", self.message_id, columns)
        word = "is dropped" if self.drop else "is changed"
        return MessagesKept(
            summary=f"Message {self.message_id} {word}",
            said=f"The message to {row['address']} {word}.",
            message_id=self.message_id,
        )


class MarkMessage(Request[MessagesKept]):
    """Keep how far a message has got: sending before it leaves, then sent or failed. Never taken back.

    One that stays at sending after a crash is in doubt and is not sent again by itself: she says which it was.
    Raises ConflictError where the step may not follow, so that two windows never send one message twice.
    """

    undoable: ClassVar[bool] = False
    message_id: int
    state: Literal["sending", "sent", "failed", "draft"]
    trouble: Annotated[str, Field(max_length=500)] = ""

    def run(self, tx: Transaction) -> MessagesKept:
        row = found(tx, "message", self.message_id)
        before = text(row, "state")
        if before not in {"sending": ("draft", "failed"), "sent": ("sending", "draft", "failed")}.get(
            self.state, ("sending",)
        ):
            raise ConflictError(f"The message {self.message_id} is {before}.", hint="Look at the log of messages.")
        columns = {"state": self.state, "state_at": tx.now_text, "trouble": self.trouble}
        tx.update("message", self.message_id, columns)
        return MessagesKept(
            summary=f"Message {self.message_id} is {self.state}",
            said=f"The message to {row['address']} is {self.state}.",
            message_id=self.message_id,
            state=self.state,
        )

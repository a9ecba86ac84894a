"""Messages as rows: drafts and the log of what went to whom, texts to edit, and one message as it would arrive."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from scheduling.clock import wall_time
from scheduling.model.messages import FIELDS, Template
from scheduling.queries.messages import MailSettings, MessageRow
from tui import cells, class_lines
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section, Tone

COLUMNS: Final = (
    Column("", 16),
    Column("", 18),
    Column("", share=2, least=16),
    Column("", share=3, least=12, drop=1),
)
PAGE_COLUMNS: Final = (Column("", 9), Column("", share=1, least=20))
VIEWS: Final[dict[str, str]] = {
    "drafts": "drafts: what waits to be looked at and sent",
    "sent": "sent: what went to whom, the newest first",
    "texts": "texts: the wording of each kind of message, and how mail is sent",
}
EMPTY: Final[dict[str, str]] = {
    "drafts": "No draft waits. n makes one; M does so on a class or a booking.",
    "sent": "Nothing was sent yet. v shows the drafts.",
    "texts": "There are no texts.",
}
MAIL: Final = "mail"
LINK: Final = "link"
_STATES: Final[dict[str, tuple[str, str, Tone]]] = {
    "draft": ("draft", "", ""),
    "sending": ("in doubt", "?", "warn"),
    "sent": ("sent", "+", "good"),
    "failed": ("not sent", "!", "bad"),
    "dropped": ("dropped", "x", "quiet"),
}
_WIDE: Final = 70


def message_row(row: MessageRow, zone: str) -> Row:
    """One message under COLUMNS; what was sent with its day in `zone`."""
    word, sign, tone = _STATES.get(row.state, (row.state, "", ""))
    if row.state != "draft":
        word += f" {wall_time(row.at, zone).local:%-d %b}"
    what = f"{row.template} {row.class_ref}".strip()
    return Row(row.id, (Cell(word, tone), what, row.address, Cell(row.subject, "quiet")), sign, tone)


def message_about(row: MessageRow, zone: str) -> str:
    """The message in a sentence: state, since when, and what went wrong."""
    since = class_lines.show_utc(row.at, zone)
    word = {
        "draft": f"Draft since {since}; Enter shows it as it would arrive, S sends it",
        "sending": f"The program stopped while it was sent ({since}): look in your mail account, then Enter says which",
        "sent": f"Sent {since}",
        "failed": f"Not sent {since}: {row.trouble}; S tries again",
    }.get(row.state, row.state)
    return f"{word}. To {row.address}: {row.subject}"


def text_rows(texts: Sequence[Template], mail: MailSettings) -> list[Row | Section]:
    """The texts, then how mail is sent."""
    rows: list[Row | Section] = [Section("Texts", "Enter changes one; n makes a new one")]
    rows += [
        Row(("text", one.name), (one.name, "news: only to a yes" if one.is_news else "", one.subject, ""))
        for one in texts
    ]
    rows.append(Section("How mail is sent", "the password is asked once a session and never kept"))
    by = f"{mail.host}, port {mail.port}, {mail.security}" if mail.host else "no server yet: drafts go out as files"
    rows.append(Row(MAIL, ("from", mail.user or "-", mail.sender or "no address yet", by)))
    return rows


def text_about(one: Template) -> str:
    """The first words of a text, and its fields."""
    return f"{one.name}: {' '.join(one.body.split())}"


def page_rows(row: MessageRow, mail: MailSettings) -> list[Row | Section]:
    """One message as it would arrive, line by line."""
    word, sign, tone = _STATES.get(row.state, (row.state, "", ""))
    rows: list[Row | Section] = [
        Row("state", ("State", Cell(f"{word}: {row.trouble}" if row.trouble else word, tone)), sign, tone),
        Row("from", ("From", mail.sender or "no address yet: set it among the texts of page 0")),
        Row("to", ("To", row.address)),
        Row("subject", ("Subject", row.subject)),
        Section("Text"),
    ]
    n = 0
    for line in row.body.splitlines():
        for part in cells.wrap(line, _WIDE) or [""]:
            rows.append(Row(("line", n), ("", part)))
            n += 1
    rows.append(Section("In your own mail program", "Enter puts the link on the clipboard; e keeps it as a file"))
    rows.append(Row(LINK, ("Link", row.link)))
    return rows


def fields_hint() -> str:
    """What may stand in braces in a text."""
    return "fields: " + " ".join(f"{{{name}}}" for name in FIELDS)


def views_rows() -> list[Row]:
    """The lists of the page, to pick from."""
    return [Row(name, tuple(about.split(": ", 1))) for name, about in VIEWS.items()]


def sent_words(sent: int, failed: Sequence[tuple[int, str]], in_doubt: int, whole: int) -> str:
    """What a round of sending came to."""
    parts = [f"{sent} of {whole} sent"]
    parts += [f"{len(failed)} not: {failed[0][1]}"] if failed else []
    parts += [f"{in_doubt} in doubt and left alone"] if in_doubt else []
    stopped = whole - sent - len(failed) - in_doubt
    parts += [f"{stopped} stay drafts"] if stopped else []
    return "; ".join(parts) + "."

"""The verb `message`: drafts, files, sending through her own server, the log, and templates."""

from __future__ import annotations

import getpass
import os
import sys
from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.commands.messages import ChangeDraft, DraftMessages, DraftNews, MarkMessage, SetMail, SetTemplate
from scheduling.errors import InvalidError
from scheduling.mail_files import keep_as_files
from scheduling.model.refs import ref_id
from scheduling.queries.messages import Mail, MessageRow, Messages, Templates
from scheduling.studio import Studio
from tui.day_ways import PASSWORD
from tui.lines.answers import answer
from tui.lines.named import class_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path

DEEDS = (
    "list",
    "log",
    "show",
    "draft",
    "news",
    "save",
    "send",
    "drop",
    "was-sent",
    "not-sent",
    "templates",
    "template",
    "mail",
)


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("deed", nargs="?", default="list", choices=DEEDS, help="what to do (list the drafts)")
    parser.add_argument("named", nargs="*", help="message numbers; for draft a template; for template its name")
    parser.add_argument("--class", dest="class_date", metavar="CLASS", help="draft, list, log, send: of this class")
    parser.add_argument("--booking", metavar="BOOKING", help="draft: only to this booking")
    parser.add_argument(
        "--to", choices=("seated", "offered", "waiting", "all"), default="seated", help="draft: to whom"
    )
    parser.add_argument("--folder", default=".", help="save: where the .eml files go")
    parser.add_argument("--all", action="store_true", help="send, save: every draft")
    parser.add_argument("--subject", help="template: the subject, with fields such as {name}")
    parser.add_argument("--text", help="template: a file with the wording, or - for standard input")
    for name in ("from", "host", "user"):
        parser.add_argument(f"--{name}", dest=f"mail_{name}", help="mail: how it leaves")
    parser.add_argument("--port", type=int, dest="mail_port", help="mail: 587, or 465 with tls")
    parser.add_argument(
        "--security", choices=("starttls", "tls"), dest="mail_security", help="mail: never without either"
    )


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        deeds = {"draft": _draft, "save": _save, "send": _send, "templates": _templates, "template": _template}
        if parsed.deed in deeds:
            return deeds[parsed.deed](studio, parsed)
        if parsed.deed in ("list", "log", "show"):
            return _list(studio, parsed)
        if parsed.deed == "news":
            return show_outcome(studio.do(DraftNews(template=parsed.named[0] if parsed.named else "news")), parsed)
        if parsed.deed == "mail":
            names = ("mail_from", "mail_host", "mail_port", "mail_user", "mail_security")
            given = {name: getattr(parsed, name) for name in names if getattr(parsed, name) is not None}
            return show_outcome(studio.do(SetMail(**given)), parsed)
        (number, *more) = _numbers(studio, parsed)
        if more:
            raise InvalidError("One message at a time.", hint="Give one number.", field="named")
        if parsed.deed == "drop":
            return show_outcome(studio.do(ChangeDraft(message_id=number, drop=True)), parsed)
        state = "sent" if parsed.deed == "was-sent" else "draft"
        return show_outcome(studio.do(MarkMessage(message_id=number, state=state)), parsed)


def _numbers(studio: Studio, parsed: Namespace) -> list[int]:
    if parsed.all or (parsed.class_date and not parsed.named):
        class_date_id = class_named(studio, parsed.class_date).id if parsed.class_date else None
        return sorted(row.id for row in studio.ask(Messages(("draft",), class_date_id)))
    if not parsed.named or not all(text.isdecimal() and len(text) < 12 for text in parsed.named):
        raise InvalidError("Which message?", hint=f"kitwright message {parsed.deed} 12", field="named")
    return [int(text) for text in parsed.named]


def _draft(studio: Studio, parsed: Namespace) -> int:
    if len(parsed.named) != 1 or not parsed.class_date:
        raise InvalidError("Which template, for which class?", hint="kitwright message draft reminder --class C05")
    command = DraftMessages(
        template=parsed.named[0],
        class_date_id=class_named(studio, parsed.class_date).id,
        audience=parsed.to,
        booking_id=ref_id(parsed.booking, "booking", field="booking") if parsed.booking else None,
    )
    return show_outcome(studio.do(command), parsed)


def _list(studio: Studio, parsed: Namespace) -> int:
    if parsed.deed == "show":
        rows = tuple(row for number in _numbers(studio, parsed) for row in studio.ask(Messages(message_id=number)))
    else:
        states = ("draft", "sending", "failed") if parsed.deed == "list" else ("sending", "sent", "failed")
        class_date_id = class_named(studio, parsed.class_date).id if parsed.class_date else None
        rows = studio.ask(Messages(states, class_date_id))
    if parsed.json:
        print(answer("messages", messages=[_entry(row) for row in rows]))
        return 0
    if parsed.deed == "show":
        for row in rows:
            say(f"{row.id}, {_state(row)}. To: {row.address}")
            say(f"Subject: {row.subject}")
            print()
            for line in row.body.splitlines():
                say(line)
            say(row.link)
        return 0
    if not rows:
        print("No message is there.")
        return 0
    table(
        ("", "What", "Class", "To", "Subject", "State"),
        [(str(row.id), row.template, row.class_ref, row.address, row.subject, _state(row)) for row in rows],
        right=(0,),
    )
    return 0


def _state(row: MessageRow) -> str:
    """The state in words; one at sending that nobody sends any more is in doubt."""
    words = {"sending": "in doubt: was-sent or not-sent?"}.get(row.state, row.state)
    return f"{words}: {row.trouble}" if row.trouble else words


def _entry(row: MessageRow) -> dict[str, Any]:
    return {
        "message": row.id,
        "what": row.template,
        "class": row.class_ref or None,
        "to": row.address,
        "subject": row.subject,
        "text": row.body,
        "state": row.state,
        "since": row.at,
        "trouble": row.trouble,
        "link": row.link,
        "uid": row.public_id,
    }


def _save(studio: Studio, parsed: Namespace) -> int:
    folder = typed_path(parsed.folder)
    files = [str(path) for path in keep_as_files(studio, _numbers(studio, parsed), folder)]
    if parsed.json:
        print(answer("saved", files=files))
        return 0
    for name in files:
        say(name)
    print(
        f"{len(files)} messages are written; once your mail program has sent one, say so: kitwright message was-sent N"
    )
    return 0


def _send(studio: Studio, parsed: Namespace) -> int:
    from scheduling.sending import send_drafts

    numbers = _numbers(studio, parsed)
    settings = studio.ask(Mail())
    password = ""
    if settings.user and settings.ready:
        password = os.environ.get(PASSWORD, "")
        if not password:
            if not sys.stdin.isatty():
                raise InvalidError(
                    "The mail password is not there.", hint=f"Set {PASSWORD} for this call.", field="password"
                )
            password = getpass.getpass(f"Password of {settings.user} (not kept): ")
    done = send_drafts(studio, numbers, password)
    if parsed.json:
        failed = [{"message": number, "trouble": trouble} for number, trouble in done.failed]
        print(answer("sent", sent=done.sent, failed=failed, in_doubt=done.in_doubt))
        return 0 if not done.failed else 1
    say(f"{len(done.sent)} sent, {len(done.failed)} not, {len(done.in_doubt)} in doubt and left alone.")
    for number, trouble in done.failed:
        say(f"  {number}: {trouble}")
    return 0 if not done.failed else 1


def _templates(studio: Studio, parsed: Namespace) -> int:
    rows = studio.ask(Templates())
    if parsed.json:
        print(answer("templates", templates=rows))
        return 0
    for row in rows:
        say(f"{row.name}{' (news)' if row.is_news else ''}: {row.subject}")
    return 0


def _template(studio: Studio, parsed: Namespace) -> int:
    if len(parsed.named) != 1:
        raise InvalidError("Which template?", hint="kitwright message templates", field="named")
    known = {row.name: row for row in studio.ask(Templates())}.get(parsed.named[0])
    if not parsed.text:
        if known is None:
            raise InvalidError(f"There is no template {parsed.named[0]}.", hint="Give its wording with --text.")
        say(f"Subject: {known.subject}")
        print()
        for line in known.body.splitlines():
            say(line)
        return 0
    try:
        body = sys.stdin.read() if parsed.text == "-" else typed_path(parsed.text).read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InvalidError(f"{parsed.text} cannot be read as text.", hint="Give a text file.", field="text") from error
    subject = parsed.subject or (known.subject if known else parsed.named[0])
    return show_outcome(studio.do(SetTemplate(name=parsed.named[0], subject=subject, body=body)), parsed)

"""Sending drafts through her own mail server: TLS always, one message an address, and never the same one twice.

Each message is kept as sending before it leaves and as sent once the server has taken it. One found at sending later
was in the middle of it when the program stopped: whether it left is not known, so it is never sent again by itself.
"""

from __future__ import annotations

import smtplib
import ssl
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from scheduling.commands.messages import MarkMessage
from scheduling.errors import ConflictError, SchedulingError, StoreError
from scheduling.queries.messages import AsMail, Mail, MailSettings, Messages
from scheduling.studio import Studio

WAIT_SECONDS = 30


@dataclass(frozen=True, slots=True)
class Sent:
    """sent, failed: message numbers; in_doubt: found at sending, so left alone."""

    sent: tuple[int, ...]
    failed: tuple[tuple[int, str], ...]
    in_doubt: tuple[int, ...]


def send_drafts(
    studio: Studio,
    message_ids: Sequence[int],
    password: str,
    *,
    trust: ssl.SSLContext | None = None,
    after_each: Callable[[int], bool] = lambda _done: True,
) -> Sent:
    """Send these drafts, in this order.

    password: of the mail account; used for this and not kept. trust: which certificates count; None: the machine's.
    after_each: called with how many have been dealt with; False stops there, the others stay drafts.
    Raises ConflictError where the mail settings are not complete, StoreError where the server cannot be reached or
    refuses the sign-in: nothing is marked then.
    """
    settings = studio.ask(Mail())
    if not settings.ready:
        raise ConflictError("There is no sender or mail server yet.", hint="Set both in the mail settings.")
    sent: list[int] = []
    failed: list[tuple[int, str]] = []
    in_doubt: list[int] = []
    server = _signed_in(settings, password, trust or ssl.create_default_context())
    try:
        for done, message_id in enumerate(message_ids):
            if done and not after_each(done):
                break
            (row,) = studio.ask(Messages(message_id=message_id))
            if row.state == "sending":
                in_doubt.append(message_id)
                continue
            try:
                mail = studio.ask(AsMail(message_id))
                studio.do(MarkMessage(message_id=message_id, state="sending"))
            except SchedulingError as error:
                failed.append((message_id, error.message))
                continue
            try:
                server.send_message(mail)
            except smtplib.SMTPServerDisconnected as error:
                # Whether it was taken before the line broke is not known: it stays in doubt.
                raise StoreError(
                    "The mail server broke off; one message is in doubt.", hint="Look in the log of messages."
                ) from error
            except smtplib.SMTPException as error:
                trouble = _plain(error)
                studio.do(MarkMessage(message_id=message_id, state="failed", trouble=trouble))
                failed.append((message_id, trouble))
                continue
            studio.do(MarkMessage(message_id=message_id, state="sent"))
            sent.append(message_id)
    finally:
        try:
            server.quit()
        except smtplib.SMTPException:
            server.close()
    return Sent(tuple(sent), tuple(failed), tuple(in_doubt))


def _signed_in(settings: MailSettings, password: str, trust: ssl.SSLContext) -> smtplib.SMTP:
    """A connection under TLS, signed in where there is a user; never a sign or letter in the clear."""
    try:
        if settings.security == "tls":
            server: smtplib.SMTP = smtplib.SMTP_SSL(settings.host, settings.port, timeout=WAIT_SECONDS, context=trust)
        else:
            server = smtplib.SMTP(settings.host, settings.port, timeout=WAIT_SECONDS)
            server.starttls(context=trust)
        if settings.user:
            server.login(settings.user, password)
    except smtplib.SMTPAuthenticationError as error:
        raise StoreError("The mail server refuses the sign-in.", hint="Check user and password.") from error
    except (smtplib.SMTPException, ssl.SSLError) as error:
        raise StoreError(
            f"The mail server does not offer a safe way in: {_plain(error)}.", hint="Check host, port and security."
        ) from error
    except OSError as error:
        raise StoreError(
            f"The mail server {settings.host} cannot be reached.", hint="Check the host and the line, then try again."
        ) from error
    return server


def _plain(error: Exception) -> str:
    """What a server said, in one line without its code bytes."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, reason = next(iter(error.recipients.values()))
        return f"the address is refused ({code} {reason.decode('utf-8', 'replace')[:200]})"
    if isinstance(error, smtplib.SMTPResponseException):
        words = error.smtp_error
        text = words.decode("utf-8", "replace") if isinstance(words, bytes) else str(words)
        return f"{error.smtp_code} {text[:200]}"
    return str(error)[:200] or type(error).__name__

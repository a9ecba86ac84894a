"""The keys that do something with messages: send, keep as a file, say that one was sent, change, drop."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from textual.worker import get_current_worker

from scheduling import commands
from scheduling.commands.request import Outcome
from scheduling.errors import SchedulingError
from scheduling.mail_files import keep_as_files
from scheduling.model.messages import check_template
from scheduling.queries.messages import Mail, MessageRow, Messages
from tui import message_lines
from tui.calendar_files import folder_for
from tui.messages import Worked, Working, WorkRefused
from tui.screens.studio_page import StudioPage
from tui.typed_paths import typed_path
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import Choice, ChoiceField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.lines_field import LinesField
from tui.widgets.secret_field import SecretField

SENDING = "Sending"


class MailKeys(StudioPage):
    """A page with messages; `message_here` is the one under the cursor, `drafts_here` all that could go."""

    is_sending = False

    def message_here(self) -> MessageRow | None:
        """The message under the cursor, None where there is none."""
        raise NotImplementedError

    def drafts_here(self) -> Sequence[MessageRow]:
        """The drafts, and those that did not go, that the page shows."""
        raise NotImplementedError

    # Sending

    def action_send(self) -> None:
        """Ask which drafts go, then for the password where it is not known yet, then send beside the page."""
        if self.is_sending:
            self.says.note("Mail is on its way; Esc stops after the message that is being sent.")
            return
        mail, here, drafts = self.studio.ask(Mail()), self.message_here(), self.drafts_here()
        if not mail.ready:
            self.says.note("There is no mail server yet: e keeps drafts as files for your own mail program.")
            self.set_mail()
            return
        ids = {"all": sorted(one.id for one in drafts)}
        answers = []
        if here is not None and here.state in ("draft", "failed"):
            ids["one"] = [here.id]
            answers.append(Answer("one", f"Send the one to {here.address}"))
        if len(drafts) > 1 or (drafts and not answers):
            answers.append(Answer("all", f"Send all {len(drafts)}" if len(drafts) > 1 else "Send it"))
        if not answers:
            self.says.note("No draft is here to be sent.")
            return

        def answered(answer: str | None) -> None:
            if answer in ids:
                self._with_password(lambda password: self._send(ids[answer], password))

        about = f"From {mail.sender} through {mail.host}, one message an address. Sent mail cannot be taken back."
        answers.append(Answer("no", "Do not send yet"))
        self.app.push_screen(Ask("Send now?", answers, details=about), answered)

    def _with_password(self, go_on: Callable[[str], None]) -> None:
        mail, known = self.studio.ask(Mail()), self.kitwright.known_password
        if not mail.user or known is not None:
            go_on(known or "")
            return

        def typed(password: str | None) -> None:
            if password is not None:
                self.kitwright.mail_password = password
                go_on(password)

        form = Form(
            SecretField("password", "Password", hint="asked once until you leave the program; never kept in a file"),
            title=f"Password of {mail.user} at {mail.host}",
            keep="Send",
        )
        self.app.push_screen(FormSheet(form, lambda values: str(values["password"])), typed)

    def _send(self, ids: Sequence[int], password: str) -> None:
        self.is_sending = True
        self.says.working(SENDING, 0, len(ids))
        self.run_worker(lambda: self._send_beside(ids, password), thread=True, group="mail", exclusive=True)

    def _send_beside(self, ids: Sequence[int], password: str) -> None:
        """Runs in a thread with a connection of its own; ends in a message."""
        from scheduling.sending import send_drafts  # reaches for the network, so only when mail is sent

        worker = get_current_worker()

        def stepped(done: int) -> bool:
            self.post_message(Working(SENDING, done, len(ids)))
            return not worker.is_cancelled

        try:
            with self.studio.again() as own:
                result = send_drafts(own, ids, password, trust=self.kitwright.mail_trust, after_each=stepped)
                self.post_message(Worked(SENDING, (result, len(ids)), own.revision))
        except SchedulingError as error:
            self.post_message(WorkRefused(SENDING, error))

    def on_working(self, message: Working) -> None:
        if message.job == SENDING:
            message.stop()
            self.refresh_page()
            self.says.working(SENDING, message.done, message.whole)

    def on_worked(self, message: Worked) -> None:
        if message.job != SENDING or not isinstance(message.result, tuple):
            return
        message.stop()
        self.is_sending = False
        sent, whole = message.result
        self.refresh_page()
        said = message_lines.sent_words(len(sent.sent), sent.failed, len(sent.in_doubt), whole)
        self.says.done(said, can_undo=False)

    def on_work_refused(self, message: WorkRefused) -> None:
        if message.job != SENDING:
            return
        message.stop()
        self.is_sending = False
        self.kitwright.mail_password = None  # it may have been the wrong one: it is asked for again
        self.refresh_page()
        if isinstance(message.error, SchedulingError):
            self.says.refuse(message.error)

    def action_step_back(self) -> None:
        """While mail is on its way, stop after the message that is being sent."""
        if self.is_sending:
            self.workers.cancel_group(self, "mail")
            self.says.note("Stopping after the message that is being sent; the others stay drafts.")
        else:
            super().action_step_back()

    # Files, and what she sent herself

    def action_export(self) -> None:
        """Keep the message under the cursor, or all drafts, as files for her own mail program."""
        here, drafts = self.message_here(), self.drafts_here()
        if here is None:
            self.says.note("There is no message under the cursor.")
            return
        choices = [Choice("one", f"this one, to {here.address}")]
        if len(drafts) > 1:
            choices.append(Choice("all", f"all {len(drafts)} drafts"))
        folder = str(self.kitwright.calendar_folder or folder_for(self.studio.path))

        def keep(values: Mapping[str, Any]) -> str:
            ids = [here.id] if values["which"] == "one" else sorted(one.id for one in drafts)
            files = keep_as_files(self.studio, ids, typed_path(str(values["folder"])))
            count = f"{len(files)} files are" if len(files) > 1 else f"{files[0].name} is"
            return f"{count} in {files[0].parent}. Once your mail program has sent one, t says so."

        def kept(said: str | None) -> None:
            if said is not None:
                self.says.done(said, can_undo=False)

        form = Form(
            ChoiceField("which", "Which", choices, value="one"),
            TextField("folder", "Folder", value=folder, hint="each becomes message-<number>.eml there"),
            title="Keep as files (.eml)",
        )
        self.app.push_screen(FormSheet(form, keep), kept)

    def action_tick(self) -> None:
        """Keep that the message was sent, by her own mail program or in the end."""
        here = self.message_here()
        if here is None:
            self.says.note("There is no message under the cursor.")
        elif here.state == "sent":
            self.says.note("It is kept as sent already.")
        else:
            self.ask_whether_sent(here)

    def ask_whether_sent(self, here: MessageRow) -> None:
        """Sent or not: nothing that is in doubt is ever sent again by itself."""

        def answered(answer: str | None) -> None:
            if answer == "sent" or (answer == "draft" and here.state == "sending"):
                self.perform(commands.MarkMessage(message_id=here.id, state="sent" if answer == "sent" else "draft"))

        answers = [Answer("no", "Leave it as it is"), Answer("sent", "It was sent")]
        if here.state == "sending":
            answers.append(Answer("draft", "It was not sent: make it a draft again"))
        about = "Look among the sent mail of your account. This is not taken back by u."
        self.app.push_screen(Ask(f"Has the message to {here.address} been sent?", answers, details=about), answered)

    # Changing and dropping

    def action_change(self) -> None:
        here = self.message_here()
        if here is None or here.state not in ("draft", "failed"):
            self.says.note("Only a draft is changed.")
            return

        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.ChangeDraft(message_id=here.id, subject=values["subject"], body=values["body"])
            )

        form = Form(
            TextField("subject", "Subject", value=here.subject),
            LinesField("body", "Text", value=here.body, lines=9, is_needed=True),
            title=f"To {here.address}",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_cancel(self) -> None:
        here = self.message_here()
        if here is None or here.state not in ("draft", "failed"):
            self.says.note("Only a draft is dropped.")
        else:
            self.perform(commands.ChangeDraft(message_id=here.id, drop=True))

    # How mail is sent

    def set_mail(self) -> None:
        """Her own server: kept in the file, without the password."""
        mail = self.studio.ask(Mail())

        def keep(values: Mapping[str, Any]) -> Outcome:
            port = str(values["mail_port"])
            return self.studio.do(
                commands.SetMail(
                    mail_from=values["mail_from"],
                    mail_host=values["mail_host"],
                    mail_port=int(port) if port.isdecimal() else None,
                    mail_user=values["mail_user"],
                    mail_security=values["mail_security"],
                )
            )

        security = [Choice("starttls", "starttls, as a rule on 587"), Choice("tls", "tls, as a rule on 465")]
        form = Form(
            TextField("mail_from", "From", value=mail.sender, is_needed=False, hint="your address"),
            TextField("mail_host", "Server", value=mail.host, is_needed=False, hint="for sending, from your provider"),
            TextField("mail_port", "Port", value=str(mail.port), read=_port),
            TextField("mail_user", "User", value=mail.user, is_needed=False, hint="for signing in; may be empty"),
            ChoiceField("mail_security", "Security", security, value=mail.security),
            title="How mail is sent; never without encryption",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)


def _port(typed: str) -> str:
    from scheduling.errors import InvalidError

    if not typed.isdecimal() or not 1 <= int(typed) <= 65535:
        raise InvalidError("That is no port.", hint="As a rule 587 or 465.", field="mail_port")
    return ""


def checked_text(typed: str) -> str:
    """What is typed into a subject, checked for fields that are not known; raises InvalidError."""
    check_template(typed, "")
    return ""


def one_message(page: StudioPage, message_id: int) -> MessageRow:
    """The message as it is now; raises NotFoundError."""
    (row,) = page.studio.ask(Messages(message_id=message_id))
    return row

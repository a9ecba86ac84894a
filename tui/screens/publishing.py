"""Publishing a calendar: what would change for those who read it is shown first, and only then is it sent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from textual import work
from textual.widget import Widget
from textual.worker import get_current_worker

from scheduling.errors import InvalidError, SchedulingError
from scheduling.queries.publishing import Collection
from scheduling.studio import Studio
from scheduling.words import show_day
from tui.calendar_files import folder_for
from tui.cells import Column
from tui.keys import bindings
from tui.messages import Worked, Working, WorkRefused
from tui.publish_ways import FILE, HOWS, NAMES, How, Sent, WantedPlace, look, send
from tui.screens.studio_page import StudioPage
from tui.typed_paths import typed_path
from tui.widgets.ask import Answer, Ask
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.listing import Listing
from tui.widgets.row import Cell, Row, Section, Tone
from tui.widgets.rows import Rows
from tui.widgets.secret_field import SecretField

if TYPE_CHECKING:
    from scheduling.publishing import Ahead

LOOKING: Final = "Looking what would change; Esc stops"
SENDING: Final = "Sending; Esc stops after the entry that is on its way"
WARNING: Final = "A calendar that was sent cannot be taken back: others may have read it already."
_TONES: Final[dict[str, Tone]] = {"new": "good", "changed": "warn", "taken back": "bad"}
_COLUMNS: Final = (Column("", 11), Column("", 15), Column("", share=1, least=20))
_EMPTY: Final = "No place is chosen. Press c to say which calendar goes where; what would change is shown first."


class PublishScreen(StudioPage):
    """c says which calendar goes where and looks what would change there; Ctrl+O sends it, after a question."""

    BINDINGS = bindings("keep", "change", "find", "step_back", keep="send", change="place")
    AUTO_FOCUS = "Rows"
    title_words = "Publish a calendar"

    def __init__(self) -> None:
        super().__init__()
        self._wanted: WantedPlace | None = None
        self._ahead: Ahead | None = None
        self._seen_revision = -1
        self._job = ""

    def body(self) -> Iterable[Widget]:
        yield Listing(Rows[Any](_COLUMNS, empty=_EMPTY))

    def on_mount(self) -> None:
        self.action_change()

    def reload(self) -> None:
        """What would change was asked of the place itself, so it stays until it is looked at again."""

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    # Which calendar, and where

    def action_change(self) -> None:
        if self._job:
            self.says.note("Wait until that is done, or stop it by Esc.")
            return

        def chosen(how: Any) -> None:
            if how is not None:
                self._ask_place(how)

        self.app.push_screen(Ask("Which calendar goes where?", HOWS, details=WARNING), chosen)

    def _ask_place(self, how: How) -> None:
        form = self._folder_form() if how == "folder" else self._collection_form(how)

        def keep(values: Mapping[str, Any]) -> WantedPlace:
            if how == "folder":
                return WantedPlace("folder", str(_folder(str(values["folder"]))), link=_link(str(values["link"])))
            from scheduling.reaching import checked_url

            user, password = str(values["user"]), str(values["password"])
            if bool(user) != bool(password):
                field = "password" if user else "user"
                raise InvalidError("Who signs in has a password, and a password has a user.", field=field)
            url = checked_url(str(values["url"]))
            return WantedPlace(how, url, user, password=password, trust=self.kitwright.collection_trust)

        def given(wanted: WantedPlace | None) -> None:
            if wanted is not None:
                self._look(wanted)

        self.app.push_screen(FormSheet(form, keep, details=f"{NAMES[how]}. Nothing is sent yet."), given)

    def _folder_form(self) -> Form:
        from scheduling.calendar.save import written_before
        from scheduling.calendars_out import link_in

        folder = self.kitwright.calendar_folder or folder_for(self.studio.path)
        if self._wanted is not None and self._wanted.how == "folder":
            folder = Path(self._wanted.url)
        return Form(
            TextField("folder", "Folder", value=str(folder), hint=f"the file in it is called {FILE}"),
            TextField(
                "link",
                "Read at",
                value=link_in(written_before(folder / FILE)),
                is_needed=False,
                hint="the address at which others subscribe, if it is known: https://...",
            ),
            title="Into which folder?",
            keep="See what would change",
        )

    def _collection_form(self, how: How) -> Form:
        kept = self.studio.ask(Collection("classes" if how == "classes" else "private"))
        url, user = kept.url, kept.user
        if self._wanted is not None and self._wanted.how == how:
            url, user = self._wanted.url, self._wanted.user
        about = "of the collection, from your provider: https://..."
        if how != "classes":
            about = "of a collection that you alone read: links to join and prep stand in it"
        return Form(
            TextField("url", "Address", value=url, hint=about),
            TextField("user", "User", value=user, is_needed=False, hint="as your provider calls you; kept"),
            SecretField("password", "Password", is_needed=False, hint="asked each time; never kept in a file"),
            title="To which collection?",
            keep="See what would change",
        )

    # Looking

    def _look(self, wanted: WantedPlace) -> None:
        self._wanted, self._ahead, self._job = wanted, None, LOOKING
        self._rows.show([])
        self.says.working(LOOKING)
        self._look_beside(wanted, self.studio)

    @work(thread=True, exclusive=True, group="publish")
    def _look_beside(self, wanted: WantedPlace, studio: Studio) -> None:
        """Runs in a thread with a connection of its own; ends in a message."""
        worker = get_current_worker()
        try:
            with studio.again() as own:
                revision = own.revision
                ahead = look(own, wanted)
        except SchedulingError as error:
            if not worker.is_cancelled:
                self.post_message(WorkRefused(LOOKING, error))
        else:
            if not worker.is_cancelled:
                self.post_message(Worked(LOOKING, ahead, revision))

    def on_worked(self, message: Worked) -> None:
        self._job = ""
        if isinstance(message.result, Sent):
            sent, self._ahead, self._wanted = message.result, None, self._without_password()
            if self._wanted is not None and self._wanted.how == "folder":
                self.kitwright.calendar_folder = Path(self._wanted.url)
            self._show([Section("What was sent"), Row("sent", (Cell("sent", "good"), "", sent.said))], sent.notices)
            self.says.done(sent.said, can_undo=False)
            return
        ahead: Any = message.result
        self._ahead, self._seen_revision = ahead, message.revision
        self._show(_lines(ahead), ahead.notices)
        if ahead.steps:
            self.says.note(f"{_counts(ahead)}. Nothing is sent yet: Ctrl+O sends it.")
        else:
            self.says.note(f"Nothing is to be sent: all {ahead.same} entries there are as they are here.")

    def _show(self, lines: list[Any], notices: Iterable[str]) -> None:
        rows = [Row(("notice", n), (Cell("note", "warn"), "", text)) for n, text in enumerate(notices)]
        self._rows.show([*lines, *rows])
        self._rows.focus()

    def on_rows_opened(self, event: Rows.Opened) -> None:
        """A line that was cut is said whole."""
        item = self._rows.cursor_item
        if isinstance(item, Row):
            self.says.note(" ".join(cell if isinstance(cell, str) else cell.text for cell in item.cells if cell))

    # Sending

    def action_keep(self) -> None:
        if self._job:
            self.says.note("Wait until that is done, or stop it by Esc.")
        elif self._wanted is None or self._ahead is None:
            self.says.note("See first what would change: press c.")
        elif not self._ahead.steps and self._wanted.how != "folder":
            self.says.note("There is nothing to send.")
        elif self._seen_revision != self.studio.revision:
            self._look(self._wanted)
            self.says.note("The studio has changed meanwhile: look again, then send it.")
        else:
            self._ask_to_send(self._wanted, self._ahead)

    def _ask_to_send(self, wanted: WantedPlace, ahead: Ahead) -> None:
        def answered(answer: str | None) -> None:
            if answer == "send":
                self._job = SENDING
                self.says.working(SENDING)
                self._send_beside(wanted, self.studio)

        where = Path(wanted.url) / FILE if wanted.how == "folder" else wanted.url
        details = (
            f"{NAMES[wanted.how]} goes to {where}. {WARNING} If it breaks off, publish again: nothing is sent twice."
        )
        answers = (Answer("send", f"Send it: {_counts(ahead)}"), Answer("no", "Do not send it yet"))
        self.app.push_screen(Ask("Send it now?", answers, details=details), answered)

    @work(thread=True, exclusive=True, group="publish")
    def _send_beside(self, wanted: WantedPlace, studio: Studio) -> None:
        """Runs in a thread with a connection of its own; ends in a message, also where it was stopped."""
        worker = get_current_worker()

        def each(done: int, whole: int) -> bool:
            self.post_message(Working(SENDING, done, whole))
            return not worker.is_cancelled

        try:
            with studio.again() as own:
                sent = send(own, wanted, each)
                self.post_message(Worked(SENDING, sent, own.revision))
        except SchedulingError as error:
            self.post_message(WorkRefused(SENDING, error))

    def on_working(self, message: Working) -> None:
        if self._job == message.job:
            self.says.working(message.job, message.done, message.whole)

    def on_work_refused(self, message: WorkRefused) -> None:
        self._job, self._ahead, self._wanted = "", None, self._without_password()
        self._rows.show([])
        if isinstance(message.error, SchedulingError):
            self.says.refuse(message.error)

    def action_step_back(self) -> None:
        if self._job == LOOKING:
            self.workers.cancel_group(self, "publish")
            self._job = ""
            self.says.note("Stopped. Nothing was sent.")
        elif self._job:
            self.workers.cancel_group(self, "publish")
            self.says.note("Stopping after the entry that is on its way.")
        else:
            super().action_step_back()

    def _without_password(self) -> WantedPlace | None:
        wanted = self._wanted
        return wanted and WantedPlace(wanted.how, wanted.url, wanted.user, wanted.link)


def _lines(ahead: Ahead) -> list[Any]:
    rows = [
        Row(
            ("step", n),
            (
                Cell(step.what, _TONES[step.what]),
                Cell(show_day(step.day, year=True) if step.day else "", "quiet"),
                step.title,
            ),
        )
        for n, step in enumerate(ahead.steps)
    ]
    return [Section("What would change for those who read it", _counts(ahead)), *rows]


def _counts(ahead: Ahead) -> str:
    """Such as "3 new, 1 taken back, 20 as they are"."""
    parts = [f"{count} {what}" for what in _TONES if (count := sum(step.what == what for step in ahead.steps))]
    return ", ".join([*parts, f"{ahead.same} as they are"])


def _folder(typed: str) -> Path:
    folder = typed_path(typed).absolute()
    if not folder.is_dir():
        raise InvalidError(f"{folder} is no folder.", hint="Give one that is there.", field="folder")
    return folder


def _link(typed: str) -> str:
    if typed and not typed.startswith(("https://", "http://")):
        raise InvalidError("That is no address.", hint="Begin it with https://", field="link")
    return typed

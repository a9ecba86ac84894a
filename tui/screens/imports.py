"""Reading an outside file: what it means is shown, questions are answered, and only then is it kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from threading import Event
from typing import Any, Final

from textual import work
from textual.widget import Widget
from textual.worker import get_current_worker

from scheduling.amounts import read_count
from scheduling.commands.importing import FileKept
from scheduling.errors import SchedulingError
from scheduling.exchange.heads import MOST_HEADS
from scheduling.queries.classes import Classes, ClassRow
from scheduling.studio import Studio
from tui import class_lines
from tui.checked import count
from tui.choices import zone_choices
from tui.file_reading import BusySeen, Progress, Seen, SignUpsSeen, Wanted, look_at
from tui.folders import places
from tui.import_lines import CLASS_OF_REST, IMPORT_COLUMNS, ImportLines, SignUpLine, busy_lines, sign_up_lines
from tui.keys import bindings
from tui.messages import Worked, Working, WorkRefused
from tui.reading_settings import Setting
from tui.screens.studio_page import StudioPage
from tui.typed_paths import home_folder, typed_path
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.listing import Listing
from tui.widgets.path_lookup import PathLookup
from tui.widgets.picker import Picked, Picker
from tui.widgets.row import Row
from tui.widgets.rows import Rows

READING: Final = "Reading the file; Esc stops"
KEEPING: Final = "Making it ready to be kept; Esc stops"
_PUTTING_IN: Final = "Keeping it"
_STOPPING: Final = "Stopping"
_EMPTY: Final = (
    "No file is chosen. Press n to choose one: sign-ups or people as CSV, XLSX or contact cards, busy times as .ics."
)
_STOPPED: Final = "Stopped. Nothing was kept."
_STEPS: Final = 50
_MOST_WAITS: Final = 30
"""Waits of two seconds for another window that saves."""


class ImportScreen(StudioPage):
    """n chooses a file, Ctrl+O keeps what is shown, Esc stops the reading or leaves without keeping."""

    BINDINGS = bindings("keep", "find", "step_back", new="choose a file")
    AUTO_FOCUS = "Rows"
    title_words = "Read a file"

    def __init__(self) -> None:
        super().__init__()
        self._wanted: Wanted | None = None
        self._seen: Seen | None = None
        self._seen_revision = -1
        self._lines = ImportLines()
        self._job = ""
        self._stops = Event()

    def body(self) -> Iterable[Widget]:
        yield Listing(Rows[Any](IMPORT_COLUMNS, empty=_EMPTY, draw=_drawn))
        yield Aside()

    def on_mount(self) -> None:
        self.action_new()

    def reload(self) -> None:
        """What the file would do is worked out anew when the studio has changed since it was."""
        stale = self._seen is not None and self._seen_revision != self.studio.revision
        if stale and self._wanted is not None and not self._job:
            self._look(self._wanted)

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    # Choosing and reading

    def action_new(self) -> None:
        start = f"{self._wanted.path.parent}/" if self._wanted else f"{home_folder()}/"

        def chosen(picked: Picked | None) -> None:
            if picked is not None:
                self._look(Wanted(typed_path(picked.typed)))

        self.app.push_screen(
            PathLookup(
                "Which file? Type its path.",
                places,
                typed=start,
                empty="Nothing here is called like that. Take letters away, or type a path from / or ~/",
            ),
            chosen,
        )

    def _look(self, wanted: Wanted) -> None:
        self._wanted, self._job = wanted, READING
        self._stops.clear()
        self.says.working(READING)
        self._read(wanted, self.studio)

    @work(thread=True, exclusive=True, group="import")
    def _read(self, wanted: Wanted, studio: Studio) -> None:
        worker = get_current_worker()
        try:
            with studio.again() as own:
                revision = own.revision
                seen = look_at(own, wanted, self._progress(READING))
        except SchedulingError as error:
            if not worker.is_cancelled:
                self.post_message(WorkRefused(READING, error))
        else:
            if not worker.is_cancelled:
                self.post_message(Worked(READING, seen, revision))

    def _progress(self, job: str) -> Progress:
        """Tells the page, now and then, how far the worker is; stops it when it is cancelled."""
        worker = get_current_worker()
        last = 0

        def told(done: int, whole: int) -> bool:
            nonlocal last
            step = done * _STEPS // whole if whole else 0
            if step != last:
                last = step
                self.post_message(Working(job, done, whole))
            return not (worker.is_cancelled or self._stops.is_set())

        return told

    def on_working(self, message: Working) -> None:
        if message.job == KEEPING == self._job and message.done == message.whole:
            self._job = _PUTTING_IN
            self.says.working(_PUTTING_IN)
        elif self._job == message.job:
            self.says.working(message.job, message.done, message.whole)

    def on_work_refused(self, message: WorkRefused) -> None:
        self._job = ""
        if message.job == READING and self._seen is not None:
            self._wanted = self._seen.wanted  # what is shown stays, with the answers that it was read by
        if isinstance(message.error, SchedulingError):
            is_stopped = message.error.field == "stopped"
            self.says.note(_STOPPED) if is_stopped else self.says.refuse(message.error)

    def on_worked(self, message: Worked) -> None:
        self._job = ""
        if isinstance(message.result, FileKept):
            self._show(None)
            self.was_kept(message.result)
        elif isinstance(message.result, SignUpsSeen | BusySeen):
            self._seen_revision = message.revision
            self._show(message.result)
            self.says.note(_next_step(message.result))

    def _show(self, seen: Seen | None) -> None:
        self._seen = seen
        if seen is None:
            self._lines = ImportLines()
        else:
            self._lines = sign_up_lines(seen) if isinstance(seen, SignUpsSeen) else busy_lines(seen)
        self._rows.show(self._lines.rows)
        self._rows.focus()
        self._say_about()

    # Keys on what is shown

    def _say_about(self) -> None:
        item = self._rows.cursor_item
        text = item.about() if isinstance(item, SignUpLine) else self._lines.about.get(self._rows.cursor_id, "")
        self.query_one(Aside).show(text)

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self, event: Rows.Opened) -> None:
        if event.row_id == CLASS_OF_REST:
            self._ask_class()
        elif event.row_id in self._lines.asks:
            question = self._lines.asks[event.row_id]
            if isinstance(question, str):
                self._ask_zone(question)
            elif isinstance(question, Setting):
                self._choose(question)
            else:
                self._ask(question)
        elif isinstance(item := self._rows.cursor_item, SignUpLine) and item.entry.what in ("left out", "new"):
            self._ask_heads(item)

    def action_keep(self) -> None:
        if self._job:
            self.says.note("Wait until the file is read." if self._job == READING else "It is being kept.")
        elif self._seen is None:
            self.says.note("There is nothing to keep yet. Press n to choose a file.")
        elif not self._seen.may_keep:
            self.says.note(_next_step(self._seen))
        elif self._seen_revision != self.studio.revision and self._wanted is not None:
            self._look(self._wanted)
            self.says.note("The studio has changed meanwhile: look again, then keep it.")
        else:
            self._job = KEEPING
            self._stops.clear()
            self.says.working(KEEPING)
            self._keep(self._seen, self.studio)

    @work(thread=True, exclusive=True, group="import")
    def _keep(self, seen: Seen, studio: Studio) -> None:
        try:
            with studio.again() as own:
                waits = iter(range(_MOST_WAITS))
                own.while_busy = lambda: next(waits, None) is not None
                outcome = seen.keep(own, self._progress(KEEPING))
        except SchedulingError as error:
            self.post_message(WorkRefused(KEEPING, error))
        else:
            self.post_message(Worked(KEEPING, outcome, outcome.history_id))

    def action_step_back(self) -> None:
        if self._job == READING:
            self.workers.cancel_group(self, "import")
            self._job = ""
            self._wanted = self._seen.wanted if self._seen is not None else self._wanted
            self.says.note(_STOPPED)
        elif self._job == KEEPING:
            self._job = _STOPPING  # what has gone in by now is kept; the worker tells which it is
            self._stops.set()
            self.says.working(_STOPPING)
        elif self._job:
            self.says.note("It is being kept; u takes it back afterwards.")
        else:
            super().action_step_back()

    # Questions

    def _answer(self, kind: str, about: str, value: str) -> None:
        """Read the file anew with one more thing settled about it."""
        if self._wanted is not None:
            self._look(replace(self._wanted, answers=(*self._wanted.answers, (kind, about, value))))

    def _choose(self, setting: Setting) -> None:
        """Another choice for how the file is read, out of a list that typing narrows; what holds stands first."""
        choices = sorted(setting.choices, key=lambda choice: choice.value != setting.value)

        def chosen(picked: Picked | None) -> None:
            if picked is not None:  # also what holds already: that settles a guess
                self._answer(setting.kind, setting.about, str(picked.row_id))

        self.app.push_screen(
            Picker(
                setting.question,
                [Row(one.value, (one.label,), "=" if one.value == setting.value else "") for one in choices],
                IMPORT_COLUMNS[1:2],
                empty="There is no such choice. Take letters away.",
            ),
            chosen,
        )

    def _ask(self, question: Any) -> None:
        def answered(answer: str | None) -> None:
            if answer is not None:
                self._answer(question.kind, question.about, answer)

        ordered = sorted(question.choices, key=lambda choice: choice.value != question.suggested)
        self.app.push_screen(Ask(question.text, [Answer(one.value, one.label) for one in ordered]), answered)

    def _ask_zone(self, name: str) -> None:
        def chosen(picked: Picked | None) -> None:
            if picked is not None and self._wanted is not None:
                self._look(replace(self._wanted, zones=(*self._wanted.zones, (name, str(picked.row_id)))))

        self.app.push_screen(
            Picker(
                f"Which time zone does {name!r} mean?",
                [Row(choice.id, (choice.text,)) for choice in zone_choices()],
                IMPORT_COLUMNS[1:2],
                empty="No place is called like that.",
            ),
            chosen,
        )

    def _ask_heads(self, line: SignUpLine) -> None:
        """Enter on a sign-up: how many heads it stands for, where the file leaves that open or says it wrong."""
        form = Form(
            TextField(
                "heads",
                "Heads",
                value=str(line.entry.heads or ""),
                read=count(1, MOST_HEADS, "heads"),
                hint="how many come",
                entry_cells=6,
            ),
            title=f"Row {line.entry.row}: {line.person.name}",
            keep="Take it so",
        )

        def keep(values: Mapping[str, Any]) -> int:
            return int(read_count(values["heads"], least=1, most=MOST_HEADS, field="heads").value)

        def said(heads: int | None) -> None:
            if heads is not None and self._wanted is not None:
                others = tuple(one for one in self._wanted.heads if one[0] != line.entry.row)
                self._look(replace(self._wanted, heads=(*others, (line.entry.row, heads))))

        self.app.push_screen(FormSheet(form, keep), said)

    def _ask_class(self) -> None:
        def chosen(picked: Picked | None) -> None:
            if picked is not None and isinstance(picked.row_id, int) and self._wanted is not None:
                self._look(replace(self._wanted, class_date_id=picked.row_id))

        today = self.today
        picker: Picker[ClassRow] = Picker(
            "Which class are the rows of that name none?",
            self.studio.ask(Classes("coming", with_cancelled=False)),
            class_lines.CLASS_COLUMNS[:3],
            empty="No class is to come. Make one first.",
            draw=lambda row: Row(row.id, class_lines.class_line(row, today=today).cells[:3]),
            text_of=class_lines.findable,
        )
        self.app.push_screen(picker, chosen)


def _drawn(item: Any) -> Row:
    return item.drawn() if isinstance(item, SignUpLine) else item


def _next_step(seen: Seen) -> str:
    if isinstance(seen, SignUpsSeen) and seen.preview.ask:
        return "Answer what is asked first: the cursor is on it, Enter answers."
    if isinstance(seen, BusySeen) and seen.zones_to_ask:
        return "Say which time zones are meant first: Enter on the question."
    if isinstance(seen, BusySeen) and seen.takes_away_by_damage:
        return "The file is not whole, so it is not kept. Get it anew."
    if not seen.may_keep:
        return "Nothing in the file is new: there is nothing to keep."
    if isinstance(seen, BusySeen) and seen.empties:
        gone = seen.preview.gone
        return f"The file holds no busy time: keeping it takes the {gone} that are kept of it away. Ctrl+O keeps it."
    return "Nothing is kept yet. Look through it, then Ctrl+O keeps it; Esc leaves it."

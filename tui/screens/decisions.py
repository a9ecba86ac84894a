"""Deciding whether classes run: those due, and for one all that is at stake; deciding is one action."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling import commands
from scheduling.commands.request import Outcome
from scheduling.errors import SchedulingError
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassDate
from scheduling.queries.decisions import DecisionRow, DecisionsDue
from scheduling.words import read_day
from tui import cells, class_lines, decision_lines, money_lines
from tui.beside import AsksBeside
from tui.class_keys import ClassKeys
from tui.decision_lines import DecisionLines
from tui.keys import bindings
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.rows import Rows

WITHIN_DAYS = 14
NONE_DUE = f"Nothing is to be decided within {WITHIN_DAYS} days. D on a class shows how it stands."
ADDING = "Adding up what is at stake..."


class DecisionsScreen(ClassKeys, AsksBeside):
    """The classes to decide on, the most pressing first; Enter shows what is at stake."""

    DEFAULT_CSS = "DecisionsScreen #heading { height: 1; color: $accent; text-style: bold; padding: 0 0 0 4; }"
    BINDINGS = bindings("open", "decide", "the_day", "message", "why", "step_back")
    AUTO_FOCUS = "#due"
    title_words = "Decisions due"

    def __init__(self) -> None:
        super().__init__()
        self._due: dict[int, DecisionRow] = {}
        self._of: object = None

    def body(self) -> Iterable[Widget]:
        yield Static(Content("To decide, by the end of the day named: does it run?"), id="heading")
        yield Rows[Any](decision_lines.DUE_COLUMNS, empty=ADDING, id="due")
        yield Aside()

    def reload(self) -> None:
        if self._of != (self.studio.revision, self.today):
            self.ask_beside_again()

    def ask_beside_again(self) -> None:
        self.ask_beside(DecisionsDue(WITHIN_DAYS))

    def take_answer(self, answer: Any, revision: int) -> None:
        self._due, self._of = {row.class_row.id: row for row in answer}, (revision, self.today)
        self._rows.say_empty(NONE_DUE)
        self._rows.show([decision_lines.due_row(row, today=self.today) for row in answer])
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#due", Rows)

    def class_here(self) -> int | None:
        found = self._rows.cursor_id
        return found if isinstance(found, int) else None

    def _say_about(self) -> None:
        row = self._due.get(self.class_here() or 0)
        self.query_one(Aside).show("" if row is None else decision_lines.due_about(row, today=self.today))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        self.action_decide()

    def action_decide(self) -> None:
        class_date_id = self.class_here()
        if class_date_id is None:
            self.says.note(NONE_DUE)
        else:
            self.kitwright.open_decision(class_date_id)

    def action_why(self) -> None:
        self.says.note(self.query_one(Aside).text or NONE_DUE)


class DecisionScreen(ClassKeys):
    """One class: the answers first, then what speaks for each."""

    DEFAULT_CSS = "DecisionScreen #facts { height: auto; max-height: 3; padding: 0 1 0 4; }"
    BINDINGS = bindings("open", "why", "ledger", "the_day", "message", "step_back")
    AUTO_FOCUS = "#decision"

    def __init__(self, class_date_id: int) -> None:
        super().__init__()
        self.class_date_id = class_date_id
        self.title_words = f"Decide on {ref('class_date', class_date_id)}"
        self._lines = DecisionLines()
        self._row: DecisionRow | None = None

    def body(self) -> Iterable[Widget]:
        yield Static("", id="facts")
        yield Rows[Any](
            decision_lines.DECISION_COLUMNS,
            empty="There is nothing to decide: the class is past, taught, cancelled, or has no day to decide by.",
            id="decision",
        )
        yield Aside()

    def reload(self) -> None:
        row = self.studio.ask(ClassDate(self.class_date_id)).row
        word, _ = class_lines.standing(row)
        facts = f"{class_lines.named(row)}, {class_lines.when(row, today=self.today)}, {row.venue}"
        self.query_one("#facts", Static).update(Content(cells.lines(f"{facts}{f', {word}' if word else ''}")))
        found = self.studio.ask(DecisionsDue(class_date_id=self.class_date_id))
        self._row = found[0] if found else None
        self._lines = DecisionLines() if not found else decision_lines.decision_lines(found[0], today=self.today)
        self._rows.show(self._lines.rows)
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#decision", Rows)

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(self._rows.cursor_id, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        here = self._rows.cursor_id
        if isinstance(here, tuple) and here[0] == "choice":
            self._choose(str(here[1]))
        else:
            self.action_why()

    def action_decide(self) -> None:
        """Back to the answers, from wherever the cursor is."""
        self._rows.action_first_row()

    def class_here(self) -> int | None:
        return self.class_date_id

    def action_why(self) -> None:
        """The sum behind the figure under the cursor."""
        here = self._rows.cursor_id
        if here not in self._lines.figures or self._row is None:
            self.says.note(self.query_one(Aside).text)
            return
        title, figure = self._lines.figures[here]
        currency = self._row.currency
        about = "\n".join([*money_lines.figure_lines(figure, currency), f"= {currency.show(figure.amount)}"])
        self.app.push_screen(Ask(title, [Answer("back", "Back")], details=about))

    # Deciding

    def _choose(self, choice: str) -> None:
        if choice == "wait":
            self._ask_day()
        else:
            self._show_and_do(choice)

    def _ask_day(self) -> None:
        def read(typed: str) -> Any:
            return read_day(typed, today=self.today, day_first=self.day_first, field="until_day")

        def keep(values: Mapping[str, Any]) -> Outcome:
            until: dt.date = read(values["until_day"]).value
            return self.studio.do(
                commands.Decide(class_date_id=self.class_date_id, choice="wait", until_day=until, note=values["note"])
            )

        form = Form(
            TextField("until_day", "Decide by", read=lambda typed: str(read(typed).shown), hint="the end of that day"),
            TextField("note", "Why", is_needed=False),
            title="Wait with the decision",
            keep="Wait",
        )
        details = "\n".join(self._lines.about[key] for key in self._lines.about if _is_venue(key))
        self.app.push_screen(FormSheet(form, keep, details=details), self.was_kept)

    def _show_and_do(self, choice: str) -> None:
        """All that it does is shown first, then it is one action."""
        command = commands.Decide(class_date_id=self.class_date_id, choice=choice)
        try:
            (outcome,), _ = self.studio.suppose([command], ClassDate(self.class_date_id))
        except SchedulingError as error:
            self.says.refuse(error)
            return

        def answered(answer: str | None) -> None:
            if answer == "do":
                self.perform(command)

        is_grave = choice == "call off"
        do = Answer("do", decision_lines.CHOICES[choice], is_grave=is_grave)
        stay = Answer("stay", "Do not decide yet")
        about = decision_lines.consequences(getattr(outcome, "consequences", ()))
        if is_grave:
            about += "\n- Nothing is sent and no money moves by itself: R gives back, page 0 holds the messages."
        about += "\nu takes all of it back as one."
        question = f"{decision_lines.CHOICES[choice]}: {outcome.said.partition('.')[0]}?"
        self.app.push_screen(Ask(question, (stay, do) if is_grave else (do, stay), details=about), answered)


def _is_venue(key: object) -> bool:
    return isinstance(key, tuple) and key[0] == "venue"

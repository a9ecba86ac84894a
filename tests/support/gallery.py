"""Every widget once, with names that are hard to show: the app that the widget tests press keys in."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from typing import Any

from textual.app import App
from textual.screen import Screen
from textual.widget import Widget

from scheduling.errors import InvalidError
from tui import cells, theme
from tui.cells import Column
from tui.keys import bindings
from tui.widgets.ahead import KeysInOrder
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.guard import RoomGuard
from tui.widgets.lines_field import LinesField
from tui.widgets.listing import Listing
from tui.widgets.page import Page
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Cell, Row, Rows, Section
from tui.widgets.top import TopFacts

HARD_NAMES = (
    "木版画",
    "Ame\u0301lie Noe\u0301",
    "🔥 Fire ☕ Cup",
    "Ann [/] Smith [bold",
    "محمد علي",
    "Zoë O'Brien-Łukasz",
    "x" * 90,
)
CLASSES = (Column("Class", share=2, least=16), Column("When", 16), Column("Seats", 21), Column("Room", least=8, drop=1))
PEOPLE = (Column("Name", share=2, least=12), Column("Mail", drop=1))


def class_rows() -> list[Row | Section]:
    """Two weeks of classes in sections."""
    rows: list[Row | Section] = []
    for week, first in (("This week", 0), ("Next week", 4)):
        rows.append(Section(week, "2 h 40 of 6 h"))
        for n in range(first, first + 4):
            seats = cells.seat_strokes(n + 1, 8, minimum=4)
            mark, tone = (("!", "bad"), ("", ""), ("?", "warn"), ("", ""))[n % 4]
            state = Cell(f"{seats.drawing} {seats.word}", "warn" if "short" in seats.word else "")
            rows.append(
                Row(f"C{n:02}", (HARD_NAMES[n % 7], f"Sat {n + 6} Feb 10:00", state, "Guild hall"), mark, tone)  # type: ignore[arg-type]
            )
    return rows


def people_rows(count: int) -> list[Row]:
    """So many people; every thousandth has a hard name."""
    return [
        Row(n, (HARD_NAMES[n // 1000 % 7] if n % 1000 == 0 else f"Person {n:05} Miller", f"p{n}@example.org"))
        for n in range(count)
    ]


def read_day(text: str) -> str:
    """Understands two days only."""
    days = {"sat": "Sat 6 February 2027", "sun": "Sun 7 February 2027"}
    if text not in days:
        raise InvalidError(f"{cells.quoted(text)} is no day.", hint="Write sat or sun.", field="day")
    return days[text]


class ListPage(Page):
    """Classes in a list."""

    BINDINGS = bindings("book", "new", "change", "cancel", "view", "help", "actions", "search", "undo", "step_back")

    def body(self) -> Iterable[Widget]:
        yield Listing(Rows[Any](CLASSES, empty="No classes yet. Press n to make the first one.", id="classes"))

    def on_mount(self) -> None:
        self.top.show(TopFacts("Paper & Press", "Classes", "Mon 1 February 2027", "clock stands still", 2, 1))
        self.rows.show(class_rows())
        self.says.done("Ann [/] Smith [bold has a seat in Linocut. 3 left.")
        self.rows.focus()

    @property
    def rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    def action_book(self) -> None:
        picker = Picker(
            "Who is coming?",
            people_rows(self.app.people),  # type: ignore[attr-defined]
            PEOPLE,
            empty="Nobody yet. Type a name.",
            make_new="New attendee",
        )
        self.app.push_screen(picker, self._picked)

    def action_new(self) -> None:
        self.app.push_screen(FormPage())

    def action_cancel(self) -> None:
        answers = (
            Answer("keep", "Leave the class as it is"),
            Answer("cancel", "Cancel it and tell 7 people", is_grave=True),
        )
        self.app.push_screen(Ask(f"Cancel {HARD_NAMES[3]}?", answers, details="Money held: 240.00"), self._asked)

    def action_undo(self) -> None:
        self.says.note("undo was pressed")

    def on_rows_opened(self, event: Rows.Opened) -> None:
        self.says.note(f"opened {event.row_id}")

    def _picked(self, picked: Picked | None) -> None:
        self.says.note(f"picked {picked}")

    def _asked(self, answer: str | None) -> None:
        self.says.note(f"answered {answer}")


class FormPage(Page):
    """A form with every kind of field."""

    BINDINGS = bindings("help", "actions")

    def body(self) -> Iterable[Widget]:
        rooms = [Choice(n, name) for n, name in enumerate((*HARD_NAMES, "Guild hall", "Online", "Studio"))]
        yield Form(
            TextField("who", "Name", hint="as it stands on the roster"),
            TextField("day", "Day", read=read_day, hint="sat, sun"),
            TextField("heads", "Heads", value="1", entry_cells=6, hint="how many come"),
            ChoiceField("room", "Room", rooms),
            YesNoField("left", "Left-handed tools", hint="a pair is laid out for each"),
            LinesField("notes", "Notes", lines=3, hint="seen by nobody else"),
            TextField("phone", "Phone", is_needed=False),
            title="A new class date",
        )

    def on_mount(self) -> None:
        self.top.show(TopFacts("Paper & Press", "New class", "Mon 1 February 2027"))
        self.form.begin()

    @property
    def form(self) -> Form:
        return self.query_one(Form)

    def on_form_kept(self, event: Form.Kept) -> None:
        self.app.kept.append(dict(event.values))  # type: ignore[attr-defined]
        if event.values["who"] == "Nobody":
            error = InvalidError("Nobody cannot come.", hint="Give a name.", field="who")
            self.form.refuse(error)
            self.says.refuse(error)
            return
        self.dismiss()

    def on_form_left(self) -> None:
        self.dismiss()


class Gallery(KeysInOrder, RoomGuard, App[None]):
    """Starts on the list page."""

    CSS_PATH = "../../tui/app.tcss"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, look: str = "dark", *, people: int = 40, environ: Mapping[str, str] | None = None) -> None:
        super().__init__(ansi_color=theme.ansi_color(environ or {}))
        theme.wear(self, theme.chosen(look, environ or {}))
        self.people = people
        self.kept: list[dict[str, object]] = []

    def get_default_screen(self) -> Screen[None]:
        return ListPage()


if __name__ == "__main__":
    Gallery(os.environ.get("LOOK", "dark"), environ=os.environ).run()

"""Moving a class date, and offering a class anew on another day."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, cast

from scheduling.commands.classes import ClassKept, MoveClassDate, RunAgain
from scheduling.errors import SchedulingError
from scheduling.model.bookings import heads_text
from scheduling.model.class_dates import LocalSpan, shifted
from scheduling.queries.clashes import Clashes
from scheduling.queries.classes import ClassDate, ClassRow
from scheduling.typed_sessions import read_sessions, sessions_text
from scheduling.words import read_day
from tui import class_lines
from tui.screens.studio_page import StudioPage
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet

if TYPE_CHECKING:
    from tui.app import KitwrightApp


def start_move(app: object, class_date_id: int) -> None:
    """Ask for other times of a class date, and move it."""
    page = cast("KitwrightApp", app).screen
    if isinstance(page, StudioPage):
        _open(page, class_date_id, _move_sheet)


def start_run_again(app: object, class_date_id: int) -> None:
    """Ask for the first day on which the class is offered anew, and make it."""
    page = cast("KitwrightApp", app).screen
    if isinstance(page, StudioPage):
        _open(page, class_date_id, _again_sheet)


def _open(page: StudioPage, class_date_id: int, sheet: Any) -> None:
    try:
        row = page.studio.ask(ClassDate(class_date_id)).row
    except SchedulingError as error:
        page.says.refuse(error)
        return
    page.app.push_screen(sheet(page, row), page.was_kept)


def _with_clashes(page: StudioPage, shown: str, spans: tuple[LocalSpan, ...], row: ClassRow, own: int | None) -> str:
    """What was understood, and what would be in the way."""
    in_the_way = page.studio.ask(Clashes(spans, row.venue_id, own))
    return " ".join([f"{shown}.", *(f"Note: {sentence}" for sentence in in_the_way)])


def _move_sheet(page: StudioPage, row: ClassRow) -> FormSheet[ClassKept]:
    def read(typed: str) -> Any:
        zone = page.kitwright.facts.time_zone
        return read_sessions(typed, today=page.today, zone=zone, day_first=page.day_first)

    def words(typed: str) -> str:
        understood = read(typed)
        return _with_clashes(page, understood.shown, understood.value, row, row.id)

    def keep(values: Mapping[str, Any]) -> ClassKept:
        return page.studio.do(MoveClassDate(class_date_id=row.id, sessions=read(values["sessions"]).value))

    now = tuple((session.starts.local, session.ends.local) for session in row.sessions)
    form = Form(
        TextField(
            "sessions",
            "When",
            value=sessions_text(now),
            read=words,
            hint="such as sat 13 mar 10-12:30; a semicolon before another session",
        ),
        title=f"Move {class_lines.named(row)}",
        keep="Move it",
    )
    people = (
        f"{heads_text(row.heads)} booked keep their seats: ask them whether the new date suits." if row.heads else ""
    )
    details = f"Its prep is laid out anew, and its calendar entry says that it moved. {people}".strip()
    return FormSheet(form, keep, details=details)


def _again_sheet(page: StudioPage, row: ClassRow) -> FormSheet[ClassKept]:
    def read(typed: str) -> Any:
        return read_day(typed, today=page.today, day_first=page.day_first, field="first_day")

    def words(typed: str) -> str:
        day = read(typed).value
        days = (day - row.first_day).days
        sessions = tuple(shifted(session, days) for session in row.sessions)
        spans = tuple((session.starts.local, session.ends.local) for session in sessions)
        return _with_clashes(page, sessions_text(spans), spans, row, None)

    def keep(values: Mapping[str, Any]) -> ClassKept:
        return page.studio.do(RunAgain(class_date_id=row.id, first_day=read(values["first_day"]).value))

    form = Form(
        TextField("first_day", "On", read=words, hint="the first day, such as sat 13 mar; the hours stay"),
        title=f"Offer {class_lines.named(row)} anew",
        keep="Make it",
    )
    details = "Same venue, hours, seats and fee, the project's newest version, nobody booked, the shorter prep."
    return FormSheet(form, keep, details=details)

"""The first two questions of a new class: what people make, and where; each can be made on the way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, cast

from scheduling.amounts import read_count
from scheduling.commands.projects import AddProject
from scheduling.commands.venues import AddVenue
from scheduling.queries.shelves import ProjectRow, Projects, VenueRow, Venues
from scheduling.words import counted, read_minutes, show_minutes
from tui.cells import Column
from tui.screens.studio_page import StudioPage
from tui.widgets.choice_field import YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Row

if TYPE_CHECKING:
    from tui.app import KitwrightApp


def start_class(app: object) -> None:
    """Ask for project and venue, then open the form; `app` shows a page of the studio."""
    kitwright = cast("KitwrightApp", app)
    page = kitwright.screen
    if not isinstance(page, StudioPage):
        return

    def venue_known(project_id: int) -> Callable[[int], None]:
        return lambda venue_id: kitwright.fill_in_class(project_id, venue_id)

    _ask_project(page, lambda project_id: _ask_venue(page, venue_known(project_id)))


def _ask_project(page: StudioPage, then: Callable[[int], None]) -> None:
    def draw(row: ProjectRow) -> Row:
        ran = "not planned yet" if not row.classes else f"{row.classes} class{'' if row.classes == 1 else 'es'}"
        return Row(row.id, (row.title, row.level, show_minutes(row.teaching_minutes), ran))

    picker: Picker[ProjectRow] = Picker(
        "What do people make?",
        page.studio.ask(Projects()),
        (Column("Project", share=2, least=18), Column("Level", drop=2), Column("Teaching", 9), Column("", 15, drop=1)),
        empty="No project is kept yet. Type a name to make the first.",
        make_new="New project",
        draw=draw,
    )

    def picked(answer: Picked | None) -> None:
        if answer is None:
            return
        if isinstance(answer.row_id, int):
            then(answer.row_id)
        else:
            page.app.push_screen(_project_sheet(page, answer.typed), lambda made: then(made) if made else None)

    page.app.push_screen(picker, picked)


def _project_sheet(page: StudioPage, title: str) -> FormSheet[int]:
    def keep(values: Mapping[str, Any]) -> int:
        minutes = read_minutes(values["teaching_minutes"], field="teaching_minutes").value
        age = read_count(values["age_from"], most=120, field="age_from").value if values["age_from"] else 0
        command = AddProject(title=values["title"], teaching_minutes=minutes, age_from=age, cautions=values["cautions"])
        return page.studio.do(command).project_id

    form = Form(
        TextField("title", "Project", value=title, hint="what people make"),
        TextField(
            "teaching_minutes",
            "Teaching time",
            read=lambda typed: read_minutes(typed).shown,
            hint="from the first step to the last, such as 2h30",
        ),
        TextField(
            "age_from",
            "Age from",
            is_needed=False,
            read=lambda typed: f"for {read_count(typed, most=120).shown} and over",
            hint="empty for all ages",
        ),
        TextField("cautions", "Cautions", is_needed=False, hint="blades, heat, glue, small parts, as you see fit"),
        title="A new project",
        keep="Keep and go on",
    )
    return FormSheet(form, keep, details="Pieces, materials and texts can be added later, under settings.")


def _ask_venue(page: StudioPage, then: Callable[[int], None]) -> None:
    def draw(row: VenueRow) -> Row:
        way = "online" if row.online else "step-free" if row.step_free else "with steps"
        return Row(row.id, (row.name, counted(row.seats, "seat"), way, row.address))

    picker: Picker[VenueRow] = Picker(
        "Where is it held?",
        page.studio.ask(Venues()),
        (Column("Venue", share=2, least=18), Column("Seats", 9), Column("Way in", 10), Column("Address", drop=1)),
        empty="No venue is kept yet. Type a name to make the first.",
        make_new="New venue",
        draw=draw,
    )

    def picked(answer: Picked | None) -> None:
        if answer is None:
            return
        if isinstance(answer.row_id, int):
            then(answer.row_id)
        else:
            page.app.push_screen(_venue_sheet(page, answer.typed), lambda made: then(made) if made else None)

    page.app.push_screen(picker, picked)


def _venue_sheet(page: StudioPage, name: str) -> FormSheet[int]:
    def keep(values: Mapping[str, Any]) -> int:
        posted = values["posted_occupancy"]
        command = AddVenue(
            name=values["name"],
            address=values["address"],
            seats=read_count(values["seats"], most=10000, field="seats").value,
            posted_occupancy=(
                read_count(posted, least=1, most=100000, field="posted_occupancy").value if posted else None
            ),
            online=values["online"],
            own_room=values["own_room"],
            step_free=values["step_free"],
        )
        return page.studio.do(command).venue_id

    form = Form(
        TextField("name", "Venue", value=name),
        TextField("address", "Address", is_needed=False, hint="as it is to stand in the class calendar"),
        TextField("seats", "Seats", read=lambda typed: f"{read_count(typed).shown} seats", hint="work places"),
        TextField(
            "posted_occupancy",
            "Posted number",
            is_needed=False,
            read=lambda typed: f"{read_count(typed, least=1).shown} people in all",
            hint="of the fire authority, everyone counted; empty where none is posted",
        ),
        YesNoField("online", "Live online", hint="no room, a link instead"),
        YesNoField("own_room", "A room of your own", hint="nothing is hired"),
        YesNoField("step_free", "Step-free"),
        title="A new venue",
        keep="Keep and go on",
    )
    return FormSheet(form, keep, details="Hire terms, travel and set-up can be added later, under settings.")

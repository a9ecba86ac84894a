"""What classes are made of: venues, projects, recipes, in lists and whole."""

from __future__ import annotations

import json
from dataclasses import dataclass

from scheduling.errors import NotFoundError
from scheduling.model.class_dates import room_for
from scheduling.model.prep import Line
from scheduling.model.recipe_text import line_of
from scheduling.model.refs import ref
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class VenueRow:
    """One venue; cancel_steps: (from so many days before, percent owed)."""

    id: int
    name: str
    address: str
    online: bool
    own_room: bool
    seats: int
    posted_occupancy: int | None
    step_free: bool
    hearing_loop: bool
    cancel_steps: tuple[tuple[int, int], ...]
    set_up_minutes: int
    clear_down_minutes: int
    travel_minutes: int
    contact: str
    joining_link: str
    cautions: str
    retired: bool

    @property
    def ref(self) -> str:
        return ref("venue", self.id)

    @property
    def most_seats(self) -> int:
        """Its seats, or fewer where the posted number, she being one of them, allows no more."""
        is_posted = self.posted_occupancy is not None and not self.online
        return min(self.seats, room_for(self.posted_occupancy or 0)) if is_posted else self.seats


@dataclass(frozen=True, slots=True)
class Venues:
    """Venues by name."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[VenueRow, ...]:
        rows = reader.rows("SELECT * FROM venue WHERE ? OR retired_at IS NULL ORDER BY name, id", (self.with_retired,))
        plain = [
            "id",
            "name",
            "address",
            "seats",
            "posted_occupancy",
            "set_up_minutes",
            "clear_down_minutes",
            "travel_minutes",
            "contact",
            "joining_link",
            "cautions",
        ]
        return tuple(
            VenueRow(
                **{name: row[name] for name in plain},
                online=bool(row["online"]),
                own_room=bool(row["own_room"]),
                step_free=bool(row["step_free"]),
                hearing_loop=bool(row["hearing_loop"]),
                cancel_steps=tuple((int(days), int(percent)) for days, percent in json.loads(row["cancel_steps"])),
                retired=row["retired_at"] is not None,
            )
            for row in rows
        )


@dataclass(frozen=True, slots=True)
class ProjectRow:
    """One project in its newest version; classes: how many class dates were ever made of it.

    drying_hours: that what is glued ahead rests; None: as the recipe says. drying_tool_id: in which tool.
    """

    id: int
    version: int
    title: str
    description: str
    level: str
    teaching_minutes: int
    age_from: int
    pieces: int
    materials: int
    suppliers: int
    to_bring: str
    cautions: str
    drying_hours: int | None
    drying_tool_id: int | None
    retired: bool
    classes: int

    @property
    def ref(self) -> str:
        return ref("project", self.id)


@dataclass(frozen=True, slots=True)
class Projects:
    """Projects by title, each in its newest version."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[ProjectRow, ...]:
        rows = reader.rows(
            """SELECT project.id, project.retired_at, version.*, project.id AS project_number,
                 (SELECT count(*) FROM class_date
                  JOIN project_version AS used ON used.id = class_date.project_version_id
                  WHERE used.project_id = project.id) AS classes
               FROM project JOIN project_version AS version ON version.project_id = project.id
               WHERE version.number = (SELECT max(number) FROM project_version WHERE project_id = project.id)
                 AND (? OR project.retired_at IS NULL)
               ORDER BY version.title, project.id""",
            (self.with_retired,),
        )
        plain = [
            "title",
            "description",
            "level",
            "teaching_minutes",
            "age_from",
            "pieces",
            "materials",
            "suppliers",
            "to_bring",
            "cautions",
            "drying_hours",
            "drying_tool_id",
        ]
        return tuple(
            ProjectRow(
                **{name: row[name] for name in plain},
                id=row["project_number"],
                version=row["number"],
                retired=row["retired_at"] is not None,
                classes=row["classes"],
            )
            for row in rows
        )


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """One recipe; lines: how many are in use."""

    id: int
    name: str
    first_time: bool
    lines: int
    retired: bool

    @property
    def ref(self) -> str:
        return ref("recipe", self.id)


@dataclass(frozen=True, slots=True)
class Recipes:
    """Recipes in the order they were made."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[RecipeRow, ...]:
        return tuple(
            RecipeRow(row["id"], row["name"], bool(row["first_time"]), row["lines"], row["retired_at"] is not None)
            for row in reader.rows(
                """SELECT recipe.*,
                     (SELECT count(*) FROM recipe_line WHERE recipe_id = recipe.id AND retired_at IS NULL)
                     AS lines FROM recipe WHERE ? OR retired_at IS NULL ORDER BY id""",
                (self.with_retired,),
            )
        )


@dataclass(frozen=True, slots=True)
class RecipeLineRow:
    """One line of a recipe with its row number."""

    id: int
    line: Line
    retired: bool


@dataclass(frozen=True, slots=True)
class RecipeLines:
    """The lines of one recipe in its order; raises NotFoundError."""

    recipe_id: int
    with_retired: bool = True

    def fetch(self, reader: Reader) -> tuple[RecipeLineRow, ...]:
        if reader.row("recipe", self.recipe_id) is None:
            raise NotFoundError(f"There is no recipe {ref('recipe', self.recipe_id)}.", field="recipe_id")
        return tuple(
            RecipeLineRow(row["id"], line_of(row["line"]), row["retired_at"] is not None)
            for row in reader.rows(
                "SELECT * FROM recipe_line WHERE recipe_id = ? AND (? OR retired_at IS NULL) ORDER BY position, id",
                (self.recipe_id, self.with_retired),
            )
        )

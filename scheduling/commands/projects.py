"""Projects: what people make. A change is a new version; a class keeps the one it was planned with (decisions 4)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.bill_rows import (
    BillLines,
    Measures,
    ToolNeeds,
    bill_columns,
    bill_counts,
    carry_bill,
    keep_measures,
    keep_rows,
    keep_tools,
    read_measures,
)
from scheduling.commands.found import found, number, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class ProjectKept(Outcome):
    project_id: int
    version_id: int


class _ProjectEntries(Request[ProjectKept]):
    """Entries of a project; what is not given stays as it is (or at its default in a new one).

    pieces: to cut for a kit; materials: how many of them are cut; suppliers: of all that is in it;
        for the minutes of prep.
    drying_hours: that what is glued or pressed ahead rests before kits are bagged, 0 for none; None: as the recipe
        says. drying_tool_id: what it rests in; None or 0: nothing that could be full.
    """

    description: str = ""
    level: str = ""
    teaching_minutes: Annotated[int, Field(ge=0, le=10000)] = 0
    age_from: Annotated[int, Field(ge=0, le=120)] = 0
    pieces: Annotated[int, Field(ge=0, le=10000)] = 0
    materials: Annotated[int, Field(ge=0, le=1000)] = 0
    suppliers: Annotated[int, Field(ge=0, le=100)] = 0
    to_bring: str = ""
    cautions: str = ""
    drying_hours: Annotated[int, Field(ge=0, le=336)] | None = None
    drying_tool_id: Annotated[int, Field(ge=0)] | None = None

    def _columns(self, *, only_given: bool) -> dict[str, Value]:
        names = self.model_fields_set if only_given else set(type(self).model_fields)
        names = names - {"project_id", "lines", "tools", "measures"}
        columns: dict[str, Value] = {name: getattr(self, name) for name in sorted(names)}
        if "drying_tool_id" in columns:
            columns["drying_tool_id"] = self.drying_tool_id or None
        return columns

    def _check(self, tx: Transaction) -> None:
        if self.drying_tool_id:
            found(tx, "tool", self.drying_tool_id)


class AddProject(_ProjectEntries):
    """Keep a new project in its first version.

    lines: its bill, where there is one already; the counts of pieces, materials and suppliers come from it then.
    """

    title: Annotated[str, Field(min_length=1, max_length=120)]
    lines: BillLines = ()
    tools: ToolNeeds = ()
    measures: Measures = Field(default_factory=dict)

    def run(self, tx: Transaction) -> ProjectKept:
        self._check(tx)
        project_id = tx.insert("project", {})
        columns = self._columns(only_given=False) | {"project_id": project_id, "number": 1}
        measures = read_measures(tx, self.measures)
        rows = bill_columns(tx, self.lines, measures)
        version_id = tx.insert("project_version", columns | (bill_counts(tx, rows) if rows else {}))
        keep_rows(tx, version_id, rows, [line.options for line in self.lines])
        keep_measures(tx, version_id, measures)
        keep_tools(tx, version_id, self.tools)
        return ProjectKept(
            summary=f"Added {ref('project', project_id)} {self.title}",
            said=f"{self.title} is kept as {ref('project', project_id)}.",
            project_id=project_id,
            version_id=version_id,
        )


class ChangeProject(_ProjectEntries):
    """Make the next version of a project; classes made from now on use it."""

    project_id: int
    title: Annotated[str, Field(min_length=1, max_length=120)] = ""

    def run(self, tx: Transaction) -> ProjectKept:
        self._check(tx)
        now = newest_version(tx, self.project_id)
        given = self._columns(only_given=True)
        if not self.title:
            given.pop("title", None)
        if all(now[name] == value for name, value in given.items()):
            return ProjectKept(
                summary="", said="Nothing is changed.", project_id=self.project_id, version_id=number(now, "id")
            )
        columns = {name: value for name, value in now.items() if name != "id"} | given
        columns["number"] = number(now, "number") + 1
        version_id = tx.insert("project_version", columns)
        carry_bill(tx, number(now, "id"), version_id)
        return ProjectKept(
            summary=f"Changed {ref('project', self.project_id)} to version {columns['number']}",
            said=f"{columns['title']} is at version {columns['number']}; classes made before keep theirs.",
            project_id=self.project_id,
            version_id=version_id,
        )


class RetireProject(Request[ProjectKept]):
    """Take a project out of the lists, or bring it back; its classes stay."""

    project_id: int
    back: bool = False

    def run(self, tx: Transaction) -> ProjectKept:
        version = newest_version(tx, self.project_id)
        tx.update("project", self.project_id, {"retired_at": None if self.back else tx.now_text})
        word = "is back in the lists" if self.back else "is retired"
        return ProjectKept(
            summary=f"{'Brought back' if self.back else 'Retired'} {ref('project', self.project_id)}",
            said=f"{text(version, 'title')} {word}.",
            project_id=self.project_id,
            version_id=number(version, "id"),
        )


def newest_version(tx: Transaction, project_id: int) -> Row:
    """The newest version row of a project; raises NotFoundError without one."""
    found(tx, "project", project_id)
    row = tx.first("SELECT * FROM project_version WHERE project_id = ? ORDER BY number DESC LIMIT 1", (project_id,))
    if row is None:
        raise NotFoundError(f"{ref('project', project_id)} has no version.", hint="Change it once to give it one.")
    return dict(row)

"""A project's bill of materials, tools and kit options: each change is a new version (decisions 4)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated

from pydantic import Field

from scheduling.commands.bill_rows import (
    BillEntry,
    BillLines,
    Measures,
    ToolNeeds,
    bill_columns,
    bill_counts,
    carry_tools,
    keep_measures,
    keep_rows,
    keep_tools,
    kept_lines,
    measures_of,
    read_measures,
    sized_anew,
)
from scheduling.commands.found import found, number, text
from scheduling.commands.projects import ProjectKept, newest_version
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.lengths import Length
from scheduling.model.refs import ref
from scheduling.model.versions import named_behind
from scheduling.store.database import Row
from scheduling.store.rows import Transaction
from scheduling.store.versions import classes_behind
from scheduling.words import counted


class SetBill(Request[ProjectKept]):
    """Set the bill of a project, as its next version; classes made before keep theirs until they take the new one.

    tools, measures: None leaves them. The version's counts of pieces, materials cut and suppliers come from the bill.
    """

    project_id: int
    lines: BillLines
    tools: ToolNeeds | None = None
    measures: Measures | None = None

    def run(self, tx: Transaction) -> ProjectKept:
        now = newest_version(tx, self.project_id)
        old = measures_of(tx, number(now, "id"))
        measures = old if self.measures is None else read_measures(tx, self.measures)
        rows = bill_columns(tx, self.lines, measures)
        options = [line.options for line in self.lines]
        return _next_version(tx, now, rows, options, tools=self.tools, measures=measures)


class ChangeBillLine(Request[ProjectKept]):
    """Change one part of a bill, add one or take one away, as the project's next version; the other parts stay.

    part: the name of the part that is changed; empty adds `line` at the end. line: None takes the part away.
    Raises NotFoundError for a part that is not on the bill.
    """

    project_id: int
    part: str = ""
    line: BillEntry | None = None

    def run(self, tx: Transaction) -> ProjectKept:
        now = newest_version(tx, self.project_id)
        version_id = number(now, "id")
        kept = kept_lines(tx, version_id)
        at = next((n for n, (row, _) in enumerate(kept) if row["part"] == self.part), None)
        if self.part and at is None:
            raise NotFoundError(
                f"There is no part {self.part} on the bill of {text(now, 'title')}.",
                hint="Look at its newest version.",
                field="part",
            )
        if self.line is not None:
            names = {str(row["part"]).casefold() for n, (row, _) in enumerate(kept) if n != at}
            if self.line.part.casefold() in names:
                raise InvalidError(
                    f"{self.line.part} stands on the bill already.", hint="Give each part its own name.", field="part"
                )
            (columns,) = bill_columns(tx, (self.line,), measures_of(tx, version_id))
            kept[len(kept) if at is None else at : len(kept) if at is None else at + 1] = [(columns, self.line.options)]
        elif at is None:
            raise InvalidError("Which part is taken away?", hint="Name it.", field="part")
        else:
            del kept[at]
        rows: list[Row] = [columns | {"position": place} for place, (columns, _) in enumerate(kept, 1)]
        return _next_version(tx, now, rows, [options for _, options in kept])


class SetBillTools(Request[ProjectKept]):
    """Set which tools a project shares on the tables, as its next version; its bill stays."""

    project_id: int
    tools: ToolNeeds

    def run(self, tx: Transaction) -> ProjectKept:
        now = newest_version(tx, self.project_id)
        kept = kept_lines(tx, number(now, "id"))
        return _next_version(tx, now, [row for row, _ in kept], [options for _, options in kept], tools=self.tools)


class SetMeasures(Request[ProjectKept]):
    """Set a project's finished measures, as its next version; sizes by formula are worked out anew."""

    project_id: int
    measures: Measures

    def run(self, tx: Transaction) -> ProjectKept:
        now = newest_version(tx, self.project_id)
        measures = read_measures(tx, self.measures)
        kept = kept_lines(tx, number(now, "id"))
        rows = [sized_anew(tx, row, measures) if row["size_formula"] else row for row, _ in kept]
        return _next_version(tx, now, rows, [options for _, options in kept], measures=measures)


def _next_version(
    tx: Transaction,
    now: Row,
    rows: list[Row],
    options: Sequence[Mapping[str, int | None]],
    *,
    tools: ToolNeeds | None = None,
    measures: dict[str, Length] | None = None,
) -> ProjectKept:
    """Write the next version of a project with these lines; tools and measures stay where they are None."""
    project_id, old_id = number(now, "project_id"), number(now, "id")
    next_number = number(now, "number") + 1
    columns = {name: value for name, value in now.items() if name != "id"}
    version_id = tx.insert("project_version", columns | {"number": next_number} | bill_counts(tx, rows))
    keep_rows(tx, version_id, rows, options)
    keep_measures(tx, version_id, measures_of(tx, old_id) if measures is None else measures)
    if tools is None:
        carry_tools(tx, old_id, version_id)
    else:
        keep_tools(tx, version_id, tools)
    behind = classes_behind(tx, project_id)
    word = "keeps" if len(behind) == 1 else "keep"
    keep = f"; {named_behind(behind)} {word} an older version" if behind else ""
    return ProjectKept(
        summary=f"Set the bill of {ref('project', project_id)}, version {next_number}",
        said=f"The bill of {text(now, 'title')} has {counted(len(rows), 'line')}{keep}.",
        project_id=project_id,
        version_id=version_id,
    )


class TakeNewVersion(Request[Outcome]):
    """Let a class date take the newest version of its project: another bill, other minutes."""

    class_date_id: int

    def run(self, tx: Transaction) -> Outcome:
        row = found(tx, "class_date", self.class_date_id)
        if row["taught_at"] is not None:
            raise ConflictError(f"{row['title']} is taught.", hint="It keeps the version it was made with.")
        version = found(tx, "project_version", number(row, "project_version_id"))
        newest = newest_version(tx, number(version, "project_id"))
        changed = tx.update("class_date", self.class_date_id, {"project_version_id": number(newest, "id")})
        where = ref("class_date", self.class_date_id)
        takes = f"{where} {text(row, 'title')} takes version {newest['number']}."
        said = takes if changed else f"{where} has the newest already."
        return Outcome(summary=f"{where} takes version {newest['number']}", said=said)


class LetTakeNewVersion(Request[Outcome]):
    """Let several class dates of one project take its newest version, as one action."""

    class_date_ids: Annotated[tuple[int, ...], Field(min_length=1, max_length=500)]

    def run(self, tx: Transaction) -> Outcome:
        outcomes = [TakeNewVersion(class_date_id=number).run(tx) for number in dict.fromkeys(self.class_date_ids)]
        if len(outcomes) == 1:
            return outcomes[0]
        refs = ", ".join(ref("class_date", number) for number in dict.fromkeys(self.class_date_ids))
        return Outcome(summary=f"{refs} take the newest version", said=f"{refs} take the newest version.")


class ChooseKitOptions(Request[Outcome]):
    """Set which options of the kit a seat has, by their names on the bill."""

    seat_id: int
    names: tuple[Annotated[str, Field(min_length=1, max_length=60)], ...] = ()

    def run(self, tx: Transaction) -> Outcome:
        found(tx, "seat", self.seat_id)
        offered = {
            row["name"]
            for row in tx.rows(
                """SELECT DISTINCT bill_option.name FROM bill_option
                   JOIN bill_line ON bill_line.id = bill_option.bill_line_id
                   JOIN class_date ON class_date.project_version_id = bill_line.project_version_id
                   JOIN booking ON booking.class_date_id = class_date.id
                   JOIN seat ON seat.booking_id = booking.id WHERE seat.id = ?""",
                (self.seat_id,),
            )
        }
        for name in self.names:
            if name not in offered:
                raise InvalidError(
                    f"The kit has no option {name}.",
                    hint=f"Use {', '.join(sorted(offered))}." if offered else "Add it to the bill first.",
                    field="names",
                )
        kept = {
            row["name"]: row["id"] for row in tx.rows("SELECT * FROM seat_option WHERE seat_id = ?", (self.seat_id,))
        }
        for name in sorted(set(self.names) - kept.keys()):
            tx.insert("seat_option", {"seat_id": self.seat_id, "name": name})
        for name in sorted(kept.keys() - set(self.names)):
            tx.delete("seat_option", kept[name])
        return Outcome(summary="Set the kit options of a seat", said="The kit options are kept.")

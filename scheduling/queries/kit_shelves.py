"""Suppliers, materials, tools and bills as lists to look through and change."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.errors import NotFoundError, StoreError
from scheduling.lengths import Length
from scheduling.model.materials import BillLine, Material, Supplier
from scheduling.model.refs import ref
from scheduling.model.versions import ClassBehind
from scheduling.store.kit_rows import bench_of, bills, materials, suppliers
from scheduling.store.rows import Reader
from scheduling.store.versions import classes_behind


@dataclass(frozen=True, slots=True)
class Suppliers:
    """Suppliers by name."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[Supplier, ...]:
        return tuple(suppliers(reader, with_retired=self.with_retired).values())


@dataclass(frozen=True, slots=True)
class Materials:
    """Materials by number."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[Material, ...]:
        return tuple(materials(reader, with_retired=self.with_retired).values())


@dataclass(frozen=True, slots=True)
class OwnedTool:
    """A tool; projects: how many use it in their newest version. holds: kits that each holds at rest; None: none."""

    id: int
    name: str
    owned: int
    holds: int | None
    cautions: str
    projects: int
    retired: bool

    @property
    def ref(self) -> str:
        return ref("tool", self.id)


@dataclass(frozen=True, slots=True)
class Tools:
    """Tools by name."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[OwnedTool, ...]:
        return tuple(
            OwnedTool(
                row["id"],
                row["name"],
                row["owned"],
                row["holds"],
                row["cautions"],
                row["projects"],
                row["retired_at"] is not None,
            )
            for row in reader.rows(
                """SELECT tool.*,
                     (SELECT count(*) FROM tool_need JOIN project_version AS version
                        ON version.id = tool_need.project_version_id
                      WHERE tool_need.tool_id = tool.id AND version.number =
                        (SELECT max(number) FROM project_version WHERE project_id = version.project_id)) AS projects
                   FROM tool WHERE ? OR retired_at IS NULL ORDER BY name, id""",
                (self.with_retired,),
            )
        )


@dataclass(frozen=True, slots=True)
class ProjectBill:
    """lines: (line, its material); tools: (name, per); measures: by name, for formulas of sizes.

    number: of the version they are of; tool_ids: of the tools, in their order. behind: classes to come that keep a
    version older than the newest.
    """

    project_id: int
    title: str
    number: int
    lines: tuple[tuple[BillLine, Material], ...]
    tools: tuple[tuple[str, str], ...]
    measures: tuple[tuple[str, Length], ...] = ()
    tool_ids: tuple[int, ...] = ()
    behind: tuple[ClassBehind, ...] = ()

    @property
    def ref(self) -> str:
        return ref("project", self.project_id)


@dataclass(frozen=True, slots=True)
class BillOf:
    """The bill of a project in its newest version, or in the one of that number; raises NotFoundError."""

    project_id: int
    number: int | None = None

    def fetch(self, reader: Reader) -> ProjectBill:
        row = reader.first(
            """SELECT * FROM project_version WHERE project_id = ?1 AND (?2 IS NULL OR number = ?2)
               ORDER BY number DESC LIMIT 1""",
            (self.project_id, self.number),
        )
        if row is None:
            raise NotFoundError(
                f"There is no such version of {ref('project', self.project_id)}.",
                hint="Look it up in the projects.",
                field="project",
            )
        known = materials(reader)
        tools = reader.rows(
            """SELECT tool.id, tool.name, tool_need.per FROM tool_need JOIN tool ON tool.id = tool_need.tool_id
               WHERE tool_need.project_version_id = ? ORDER BY tool_need.id""",
            (row["id"],),
        )
        return ProjectBill(
            self.project_id,
            row["title"],
            row["number"],
            tuple((line, known[line.material_id]) for line in bills(reader).get(row["id"], ())),
            tuple((tool["name"], tool["per"]) for tool in tools),
            tuple(
                (measure["name"], Length.kept(measure["counts"], measure["form"]))
                for measure in reader.rows(
                    "SELECT * FROM project_measure WHERE project_version_id = ? ORDER BY id", (row["id"],)
                )
            ),
            tuple(tool["id"] for tool in tools),
            classes_behind(reader, self.project_id),
        )


@dataclass(frozen=True, slots=True)
class KitRulesRow:
    """The rules of the bench; lengths as text in the studio's unit, "any" for a trimmer without a limit."""

    order_buffer_days: int
    waste_percent: int
    heads_per_table: int
    kerf: str
    knife_kerf: str
    longest_cut: str
    smallest_strip: str
    keep: str


@dataclass(frozen=True, slots=True)
class KitRules:
    """The studio's rules for kits."""

    def fetch(self, reader: Reader) -> KitRulesRow:
        row = reader.first("SELECT order_buffer_days, waste_percent, heads_per_table FROM studio")
        if row is None:
            raise StoreError("The file holds no studio yet.", hint="Make one with: kitwright setup --name NAME")
        bench = bench_of(reader)

        def text(counts: int) -> str:
            return Length(counts, bench.unit).show()

        return KitRulesRow(
            row["order_buffer_days"],
            row["waste_percent"],
            row["heads_per_table"],
            text(bench.kerf),
            text(bench.knife_kerf),
            "any" if bench.longest_cut is None else text(bench.longest_cut),
            text(bench.smallest_strip),
            f"{text(bench.keep_long)} x {text(bench.keep_short)}",
        )

"""The tools of the studio: how many are owned, and what to mind with them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scheduling import commands
from scheduling.amounts import read_count
from scheduling.commands.request import Outcome, Request
from scheduling.queries.kit_shelves import OwnedTool, Tools
from tui import checked
from tui.cells import Column
from tui.screens.shelf_page import ShelfPage
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.row import Cell, Row


class ToolsScreen(ShelfPage):
    """All tools by name."""

    title_words = "Tools"
    noun = "tool"
    stays = "Projects that list it keep it."
    empty = "No tools yet. Press n to keep the first one that is shared on the tables."
    columns = (
        Column("Tool", share=3, least=20),
        Column("Owned", 6, align="right"),
        Column("Holds", 6, align="right", drop=2),
        Column("Projects", 8, align="right"),
        Column("Cautions", share=3, least=16, drop=1),
    )

    def items(self, *, with_retired: bool) -> Sequence[OwnedTool]:
        return self.studio.ask(Tools(with_retired))

    def draw(self, item: OwnedTool) -> Row:
        name, holds = f"{item.ref} {item.name}", str(item.holds or "")
        cells = (name, str(item.owned), holds, str(item.projects), Cell(item.cautions, "quiet"))
        return Row(item.id, cells)

    def name_of(self, item: OwnedTool) -> str:
        return item.name

    def about(self, item: OwnedTool) -> str:
        said = f"{item.name}: {item.owned} owned, on the tables of {item.projects} projects."
        if item.holds:
            said += f" {item.owned * item.holds} kits can dry or be pressed in it at once."
        return f"{said} {item.cautions}".strip()

    def retiring(self, item: OwnedTool, *, back: bool) -> Request[Outcome]:
        return commands.KeepTool(tool_id=item.id, retired=not back)

    def change_item(self, item: OwnedTool | None) -> None:
        def keep(values: Mapping[str, Any]) -> Outcome:
            return self.studio.do(
                commands.KeepTool(
                    tool_id=None if item is None else item.id,
                    name=values["name"],
                    owned=read_count(values["owned"], most=10_000, field="owned").value,
                    holds=read_count(values["holds"] or "0", most=10_000, field="holds").value,
                    cautions=values["cautions"],
                )
            )

        form = Form(
            TextField("name", "Tool", value=item.name if item else "", hint="such as awl, bone folder"),
            TextField("owned", "Owned", value=str(item.owned) if item else "", hint="how many there are"),
            TextField(
                "holds",
                "Holds",
                value=str(item.holds or "") if item else "",
                read=checked.count(0, 10_000, "holds", "kit at rest|kits at rest"),
                is_needed=False,
                entry_cells=8,
                hint="kits that each holds while they dry or are pressed; empty where nothing rests in it",
            ),
            TextField(
                "cautions",
                "Cautions",
                value=item.cautions if item else "",
                is_needed=False,
                hint="blades, heat, children; the maker's sheet and local rules come first",
            ),
            title=f"{item.ref} {item.name}" if item else "A new tool",
        )
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_new(self) -> None:
        self.change_item(None)

"""The rules of the bench: what is cut with, what is kept, how much is in hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scheduling import commands
from scheduling.amounts import read_count
from scheduling.commands.request import Outcome
from scheduling.lengths import read_length, read_size
from scheduling.queries.kit_shelves import KitRules
from tui.screens.studio_page import StudioPage
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet


def change_bench(page: StudioPage) -> None:
    """Ask for the rules, as they are now; lengths are read as one types."""
    rules, units = page.studio.ask(KitRules()), page.kitwright.facts.units

    def length(name: str, label: str, value: str, hint: str) -> TextField:
        def read(typed: str) -> str:
            any_length = name == "longest_cut" and typed.strip().casefold() in ("any", "none")
            return "any length" if any_length else read_length(typed, units, field=name).show()

        return TextField(name, label, value=value, read=read, hint=hint)

    def count(name: str, label: str, value: int, least: int, most: int, hint: str) -> TextField:
        def read(typed: str) -> str:
            return read_count(typed, least=least, most=most, field=name).shown

        return TextField(name, label, value=str(value), read=read, hint=hint, entry_cells=8)

    def keep(values: Mapping[str, Any]) -> Outcome:
        longest = values["longest_cut"].strip()
        return page.studio.do(
            commands.SetKitRules(
                order_buffer_days=read_count(values["order_buffer_days"], most=60, field="order_buffer_days").value,
                waste_percent=read_count(values["waste_percent"], most=100, field="waste_percent").value,
                heads_per_table=read_count(
                    values["heads_per_table"], least=1, most=1000, field="heads_per_table"
                ).value,
                kerf=values["kerf"],
                knife_kerf=values["knife_kerf"],
                longest_cut="none" if longest.casefold() == "any" else longest,
                smallest_strip=values["smallest_strip"],
                keep=values["keep"],
            )
        )

    form = Form(
        count(
            "order_buffer_days", "Days in hand", rules.order_buffer_days, 0, 60, "goods come so long before the need"
        ),
        count("waste_percent", "Waste", rules.waste_percent, 0, 100, "percent on the materials of a kit"),
        count("heads_per_table", "Heads to a table", rules.heads_per_table, 1, 1000, "for tools that a table shares"),
        length("kerf", "Kerf", rules.kerf, "width lost to a cut of the trimmer; 0 for a clean blade"),
        length("knife_kerf", "Kerf by knife", rules.knife_kerf, "width lost to a cut by hand"),
        length("longest_cut", "Longest cut", rules.longest_cut, "what the trimmer takes; any for no limit"),
        length("smallest_strip", "Smallest strip", rules.smallest_strip, "what the trimmer can hold"),
        TextField(
            "keep",
            "Off-cuts from",
            value=rules.keep,
            read=lambda typed: " x ".join(side.show() for side in read_size(typed, units, field="keep")),
            hint="the least that is worth keeping, such as 6 x 3",
        ),
        title="The rules of the bench",
    )
    page.app.push_screen(FormSheet(form, keep), page.was_kept)

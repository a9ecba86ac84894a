"""The studio's rules for kits: buffer before a need, waste, heads to a table, the cutter and what off-cuts to keep."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from scheduling.commands.request import Outcome, Request
from scheduling.lengths import read_length, read_size
from scheduling.store.database import Value
from scheduling.store.rows import Transaction

Typed = Annotated[str, Field(max_length=30)]


class SetKitRules(Request[Outcome]):
    """Set rules of the bench; None leaves a value as it is.

    order_buffer_days: kept in hand between goods coming and their need. waste_percent: added to the materials of a kit
    in its cost. heads_per_table: for tools of which a table shares one. kerf, knife_kerf: width lost to a cut;
    longest_cut: what the trimmer takes, "none" for any; smallest_strip: what it can hold; keep: the least off-cut
    worth keeping, "6 x 3". Lengths as typed.
    """

    order_buffer_days: Annotated[int, Field(ge=0, le=60)] | None = None
    waste_percent: Annotated[int, Field(ge=0, le=100)] | None = None
    heads_per_table: Annotated[int, Field(ge=1, le=1000)] | None = None
    kerf: Typed | None = None
    knife_kerf: Typed | None = None
    longest_cut: Typed | None = None
    smallest_strip: Typed | None = None
    keep: Typed | None = None

    def run(self, tx: Transaction) -> Outcome:
        unit = str(tx.value("SELECT units FROM studio"))
        columns: dict[str, Value] = {
            name: getattr(self, name)
            for name in ("order_buffer_days", "waste_percent", "heads_per_table")
            if getattr(self, name) is not None
        }
        for name in ("kerf", "knife_kerf", "longest_cut", "smallest_strip"):
            typed = getattr(self, name)
            if typed is not None:
                columns[f"{name}_counts"] = None if typed == "none" else read_length(typed, unit, field=name).counts
        if self.keep is not None:
            first, second = read_size(self.keep, unit, field="keep")
            columns["keep_long_counts"] = max(first, second).counts
            columns["keep_short_counts"] = min(first, second).counts
        tx.update("studio", 1, columns)
        return Outcome(summary="Changed the rules for kits", said="The rules for kits are kept.")

"""What goes into the car for a class, or onto the tables of a room of her own (job.md 6)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.store.class_facts import class_facts
from scheduling.store.day_things import kits_bagged, tools_wanted
from scheduling.store.rows import Reader

#: What every class in a room wants besides kits and tools.
ALWAYS: Final[tuple[str, ...]] = (
    "Finished sample, and a step-out of each hard step",
    "Sign-in sheet, pens, name tags, consent marks",
    "First-aid kit; water for burns where there is heat",
    "Tray and sharps tin, spare blades",
    "Mats, table covers, aprons, scrap bag",
    "Power leads and tape, lamp",
    "Boards and weights for what dries",
    "Keys, telephone, the venue's number",
)


@dataclass(frozen=True, slots=True)
class CarLine:
    """One line: how many (None where it is not counted), what, and what to look at."""

    what: str
    count: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class CarList:
    """The list of a class; empty for one held online. Raises NotFoundError."""

    class_date_id: int

    def fetch(self, reader: Reader) -> tuple[CarLine, ...]:
        row = reader.first(
            """SELECT class_date.*, venue.online FROM class_date JOIN venue ON venue.id = class_date.venue_id
               WHERE class_date.id = ?""",
            (self.class_date_id,),
        )
        if row is None:
            raise NotFoundError(
                f"There is no class date {ref('class_date', self.class_date_id)}.", hint="Look it up in the classes."
            )
        if row["online"]:
            return ()
        fact = class_facts(reader, [self.class_date_id])[self.class_date_id]
        found: list[CarLine] = []
        if not row["mailed_kit"] and fact.kits:
            bagged = kits_bagged(reader, self.class_date_id) or 0
            short = f"{bagged} bagged so far" if bagged < fact.kits else "all bagged"
            found.append(CarLine(f"Kits: {fact.heads} heads, spares, demonstration", fact.kits, short))
        for tool in tools_wanted(reader, row["project_version_id"], fact.heads):
            note = f"{tool.owned} owned" if tool.owned < tool.wanted else f"per {tool.per}"
            found.append(CarLine(tool.name, tool.wanted, note))
        found.append(CarLine("Handouts and feedback slips", fact.heads))
        return (*found, *(CarLine(what) for what in ALWAYS))

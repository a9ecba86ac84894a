"""What the maker of the demo studio asks of the file."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.errors import NotFoundError
from scheduling.store.class_facts import class_facts, recipe_lines
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class SeedOfFile:
    """The seed of a file's public ids; None in a studio that is no demo."""

    def fetch(self, reader: Reader) -> str | None:
        seed = reader.value("SELECT id_seed FROM studio")
        return None if seed is None else str(seed)


@dataclass(frozen=True, slots=True)
class RecipeNamed:
    """The number of the recipe of that name; raises NotFoundError."""

    name: str

    def fetch(self, reader: Reader) -> int:
        found = reader.value("SELECT id FROM recipe WHERE name = ?", (self.name,))
        if found is None:
            raise NotFoundError(f"There is no recipe {self.name}.", field="name")
        return int(found)


@dataclass(frozen=True, slots=True)
class OpenTask:
    """An open task; line: the key of its line; waits_for: that key and those of all lines that it waits for."""

    id: int
    class_date_id: int
    line: str
    aim_before: dt.datetime
    waits_for: frozenset[str]


@dataclass(frozen=True, slots=True)
class OpenTasks:
    """The open tasks made by recipes, with their aims."""

    def fetch(self, reader: Reader) -> tuple[OpenTask, ...]:
        facts = class_facts(reader)
        chains: dict[int, dict[int, frozenset[str]]] = {}
        found: list[OpenTask] = []
        for row in reader.rows(
            """SELECT id, class_date_id, recipe_line_id FROM task
               WHERE state IN ('needs-action', 'in-process') AND recipe_line_id IS NOT NULL ORDER BY id"""
        ):
            fact = facts[row["class_date_id"]]
            lines = recipe_lines(reader, fact.recipe_id)
            if fact.recipe_id not in chains:
                keys: dict[str, frozenset[str]] = {}
                for line in lines.values():
                    near = [keys.get(after.key, frozenset()) for after in line.after]
                    keys[line.key] = frozenset({line.key}).union(*near)
                chains[fact.recipe_id] = {number: keys[line.key] for number, line in lines.items()}
            line = lines[row["recipe_line_id"]]
            place = fact.dated(line)
            if place is not None:
                waits_for = chains[fact.recipe_id][row["recipe_line_id"]]
                found.append(OpenTask(row["id"], row["class_date_id"], line.key, place.aim_before, waits_for))
        return tuple(found)

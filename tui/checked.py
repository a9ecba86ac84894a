"""Checks while typing that ask the command itself, so that no form has a rule of its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from scheduling.amounts import read_count
from scheduling.commands.request import Request
from scheduling.typed_steps import read_drying
from scheduling.words import read_minutes, show_minutes


def by_command(command: type[Request[Any]], entry: str, **also: Any) -> Callable[[str], str]:
    """Reads an entry by making the command with it alone; raises what the command raises, says nothing otherwise.

    also: entries that the command cannot be made without.
    """

    def read(typed: str) -> str:
        command(**also, **{entry: typed})
        return ""

    return read


def count(least: int, most: int, entry: str, word: str = "") -> Callable[[str], str]:
    """Reads a whole number from `least` to `most`.

    word: what is counted, shown behind it; "kit|kits" has a word for one and one for more.
    """
    one, _, more = word.partition("|")

    def read(typed: str) -> str:
        number = read_count(typed, least=least, most=most, field=entry)
        return f"{number.shown} {one if number.value == 1 else more or one}".strip()

    return read


def minutes(typed: str) -> str:
    """Reads a length of time; says it in hours and minutes."""
    return read_minutes(typed).shown


def drying(typed: str) -> str:
    """Reads hours of drying or pressing; says what they mean."""
    hours = read_drying(typed)
    if hours is None:
        return "as the recipe says"
    return f"{hours} {'hour' if hours == 1 else 'hours'}" if hours else "nothing is glued ahead"


def minutes_typed(value: int) -> str:
    """A length of time as it stands in an entry to be changed."""
    return show_minutes(value)

"""What is typed on a bill of materials: how a part lies, and its options with the material that such a seat gets."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from scheduling.errors import InvalidError
from scheduling.model.materials import BillLine
from scheduling.model.refs import ref, ref_id

NOTHING = "nothing"
_WAYS: Final[dict[str, tuple[str, Any]]] = {
    "may be turned": ("free_grain", True),
    "one way up": ("one_way", True),
    "folded along the grain": ("fold", "along"),
    "folded across the grain": ("fold", "across"),
    "left of a pair": ("hand", "left"),
    "right of a pair": ("hand", "right"),
    "good side shows": ("face", "front"),
    "back shows": ("face", "back"),
}


def read_ways(text: str, *, field: str = "lines") -> dict[str, Any]:
    """How a part lies, as typed: "one way up, back shows"; as entries of a line of a bill.

    Raises InvalidError for other words, or two of a kind.
    """
    found: dict[str, Any] = {}
    for words in filter(None, (each.strip().casefold() for each in text.split(","))):
        if words not in _WAYS:
            raise InvalidError(f"{words} is no way for a part to lie.", hint=f"Use {', '.join(_WAYS)}.", field=field)
        name, value = _WAYS[words]
        if found.get(name, value) != value:
            raise InvalidError(f"{text.strip()} says two things at once.", hint="Give one of each kind.", field=field)
        found[name] = value
    return found


def ways_text(line: BillLine) -> str:
    """The same as it is typed; empty where nothing is to be minded."""
    return ", ".join(words for words, (name, value) in _WAYS.items() if getattr(line, name) == value)


def read_options(text: str, *, field: str = "options") -> dict[str, int | None]:
    """Options as typed: "slate = M04; no glue = nothing"; raises InvalidError that names the part at fault."""
    found: dict[str, int | None] = {}
    for part in filter(None, (each.strip() for each in text.split(";"))):
        name, sign, wanted = (each.strip() for each in part.partition("="))
        if not sign or not name or not wanted:
            raise InvalidError(
                f"{part} is no option.",
                hint="Write a name and a material: slate = M04; no glue = nothing.",
                field=field,
            )
        if name in found:
            raise InvalidError(f"The option {name} stands twice.", hint="Name it once.", field=field)
        found[name] = None if wanted.casefold() in (NOTHING, "none", "-") else ref_id(wanted, "material", field=field)
    return found


def options_text(options: Mapping[str, int | None]) -> str:
    """The same as it is typed."""
    return "; ".join(
        f"{name} = {NOTHING if number is None else ref('material', number)}" for name, number in options.items()
    )

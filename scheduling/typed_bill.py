"""What is typed on a bill of materials: the options of a part, by name, with the material that such a seat gets."""

from __future__ import annotations

from collections.abc import Mapping

from scheduling.errors import InvalidError
from scheduling.model.refs import ref, ref_id

NOTHING = "nothing"


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

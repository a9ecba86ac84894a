"""Finding the material, supplier or tool that an argument names: a reference, or words of its name."""

from __future__ import annotations

import re

from scheduling.errors import InvalidError, NotFoundError
from scheduling.folding import fold_text
from scheduling.model.refs import LETTERS, ref, ref_id
from scheduling.queries.kit_shelves import Materials, Suppliers, Tools
from scheduling.studio import Studio


def material_named(studio: Studio, text: str, *, field: str = "material") -> int:
    """The material of a reference, or the one whose name holds the text; raises NotFoundError or InvalidError."""
    return _named(text, "material", [(row.id, row.name) for row in studio.ask(Materials(with_retired=True))], field)


def supplier_named(studio: Studio, text: str, *, field: str = "supplier") -> int:
    """The supplier of a reference, or the one whose name holds the text; raises as material_named does."""
    return _named(text, "supplier", [(row.id, row.name) for row in studio.ask(Suppliers(with_retired=True))], field)


def tool_named(studio: Studio, text: str, *, field: str = "tool") -> int:
    """The tool of a reference, or the one whose name holds the text; raises as material_named does."""
    return _named(text, "tool", [(row.id, row.name) for row in studio.ask(Tools(with_retired=True))], field)


def _named(text: str, kind: str, entries: list[tuple[int, str]], field: str) -> int:
    if re.fullmatch(rf"{LETTERS[kind]}\d+", text.strip(), re.IGNORECASE):
        row_id = ref_id(text, kind, field=field)
        if not any(number == row_id for number, _ in entries):
            raise NotFoundError(f"There is no {kind} {ref(kind, row_id)}.", hint=f"See: kitwright {kind}", field=field)
        return row_id
    wanted = fold_text(text)
    hits = [entry for entry in entries if fold_text(entry[1]) == wanted]
    hits = hits or [entry for entry in entries if wanted in fold_text(entry[1])]
    if len(hits) == 1:
        return hits[0][0]
    if not hits:
        raise NotFoundError(f"No {kind} matches {text!r}.", hint=f"See: kitwright {kind}", field=field)
    names = ", ".join(f"{ref(kind, number)} {name}" for number, name in hits[:6])
    raise InvalidError(f"{text!r} matches {names}.", hint="Name one by the reference.", field=field)

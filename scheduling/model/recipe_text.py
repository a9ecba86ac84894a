"""A recipe line as the store keeps it, and as a form changes it."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from pydantic import ValidationError

from scheduling.errors import InvalidError
from scheduling.model.prep import Line

if TYPE_CHECKING:
    from pydantic import TypeAdapter


@lru_cache(maxsize=1)
def _adapter() -> TypeAdapter[Line]:
    from pydantic import TypeAdapter

    return TypeAdapter(Line)


def line_text(line: Line) -> str:
    """The line as JSON, the same text for the same line."""
    return _adapter().dump_json(line).decode()


@lru_cache(maxsize=4096)
def line_of(text: str) -> Line:
    """The line that `line_text` wrote; raises InvalidError when the text is none."""
    try:
        return _adapter().validate_json(text)
    except ValidationError as error:
        raise InvalidError("A recipe line in the file is damaged.", hint="Open a copy of the file.") from error

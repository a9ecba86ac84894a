"""What every command shares: a checked request that runs in one transaction and says what it did."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from scheduling.errors import InvalidError
from scheduling.store.rows import Reader, Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a command did.

    summary: for the history; names people only by reference.
    said: the sentence for the screen.
    warnings: what she should know, though nothing was refused.
    history_id: the action's number in the history; 0 when nothing changed.
    """

    summary: str
    said: str
    warnings: tuple[str, ...] = ()
    history_id: int = 0


_SAYS = {
    "missing": ("is missing.", "Give it."),
    "string_too_long": ("is longer than {max_length} letters.", "Shorten it."),
    "string_too_short": ("is empty.", "Write something."),
    "too_long": ("has more than {max_length}.", "Take some away."),
    "too_short": ("is empty.", "Name at least one."),
    "greater_than": ("has to be more than {gt}.", ""),
    "greater_than_equal": ("has to be {ge} or more.", ""),
    "less_than": ("has to be less than {lt}.", ""),
    "less_than_equal": ("has to be {le} or less.", ""),
    "literal_error": ("has to be {expected}.", ""),
}
"""What is wrong with an entry and what mends it, by the checker's own name for it."""

O_co = TypeVar("O_co", bound=Outcome, covariant=True)


class Request(BaseModel, Generic[O_co]):
    """A frozen, checked request; one run is one transaction and one history row.

    Raises InvalidError, with the field named, when an entry has the wrong form.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True, str_strip_whitespace=True)

    undoable: ClassVar[bool] = True
    erases: ClassVar[bool] = False
    deed: ClassVar[str] = "action"

    def __init__(self, **entries: Any) -> None:
        try:
            super().__init__(**entries)
        except ValidationError as error:
            first = error.errors()[0]
            field = str(first["loc"][0]) if first["loc"] else ""
            says, mend = _SAYS.get(first["type"], ("is not possible: {said}.", ""))
            limits = {
                name: f"{value:,}" if isinstance(value, int) else value for name, value in first.get("ctx", {}).items()
            }
            says = says.format(said=first["msg"].removesuffix("."), **limits)
            name = field.removesuffix("_minor").removesuffix("_id").replace("_", " ")
            raise InvalidError(f"The entry {name} {says}", hint=mend, field=field) from error

    def run(self, tx: Transaction) -> O_co:
        raise NotImplementedError


Progress = Callable[[int, int], bool]
"""Called with (done, whole) steps; False stops the work."""
Finish = Callable[[Transaction], O_co]
"""The short rest of a long request, in its transaction."""


class LongRequest(Request[O_co]):
    """A request on very many rows: they are worked out outside the write lock and put in at once (decisions 17).

    What was prepared is finished only in the very state of the file that it was prepared from.
    """

    def prepare(self, reader: Reader, progress: Progress | None) -> Finish[O_co]:
        """Work out what is to be written.

        Raises a SchedulingError where it is refused, with the field "stopped" where `progress` says stop.
        """
        raise NotImplementedError

    def run(self, tx: Transaction) -> O_co:
        return self.prepare(tx, None)(tx)

"""What every command shares: a checked request that runs in one transaction and says what it did."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from scheduling.errors import InvalidError
from scheduling.store.rows import Transaction


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
            raise InvalidError(
                f"The entry {field.replace('_', ' ')} is not possible: {first['msg']}.".replace("..", "."), field=field
            ) from error

    def run(self, tx: Transaction) -> O_co:
        raise NotImplementedError

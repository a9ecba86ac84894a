"""Several commands as one action: all of them or none, and one undo takes them back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field, field_validator

from scheduling.commands.request import Outcome, Request
from scheduling.errors import InvalidError
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class AllDone(Outcome):
    pass


class AllAtOnce(Request[AllDone]):
    """Do these commands in order, as one action; only such as can be taken back."""

    parts: Annotated[tuple[Any, ...], Field(min_length=1, max_length=20)]

    @field_validator("parts")
    @classmethod
    def _are_actions(cls, value: tuple[Any, ...]) -> tuple[Any, ...]:
        for part in value:
            if not isinstance(part, Request) or not part.undoable or part.erases or part.deed != "action":
                raise InvalidError("Only actions that can be taken back are done at once.", hint="Do it by itself.")
        return value

    def run(self, tx: Transaction) -> AllDone:
        outcomes = [part.run(tx) for part in self.parts]
        return AllDone(
            summary="; ".join(outcome.summary for outcome in outcomes),
            said=" ".join(outcome.said for outcome in outcomes),
            warnings=tuple(warning for outcome in outcomes for warning in outcome.warnings),
        )

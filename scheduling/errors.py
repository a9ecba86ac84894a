"""The one family of refusals: what happened in a sentence, and the next thing to do."""

from __future__ import annotations


class SchedulingError(Exception):
    """A request that cannot be done, said so that the instructor can mend it.

    message: one plain sentence that says what and which.
    hint: the next thing to do, as an instruction; may be empty.
    field: the name of the entry to mend; may be empty.
    """

    def __init__(self, message: str, *, hint: str = "", field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.field = field

    def __str__(self) -> str:
        return f"{self.message} {self.hint}".strip()


class InvalidError(SchedulingError):
    """An entry is not understood or not possible; `field` names it."""


class ConflictError(SchedulingError):
    """The request clashes with what is kept already."""


class NotFoundError(SchedulingError):
    """What was named does not exist."""


class StoreError(SchedulingError):
    """The studio file cannot be read or written."""


class BusyError(StoreError):
    """Another window is saving just now: the same request will be taken a little later."""

    def __init__(self) -> None:
        super().__init__("Another window is saving.", hint="Nothing was changed; try again in a moment.")


class UnseenError(ConflictError):
    """The latest action was made elsewhere and has not been seen here; `history_id` names it."""

    def __init__(self, message: str, *, history_id: int, hint: str = "") -> None:
        super().__init__(message, hint=hint, field="history_id")
        self.history_id = history_id

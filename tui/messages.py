"""What screens and workers tell each other: a long piece of work goes on or has ended."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.message import Message

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome, Request
    from scheduling.errors import SchedulingError
    from scheduling.planner.plan import Plan


class Planned(Message):
    """A worker has worked out a plan, or failed to: `plan` is None then."""

    def __init__(self, plan: Plan | None) -> None:
        super().__init__()
        self.plan = plan


class Working(Message):
    """A background job is `done` of `whole` steps on (whole 0: not known yet)."""

    def __init__(self, job: str, done: int, whole: int) -> None:
        super().__init__()
        self.job = job
        self.done = done
        self.whole = whole


class Worked(Message):
    """A background job has ended with `result`, made from the studio's `revision`."""

    def __init__(self, job: str, result: object, revision: int) -> None:
        super().__init__()
        self.job = job
        self.result = result
        self.revision = revision


class WorkRefused(Message):
    """A background job ended with a SchedulingError; nothing was kept."""

    def __init__(self, job: str, error: Exception) -> None:
        super().__init__()
        self.job = job
        self.error = error


class DoneBeside(Message):
    """A command that was done beside the page: its outcome, or the SchedulingError that refused it."""

    def __init__(self, command: Request[Any], outcome: Outcome | None, error: SchedulingError | None) -> None:
        super().__init__()
        self.command = command
        self.outcome = outcome
        self.error = error

"""How the studio stands, in two numbers."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class StandingNow:
    """late: open tasks that cannot make their hard date; at_risk: coming classes under their minimum."""

    late: int
    at_risk: int


@dataclass(frozen=True, slots=True)
class Standing:
    """The numbers for the top line."""

    def fetch(self, reader: Reader) -> StandingNow:
        raise NotImplementedError

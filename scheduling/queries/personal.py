"""What is kept of a person, and what is due to be erased."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class HealthNotesDue:
    """How many people have a health note past its erase-after day, in their entry or in the history."""

    def fetch(self, reader: Reader) -> int:
        return reader.health_due()

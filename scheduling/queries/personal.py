"""What is kept of a person, and what is due to be erased."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class HealthNotesDue:
    """How many health notes have passed their erase-after day."""

    def fetch(self, reader: Reader) -> int:
        return int(reader.value("SELECT count(*) FROM person WHERE health_erase_on < ?", (reader.today().isoformat(),)))

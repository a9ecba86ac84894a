"""Where her own calendar is published."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class CollectionPlace:
    """url, user: empty before the first time."""

    url: str
    user: str


@dataclass(frozen=True, slots=True)
class Collection:
    """The CalDAV collection used last for a calendar: the one for anyone, or her own (`private`)."""

    which: Literal["classes", "private"] = "classes"

    def fetch(self, reader: Reader) -> CollectionPlace:
        row = reader.first("SELECT caldav_url, caldav_user, caldav_own_url, caldav_own_user FROM studio")
        if row is None:
            return CollectionPlace("", "")
        of = "caldav_own" if self.which == "private" else "caldav"
        return CollectionPlace(row[f"{of}_url"], row[f"{of}_user"])

"""Where her own calendar is published."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class CollectionPlace:
    """url, user: empty before the first time."""

    url: str
    user: str


@dataclass(frozen=True, slots=True)
class Collection:
    """The CalDAV collection used last."""

    def fetch(self, reader: Reader) -> CollectionPlace:
        row = reader.first("SELECT caldav_url, caldav_user FROM studio")
        return CollectionPlace("", "") if row is None else CollectionPlace(row["caldav_url"], row["caldav_user"])

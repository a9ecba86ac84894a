"""Where her own calendar is published: remembered without its password."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.request import Outcome, Request
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class CollectionKept(Outcome):
    """The address is kept."""


class KeepCollection(Request[CollectionKept]):
    """Remember the address of her CalDAV collection and the user there."""

    url: Annotated[str, Field(max_length=500)]
    user: Annotated[str, Field(max_length=200)]

    def run(self, tx: Transaction) -> CollectionKept:
        tx.update("studio", 1, {"caldav_url": self.url, "caldav_user": self.user})
        said = "The calendar's address is kept, without its password."
        return CollectionKept(summary="Changed where the calendar is published", said=said)

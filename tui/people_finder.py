"""Attendees by a few typed letters, for pickers: one index for the whole program, kept up with the file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from scheduling.people_index import PeopleIndex, TextFinder
from scheduling.queries.people import FindPeople, PersonRow
from scheduling.queries.people_list import PeopleRows
from scheduling.studio import Studio

#: Rows shown at a key: more than a screen holds, few enough to stay quick.
AT_MOST: Final = 60


class PeopleFinder:
    """Finds attendees in a few milliseconds a key; the first find reads all of them once."""

    def __init__(self, studio: Studio) -> None:
        self._studio = studio
        self._index = PeopleIndex()
        self._ids: list[int] = []
        self._find: TextFinder | None = None

    def prepare(self) -> None:
        """Bring the index to the state of the file; some 150 ms for 50,000 people the first time, then under 1."""
        if self._index.follow(self._studio.ask) or self._find is None:
            self._ids, self._find = self._index.listed()

    def __call__(self, typed: str) -> tuple[Sequence[PersonRow], int]:
        """The best matches, and how many match in all."""
        if not typed:
            found = self._studio.ask(FindPeople("", at_most=AT_MOST))
            return found.rows, found.total
        self.prepare()
        assert self._find is not None
        hits = self._find(typed)
        ids = [self._ids[place] for place in hits[:AT_MOST]]
        rows = {row.id: row for row in self._studio.ask(PeopleRows(tuple(ids)))}
        return [rows[number] for number in ids if number in rows], len(hits)

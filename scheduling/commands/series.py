"""A recurring date: a rule that proposed days; each becomes a class date of its own (decisions 1)."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.class_rows import class_warnings
from scheduling.commands.classes import MakeClassDate, insert_class
from scheduling.commands.found import in_use, number, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.class_dates import in_order, session_times
from scheduling.model.refs import ref
from scheduling.model.repeats import proposed_starts
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesKept(Outcome):
    series_id: int
    class_date_ids: tuple[int, ...]


class MakeSeries(Request[SeriesKept]):
    """Make class dates on the chosen days of a rule.

    first: what every date shares; its first session gives the hours and the earliest day.
    days: the proposed days that she keeps; each must be one that the rule gives.
    series_id: a series to go on with by its own rule and start; its days made before are passed over.
    """

    first: MakeClassDate
    rule: str
    days: Annotated[tuple[dt.date, ...], Field(min_length=1, max_length=400)]
    series_id: int | None = None

    def run(self, tx: Transaction) -> SeriesKept:
        zone = str(tx.value("SELECT time_zone FROM studio"))
        starts = begun = self.first.sessions[0][0]
        rule = self.rule
        if self.series_id is not None:
            row = in_use(tx, "series", self.series_id)
            rule, begun = text(row, "rule"), dt.datetime.fromisoformat(text(row, "starts"))
        proposed = {moment.date() for moment in proposed_starts(rule, begun, max(self.days), zone=zone)}
        strange = sorted(set(self.days) - proposed)
        if strange:
            raise InvalidError(
                f"{strange[0]} is not a day of the rule.", hint="Choose among the days proposed.", field="days"
            )
        series_id = self.series_id or tx.insert(
            "series", {"rule": self.rule, "starts": f"{starts:%Y-%m-%dT%H:%M}", "zone": zone}
        )
        made: list[int] = []
        warnings: list[str] = []
        title = ""
        for day in sorted(set(self.days)):
            move = day - starts.date()
            key = f"{day}T{begun:%H:%M}"
            if tx.first("SELECT 1 FROM class_date WHERE series_id = ? AND series_start = ?", (series_id, key)):
                continue
            sessions = in_order([session_times(start + move, end + move, zone) for start, end in self.first.sessions])
            row = insert_class(tx, self.first, sessions, series_id=series_id, series_start=key)
            made.append(number(row, "id"))
            title = text(row, "title")
            warnings += [
                f"{ref('class_date', number(row, 'id'))}: {w}" for w in class_warnings(tx, number(row, "id"), sessions)
            ]
        if not made:
            raise ConflictError("All those days are made already.", hint="Choose later days.", field="days")
        refs = (
            f"{ref('class_date', made[0])} to {ref('class_date', made[-1])}"
            if len(made) > 1
            else ref("class_date", made[0])
        )
        return SeriesKept(
            summary=f"Made {len(made)} dates of {ref('series', series_id)}: {refs}",
            said=f"{title}: {len(made)} dates made, {refs}.",
            warnings=tuple(warnings),
            series_id=series_id,
            class_date_ids=tuple(made),
        )

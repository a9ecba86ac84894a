"""A class date that keeps an older version of its project, as it is named and told."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.model.refs import ref


@dataclass(frozen=True, slots=True)
class ClassBehind:
    """A class date, the number of the version it keeps, and whether anything of its kits is made already."""

    class_date_id: int
    title: str
    first_day: dt.date
    version: int
    begun: bool

    @property
    def ref(self) -> str:
        return ref("class_date", self.class_date_id)


def named_behind(classes: tuple[ClassBehind, ...], *, most: int = 4) -> str:
    """Their references in a sentence: "C05, C08 and 3 more"."""
    refs = [one.ref for one in classes]
    if len(refs) > most:
        return f"{', '.join(refs[: most - 1])} and {len(refs) - most + 1} more"
    return " and ".join(filter(None, (", ".join(refs[:-1]), *refs[-1:])))

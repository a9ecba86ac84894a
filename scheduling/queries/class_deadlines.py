"""The dates that hang on one class date, and the sum behind its kits."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.store.class_facts import class_facts
from scheduling.store.rows import Reader
from scheduling.words import show_day


@dataclass(frozen=True, slots=True)
class ClassDeadline:
    """A day by whose end something is to be done or decided; why: how the day came about, one sentence."""

    kind: str
    day: dt.date
    why: str


@dataclass(frozen=True, slots=True)
class ClassDeadlinesPage:
    """deadlines: by day. kits: to build, made of heads (seats taken now), spares and demo copies."""

    deadlines: tuple[ClassDeadline, ...]
    kits: int
    heads: int
    spares: int
    demo_copies: int


@dataclass(frozen=True, slots=True)
class ClassDeadlines:
    """Sign-up close, go/no-go, post-by and final head count of one class date; raises NotFoundError."""

    class_date_id: int

    def fetch(self, reader: Reader) -> ClassDeadlinesPage:
        facts = class_facts(reader, [self.class_date_id]).get(self.class_date_id)
        studio = reader.first("SELECT * FROM studio")
        if facts is None or studio is None:
            raise NotFoundError(
                f"There is no class date {ref('class_date', self.class_date_id)}.",
                hint="Look it up in the classes.",
                field="class_date_id",
            )
        dates = facts.dates
        class_day = dates.starts.local.date()
        mailed = dates.post_by is not None
        close = f"{studio['close_days_room']} days before the class"
        if dates.post_by is not None:
            close = f"{studio['close_days_mailed']} days before post-by on {show_day(dates.post_by)}"
        decide = "the last day on which giving the venue back costs nothing" if facts.hired_venue else "7 days before"
        if mailed:
            decide = (
                "the day before sign-up closes, before kits are mailed"
                if not facts.hired_venue
                else (f"{decide}, or the day before sign-up closes, whichever comes first")
            )
        candidates = (
            ("sign-up close", dates.sign_up_close, f"Sign-up closes {close}; the studio's settings say so."),
            ("go/no-go", dates.go_no_go, f"The decision whether the class runs: {decide}."),
            ("post-by", dates.post_by, _posting(studio["transit_days"], studio["in_hand_days_before"])),
            (
                "post-by abroad",
                dates.post_by_abroad,
                _posting(studio["transit_days_abroad"], studio["in_hand_days_before"]),
            ),
            *(
                (f"{kind} ends", day, f"The last day of its {kind}, to midnight there.")
                for kind, day in facts.promotions
            ),
            ("final head count", dates.final_count, "The host names the heads for the kits by then."),
            ("class", class_day, "The first session."),
        )
        return ClassDeadlinesPage(
            deadlines=tuple(
                sorted(
                    (ClassDeadline(kind, day, why) for kind, day, why in candidates if day is not None),
                    key=lambda one: one.day,
                )
            ),
            kits=facts.kits,
            heads=facts.heads,
            spares=facts.kits - facts.heads - studio["demo_copies"],
            demo_copies=studio["demo_copies"],
        )


def _posting(transit_days: int, in_hand_days: int) -> str:
    return f"{transit_days} mailing days on the way, in hand {in_hand_days} days before the class."

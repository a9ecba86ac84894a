"""All that the money page shows of one moment, asked in one go."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.queries.cash import CashDates, CashDatesPage
from scheduling.queries.owed import Owed, OwedPage
from scheduling.queries.waitlist import Waitlist, WaitlistPage
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class MoneyRoomPage:
    """owed: both ways and what is held; waitlist: offers and holds that run or lapsed.

    cash: what is to come in and go out, by day.
    """

    owed: OwedPage
    waitlist: WaitlistPage
    cash: CashDatesPage


@dataclass(frozen=True, slots=True)
class MoneyRoom:
    """The money of the whole studio."""

    def fetch(self, reader: Reader) -> MoneyRoomPage:
        return MoneyRoomPage(Owed().fetch(reader), Waitlist().fetch(reader), CashDates().fetch(reader))

"""The dates that hang on a class: sign-up close, go/no-go, post-by, final head count, order-by."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.clock import WallTime, day_in
from scheduling.errors import InvalidError
from scheduling.model.day_calendar import DayCalendar, after_day, at_time, days_after
from scheduling.model.kinds import Kind, is_release, kinds_of


def class_day(starts: WallTime) -> dt.date:
    """The class day T: the calendar day, in the class's own zone, on which its first session starts."""
    return starts.local.date()


def days_before(starts: WallTime, count: int) -> dt.date:
    """T-`count`, by calendar days in the class's zone (domain.md, rule 4)."""
    return days_after(class_day(starts), -count)


def days_to_go(now: dt.datetime, starts: WallTime) -> int:
    """Calendar days from `now` (aware) to the class day, as the class's zone counts them; below 0 afterwards."""
    return (class_day(starts) - day_in(now, starts.zone)).days


# --- a venue's terms --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CancelStep:
    """From T-`days_before` on, `owed_percent` of the hire is owed when the date is given back."""

    days_before: int
    owed_percent: int


@dataclass(frozen=True, slots=True)
class CancelTerms:
    """What a venue asks for a date given back, as steps of falling days.

    steps: at least one; days fall and percents rise from step to step. Before the first nothing is owed, so a venue
        that is "free to T-14" has its first step at 14, and T-15 is the last free day (decisions 9).
    """

    steps: tuple[CancelStep, ...]

    def __post_init__(self) -> None:
        days = [step.days_before for step in self.steps]
        percents = [step.owed_percent for step in self.steps]
        if not days or min(days) < 0 or sorted(set(days), reverse=True) != days:
            raise InvalidError(
                "Each step of the cancel terms comes nearer to the class.",
                hint="Give the steps from the earliest to the latest, each with its own day.",
                field="cancel_terms",
            )
        if sorted(set(percents)) != percents or percents[0] < 1 or percents[-1] > 100:
            raise InvalidError(
                "Each step of the cancel terms asks for more than the one before, up to 100 percent.",
                hint="Give percents that rise from 1 or more to 100 or less.",
                field="cancel_terms",
            )

    def first_penalty_day(self, day: dt.date) -> dt.date:
        """The first day on which giving back the class of `day` costs something."""
        return days_after(day, -self.steps[0].days_before)

    def last_free_day(self, day: dt.date) -> dt.date:
        return days_after(self.first_penalty_day(day), -1)

    def owed_percent(self, day: dt.date, notice_day: dt.date) -> int:
        """The share of the hire owed when the class of `day` is given back on `notice_day`, 0 to 100."""
        passed = [step.owed_percent for step in self.steps if notice_day >= days_after(day, -step.days_before)]
        return passed[-1] if passed else 0


# --- the rules of one date each ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DateRules:
    """The studio's settings behind the dates of a class; all in days (job.md 1 and decisions 20)."""

    open_days_before: int = 56
    close_days_before: int = 3
    close_days_before_post_by: int = 2
    own_room_go_no_go_days: int = 7
    go_no_go_days_before_close: int = 1
    final_count_days: int = 7
    transit_days: int = 5
    transit_days_abroad: int = 15
    in_hand_days_before: int = 4
    handling_days: int = 0


def post_by(
    day: dt.date, *, transit_days: int, in_hand_days_before: int, mailing: DayCalendar, handling_days: int = 0
) -> dt.date:
    """The latest mailing day on which kits for the class of `day` can be posted.

    transit_days: the longest transit, in mailing days after the day of posting; the last one ends by
        T-`in_hand_days_before`.
    handling_days: mailing days that the kits lie before they travel.
    Source: job.md 1, "Back-schedule sums".
    """
    in_hand = mailing.on_or_before(days_after(day, -in_hand_days_before))
    return mailing.before(in_hand, transit_days + handling_days)


def sign_up_close(day: dt.date, *, posted_by: dt.date | None, rules: DateRules) -> dt.date:
    """The last day to sign up: before post-by where kits are mailed, before the class otherwise (decisions 20)."""
    if posted_by is not None:
        return days_after(posted_by, -rules.close_days_before_post_by)
    return days_after(day, -rules.close_days_before)


def go_no_go(day: dt.date, *, cancel: CancelTerms | None, mailed_close: dt.date | None, rules: DateRules) -> dt.date:
    """The day to decide whether the class of `day` runs (decisions 20).

    cancel: the venue's terms; None for a room of her own or none at all.
    mailed_close: the sign-up close, where kits are mailed; the decision comes before it.
    """
    own_room = days_after(day, -rules.own_room_go_no_go_days)
    decide = own_room if cancel is None else cancel.last_free_day(day)
    if mailed_close is None:
        return decide
    return min(decide, days_after(mailed_close, -rules.go_no_go_days_before_close))


# --- orders -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Delivery:
    """How fast a supplier delivers.

    lead_days: days that count after the day on which the order is placed (day 0) to the day the goods come.
    counting: the days that count: working days less closures, or every day of the calendar.
    taking: the days on which the supplier takes orders; an order on another day is placed on the next.
    zone: the supplier's own.
    order_before: an order from this time on is placed on the next day taken; None: the whole day is open.
    """

    lead_days: int
    counting: DayCalendar
    taking: DayCalendar
    zone: str
    order_before: dt.time | None = None

    def closing(self, day: dt.date) -> dt.datetime:
        """The instant, in UTC, from which an order is no longer placed on `day`."""
        return after_day(day, self.zone) if self.order_before is None else at_time(day, self.order_before, self.zone)


@dataclass(frozen=True, slots=True)
class OrderBy:
    """The last day to order, and the instant (UTC) before which the order must be out."""

    day: dt.date
    before: dt.datetime


def order_by(need_day: dt.date, delivery: Delivery, *, buffer_days: int = 0) -> OrderBy:
    """The latest time to order goods that are needed on `need_day`; they serve on the day they come.

    buffer_days: calendar days kept in hand between coming and need.
    """
    latest = delivery.counting.latest_start(days_after(need_day, -buffer_days), delivery.lead_days)
    day = delivery.taking.on_or_before(latest)
    return OrderBy(day, delivery.closing(day))


def placed_on(ordered_at: dt.datetime, delivery: Delivery) -> dt.date:
    """The supplier's day that an order sent at `ordered_at` (aware) counts from."""
    day = delivery.taking.on_or_after(day_in(ordered_at, delivery.zone))
    return day if ordered_at < delivery.closing(day) else delivery.taking.on_or_after(days_after(day, 1))


def arrives_on(ordered_at: dt.datetime, delivery: Delivery) -> dt.date:
    """The day on which goods ordered at `ordered_at` (aware) come."""
    return delivery.counting.after(placed_on(ordered_at, delivery), delivery.lead_days)


# --- all dates of one class -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ClassDates:
    """Everything that prep may be counted from; a day lasts to its end in the class's zone.

    starts, ends: start of the first and end of the last session; both the moment of release for a recorded class.
    None where the class has no such date. Dates that she sets by hand are put in with `dataclasses.replace`.
    """

    starts: WallTime
    ends: WallTime
    sign_up_open: dt.date | None = None
    sign_up_close: dt.date | None = None
    go_no_go: dt.date | None = None
    post_by: dt.date | None = None
    post_by_abroad: dt.date | None = None
    final_count: dt.date | None = None
    promotion_end: dt.date | None = None
    order_by: dt.date | None = None
    release: dt.date | None = None

    def __post_init__(self) -> None:
        if self.ends.utc < self.starts.utc:
            raise InvalidError("A class ends after it starts.", hint="Give a later end.", field="ends")


def class_dates(
    starts: WallTime,
    ends: WallTime,
    kinds: frozenset[Kind],
    *,
    rules: DateRules,
    mailing: DayCalendar,
    cancel: CancelTerms | None = None,
    sends_abroad: bool = False,
    promotion_end: dt.date | None = None,
    order_by_day: dt.date | None = None,
) -> ClassDates:
    """Work out the dates of a class from its sessions, its kinds and the studio's rules.

    starts, ends: start of the first session and end of the last.
    cancel: the venue's terms, None for a room of her own or no room.
    sends_abroad: some kit goes abroad, so the longer post-by is wanted too.
    promotion_end: last day of a promotion on bookings; order_by_day: earliest order-by of what the class still lacks.
    Raises InvalidError: the kinds name no way of taking part, or the class ends before it starts.
    Source: decisions 20; job.md 1, "Back-schedule sums".
    """
    day = class_day(starts)
    opens = days_after(day, -rules.open_days_before)
    if is_release(kinds_of(kinds)):
        return ClassDates(
            starts, ends, sign_up_open=opens, promotion_end=promotion_end, order_by=order_by_day, release=day
        )
    posted_by = _post_by(day, rules.transit_days, rules, mailing) if Kind.MAILED in kinds else None
    closes = sign_up_close(day, posted_by=posted_by, rules=rules)
    return ClassDates(
        starts,
        ends,
        sign_up_open=opens,
        sign_up_close=closes,
        go_no_go=go_no_go(day, cancel=cancel, mailed_close=closes if posted_by else None, rules=rules),
        post_by=posted_by,
        post_by_abroad=(
            _post_by(day, rules.transit_days_abroad, rules, mailing) if posted_by and sends_abroad else None
        ),
        final_count=days_after(day, -rules.final_count_days) if Kind.PARTY in kinds else None,
        promotion_end=promotion_end,
        order_by=order_by_day,
        release=day if Kind.RECORDED in kinds else None,
    )


def _post_by(day: dt.date, transit_days: int, rules: DateRules, mailing: DayCalendar) -> dt.date:
    return post_by(
        day,
        transit_days=transit_days,
        in_hand_days_before=rules.in_hand_days_before,
        mailing=mailing,
        handling_days=rules.handling_days,
    )

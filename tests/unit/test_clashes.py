"""What is in the way of sessions before they are kept, and the dates and kits of one class."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.classes import MakeClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.projects import AddProject
from scheduling.commands.settings import CloseDays, SetUpStudio
from scheduling.commands.venues import AddVenue
from scheduling.errors import InvalidError, NotFoundError
from scheduling.model.class_dates import LocalSpan
from scheduling.queries.clashes import Clashes
from scheduling.queries.class_deadlines import ClassDeadlines
from scheduling.studio import Studio

NOW = dt.datetime(2027, 2, 1, 13, tzinfo=dt.UTC)


def span(starts: str, ends: str) -> LocalSpan:
    return dt.datetime.fromisoformat(starts), dt.datetime.fromisoformat(ends)


@pytest.fixture
def studio() -> Iterator[Studio]:
    """A studio with one hall (75 min set-up, 60 min clear-down) and one class there, Sat 13 Mar 10:00-12:00."""
    first = SetUpStudio(name="Test", time_zone="America/New_York", currency="USD")
    with Studio.made(":memory:", first, clock=FixedClock(NOW)) as made:
        made.do(AddVenue(name="Hall", seats=10, set_up_minutes=75, clear_down_minutes=60, cancel_steps=((14, 50),)))
        made.do(AddProject(title="Lantern", teaching_minutes=120))
        made.do(MakeClassDate(project_id=1, venue_id=1, sessions=(span("2027-03-13T10:00", "2027-03-13T12:00"),)))
        yield made


def test_set_up_and_clear_down_of_both_classes_count(studio: Studio) -> None:
    after_both = Clashes((span("2027-03-13T14:15", "2027-03-13T16:00"),), venue_id=1)
    too_near = Clashes((span("2027-03-13T14:14", "2027-03-13T16:00"),), venue_id=1)
    assert studio.ask(after_both) == ()
    assert studio.ask(too_near) == (
        "Overlaps C01 Lantern on Sat 13 Mar, set-up and clear-down counted: move one of them.",
    )


def test_a_class_is_not_in_its_own_way(studio: Studio) -> None:
    same = (span("2027-03-13T11:00", "2027-03-13T13:00"),)
    assert studio.ask(Clashes(same, venue_id=1, class_date_id=1)) == ()


def test_a_cancelled_class_is_in_nobody_s_way(studio: Studio) -> None:
    studio.do(Decide(class_date_id=1, choice="call off"))
    assert studio.ask(Clashes((span("2027-03-13T10:00", "2027-03-13T12:00"),), venue_id=1)) == ()


def test_closed_days_and_days_gone_by_are_said(studio: Studio) -> None:
    studio.do(CloseDays(first=dt.date(2027, 3, 20), note="away"))
    blocked = studio.ask(Clashes((span("2027-03-20T10:00", "2027-03-20T12:00"),)))
    assert blocked == ("Sat 20 Mar is a blocked day (away).",)
    assert studio.ask(Clashes((span("2027-01-30T10:00", "2027-01-30T12:00"),)))[0] == "That day is past."


def test_a_night_of_a_clock_change_is_measured_in_real_hours(studio: Studio) -> None:
    studio.do(MakeClassDate(project_id=1, venue_id=1, sessions=(span("2027-03-14T04:00", "2027-03-14T06:00"),)))
    # From 01:00 to 03:00 on the wall is one real hour that night; 60 + 75 minutes are needed between the two.
    ends_one = Clashes((span("2027-03-13T22:00", "2027-03-14T00:45"),), venue_id=1)
    ends_two = Clashes((span("2027-03-13T22:00", "2027-03-14T00:46"),), venue_id=1)
    assert studio.ask(ends_one) == ()
    assert len(studio.ask(ends_two)) == 1


def test_sessions_that_cannot_be_are_refused(studio: Studio) -> None:
    with pytest.raises(InvalidError, match="does not exist"):
        studio.ask(Clashes((span("2027-03-14T02:30", "2027-03-14T04:00"),)))


def test_the_dates_of_a_class_come_in_order_with_their_reasons(studio: Studio) -> None:
    page = studio.ask(ClassDeadlines(1))
    assert [(one.kind, one.day) for one in page.deadlines] == [
        ("go/no-go", dt.date(2027, 2, 26)),  # T-15: the hall costs from T-14 on
        ("sign-up close", dt.date(2027, 3, 10)),
        ("class", dt.date(2027, 3, 13)),
    ]
    assert all(one.why for one in page.deadlines)


def test_kits_are_heads_spares_and_copies_to_show(studio: Studio) -> None:
    page = studio.ask(ClassDeadlines(1))
    assert page.kits == page.heads + page.spares + page.demo_copies
    assert (page.heads, page.spares, page.demo_copies) == (0, 1, 1)


def test_mailed_kits_add_post_by(studio: Studio) -> None:
    mailed = MakeClassDate(
        project_id=1, venue_id=1, sessions=(span("2027-04-24T10:00", "2027-04-24T12:00"),), mailed_kit=True
    )
    number = studio.do(mailed).class_date_id
    days = {one.kind: one.day for one in studio.ask(ClassDeadlines(number)).deadlines}
    assert days["sign-up close"] == days["post-by"] - dt.timedelta(days=2)
    assert days["post-by"] < days["class"] - dt.timedelta(days=4)


def test_dates_of_a_class_that_is_not_there_are_refused(studio: Studio) -> None:
    with pytest.raises(NotFoundError):
        studio.ask(ClassDeadlines(99))

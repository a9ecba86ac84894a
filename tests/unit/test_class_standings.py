"""How each class stands and what its decision rests on, in one answer, on the demo; a party's heads as a mend."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands import made_of
from scheduling.commands.decisions import Decide
from scheduling.commands.planning import SetDay
from scheduling.planner.changes import FewerHeads
from scheduling.queries.class_standings import ClassStanding, ClassStandings
from scheduling.queries.explaining import Step, steps_of
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio

TODAY = dt.date(2027, 2, 1)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        yield opened


def standing(studio: Studio, class_id: int) -> ClassStanding:
    return next(one for one in studio.ask(ClassStandings()) if one.place.class_date_id == class_id)


def test_each_class_says_how_it_stands_by_when_to_decide_and_what_that_rests_on(studio: Studio) -> None:
    """C09: 4 x 58.00 less card 7.92, kits 18.92 and drinks 6.00, and F = 147.96 leaves 51.20; the hall is owed half of
    126.50 from Sat 20 Feb. C03 is taught: there is nothing to decide."""
    c09 = standing(studio, 9)
    assert (c09.place.state, c09.decide_by) == ("tight", dt.date(2027, 2, 19))
    assert c09.decision is not None
    assert c09.decision.rests_on(TODAY) == (
        "4 heads, 2 short of 6; costs covered from 3; leaves 51.20; 232.00 to give back; venue 63.25 from Sat 20 Feb"
    )
    c03 = standing(studio, 3)
    assert (c03.place.state, c03.decision) == ("ready", None)
    assert len(studio.ask(ClassStandings())) == 12


def test_a_class_waited_with_has_the_day_it_waits_to_and_one_decided_on_has_none(studio: Studio) -> None:
    studio.do(Decide(class_date_id=9, choice="wait", until_day=dt.date(2027, 3, 4)))
    studio.do(Decide(class_date_id=6, choice="run"))
    assert standing(studio, 9).decide_by == dt.date(2027, 3, 4)
    c06 = standing(studio, 6)
    assert (c06.decision, c06.decide_by) == (None, dt.date(2027, 2, 10))


def test_a_late_class_says_why(studio: Studio) -> None:
    studio.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
    c05 = standing(studio, 5)
    assert (c05.place.state, c05.place.reason) == ("late", "hard date missed")


def test_fewer_heads_of_one_host_are_a_command_and_of_several_bookings_her_choice(studio: Studio) -> None:
    """C08 is A20's party of 10: two heads fewer is one entry of hers. C09 has four bookings of one head each."""
    inputs = studio.ask(ReadPlanInputs())
    ids = {held.id: id_ for id_, held in inputs.classes.items()}
    steps, asks = steps_of(FewerHeads(ids[8], 2), inputs.facts.problem, inputs)
    booking, heads = inputs.parties[ids[8]]
    assert steps == [Step("SetHeads", {"booking_id": booking, "heads": 8})]
    assert (heads, asks) == (10, "the host has to agree")
    studio.do(made_of(steps))
    assert studio.ask(ReadPlanInputs()).parties[ids[8]] == (booking, 8)
    assert steps_of(FewerHeads(ids[9], 2), inputs.facts.problem, inputs) == (
        [],
        "whose seats are given up or transferred is for you to choose, on its page",
    )

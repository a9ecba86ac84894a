"""What if: the effect of a change before it is kept, with nothing written."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scheduling.commands.classes import MoveClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.planning import SetDay
from scheduling.commands.settings import CloseDays
from scheduling.commands.supposing import SupposeHeads
from scheduling.commands.together import AllAtOnce
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.queries.plan import PrepTasks
from scheduling.queries.plan_inputs import ReadPlanInputs
from scheduling.queries.supposing import Supposed, supposed
from scheduling.studio import Studio
from tests.support.builders import a_studio, book, class_date, dump, local
from tests.support.demo_studio import demo_copy


@pytest.fixture
def demo(tmp_path: Path) -> Studio:
    return Studio(str(demo_copy(tmp_path)))


def effect(studio: Studio, *parts: object) -> Supposed:
    before = studio.ask(ReadPlanInputs())
    _, after = studio.suppose(parts, ReadPlanInputs())  # type: ignore[arg-type]  # requests of several kinds
    return supposed(before, after)


def test_nothing_is_kept_of_a_supposition(demo: Studio) -> None:
    with demo:
        before, tasks, plan = dump(demo), demo.ask(PrepTasks()), demo.plans.newest
        effect(demo, Decide(class_date_id=5, choice="call off"), SupposeHeads(class_date_id=9, heads=3))
        assert dump(demo) == before
        assert demo.ask(PrepTasks()) == tasks
        assert demo.plans.newest is plan, "the plan need not be worked out again"


def test_three_heads_more_need_more_prep(demo: Studio) -> None:
    """C09 goes from 4 heads and 6 kits to 7 and 9: three more kits in every step that is counted by kits."""
    with demo:
        found = effect(demo, SupposeHeads(class_date_id=9, heads=3))
        assert found.minutes_after > found.minutes_before


def test_a_class_called_off_frees_its_minutes_and_may_free_others_from_lateness(demo: Studio) -> None:
    """With one hour on Wed 10 Feb, when C05's paper comes, it is late; called off, it is late no more; nor is any."""
    with demo:
        demo.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
        found = effect(demo, Decide(class_date_id=5, choice="call off"))
        assert found.minutes_after < found.minutes_before
        assert found.no_longer_late == ("C05 Coptic sketchbook",)
        assert found.late == found.now_late == ()


def test_a_class_moved_takes_its_dates_along(demo: Studio) -> None:
    with demo:
        demo.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
        spans = ((local("2027-02-20", "10:00"), local("2027-02-20", "14:00")),)
        found = effect(demo, MoveClassDate(class_date_id=5, sessions=spans))
        assert "C05 Coptic sketchbook" in found.no_longer_late
        assert any(move.class_date_id == 5 for move in found.moved)


def test_a_blocked_day_makes_more_late_and_a_longer_one_less(demo: Studio) -> None:
    with demo:
        demo.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
        blocked = effect(demo, CloseDays(first=dt.date(2027, 2, 4)))
        assert len(blocked.late) >= 2
        longer = effect(demo, SetDay(day=dt.date(2027, 2, 10), limit_minutes=360))
        assert "C05 Coptic sketchbook" in longer.no_longer_late


def test_no_more_heads_are_supposed_than_there_are_seats_nor_fewer_than_none() -> None:
    with a_studio() as studio:
        where = class_date(studio, seats=3)
        book(studio, where, heads=2)
        for wrong in (2, -3):
            with pytest.raises(ConflictError):
                studio.suppose([SupposeHeads(class_date_id=where, heads=wrong)], ReadPlanInputs())
        with pytest.raises(InvalidError):
            studio.suppose([SupposeHeads(class_date_id=where, heads=0)], ReadPlanInputs())
        with pytest.raises(NotFoundError):
            studio.suppose([SupposeHeads(class_date_id=99, heads=1)], ReadPlanInputs())
        _, inputs = studio.suppose([SupposeHeads(class_date_id=where, heads=-2)], ReadPlanInputs())
        assert [subject.heads for subject in inputs.facts.problem.subjects] == [0]


def test_commands_done_at_once_are_one_action_and_all_or_none() -> None:
    with a_studio() as studio:
        before = dump(studio, without=frozenset({"modified_at"}))
        day = dt.date(2027, 2, 5)
        with pytest.raises(ConflictError):
            studio.do(_refused(studio, day))
        assert dump(studio, without=frozenset({"modified_at"}))["day_time"] == before["day_time"]
        studio.do(AllAtOnce(parts=(SetDay(day=day, limit_minutes=240), CloseDays(first=dt.date(2027, 2, 6)))))
        studio.do(Undo())
        after = dump(studio, without=frozenset({"modified_at"}))
        assert (after["day_time"], after["closed_day"]) == (before["day_time"], before["closed_day"])


def _refused(studio: Studio, day: dt.date) -> AllAtOnce:
    where = class_date(studio)
    studio.do(Decide(class_date_id=where, choice="call off"))
    spans = ((local("2027-03-20", "10:00"), local("2027-03-20", "12:00")),)
    return AllAtOnce(parts=(SetDay(day=day, limit_minutes=240), MoveClassDate(class_date_id=where, sessions=spans)))

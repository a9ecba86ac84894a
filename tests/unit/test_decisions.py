"""Go or no-go: what is at stake each way, and one action with its consequences."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from demo.load import make_demo
from scheduling.commands.decisions import Decide
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.decisions import Pace, likely_heads
from scheduling.queries.decisions import DecisionsDue
from scheduling.queries.messages import Messages
from scheduling.queries.owed import Owed
from scheduling.studio import Studio


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.kitwright"
    make_demo(path)
    return path


@pytest.fixture
def studio(made: Path, tmp_path: Path) -> Iterator[Studio]:
    copy = tmp_path / "demo.kitwright"
    copy.write_bytes(made.read_bytes())
    with Studio(str(copy)) as opened:
        yield opened


def test_c09_is_two_short_and_the_hall_costs_from_20_february(studio: Studio) -> None:
    """demo.md, situation 5: 63.25 from 20 Feb, 126.50 from 27 Feb; situation 11: 232.00 to give back."""
    (row,) = studio.ask(DecisionsDue(class_date_id=9))
    assert (row.class_row.heads, row.short_of, row.day) == (4, 2, dt.date(2027, 2, 19))
    assert [(one.day, one.owed) for one in row.penalties] == [
        (dt.date(2027, 2, 20), 6325),
        (dt.date(2027, 2, 27), 12650),
    ]
    assert (row.run.amount, row.called_off.amount, row.to_give_back) == (5120, 0, 23200)
    assert row.break_even == 3


def test_what_is_due_within_two_weeks_comes_soonest_first(studio: Studio) -> None:
    rows = studio.ask(DecisionsDue(14))
    assert [row.class_row.ref for row in rows] == ["C04", "C05", "C07", "C06", "C08"]
    assert [row.days_left for row in rows] == [-9, 5, 6, 9, 10]
    assert next(row for row in rows if row.class_row.ref == "C06").short_of == 0


def test_running_ticks_the_decision_off_and_it_is_due_no_more(studio: Studio) -> None:
    done = studio.do(Decide(class_date_id=6, choice="run"))
    assert any("Ticked off" in one for one in done.consequences)
    assert "C06" not in [row.class_row.ref for row in studio.ask(DecisionsDue(14))]


def test_running_reduced_makes_the_heads_there_are_the_minimum(studio: Studio) -> None:
    studio.do(Decide(class_date_id=9, choice="run reduced"))
    (row,) = studio.ask(DecisionsDue(class_date_id=9))
    assert (row.class_row.minimum, row.short_of) == (4, 0)


def test_waiting_moves_the_day(studio: Studio) -> None:
    studio.do(Decide(class_date_id=6, choice="wait", until_day=dt.date(2027, 2, 12)))
    row = next(row for row in studio.ask(DecisionsDue(14)) if row.class_row.ref == "C06")
    assert (row.waits_until, row.days_left) == (dt.date(2027, 2, 12), 11)
    with pytest.raises(InvalidError):
        studio.do(Decide(class_date_id=6, choice="wait"))


def test_calling_off_lists_refunds_drafts_messages_and_undo_takes_all_of_it_back(studio: Studio) -> None:
    before = studio.ask(Owed()).liability
    done = studio.do(Decide(class_date_id=9, choice="call off"))
    assert sum("gets 58.00" in one for one in done.consequences) == 4
    assert done.drafts == 4
    assert sum(one.balance.to_give_back for one in studio.ask(Owed()).to_give_back) == 23200
    drafts = studio.ask(Messages(class_date_id=9))
    assert all("58.00 USD" in one.body for one in drafts)
    with pytest.raises(ConflictError):
        studio.do(Decide(class_date_id=9, choice="run"))
    studio.do(Undo(history_id=done.history_id))
    assert studio.ask(Owed()).liability == before
    assert studio.ask(Messages(class_date_id=9)) == ()


def test_after_the_free_days_calling_off_costs_the_share_of_the_hire(made: Path, tmp_path: Path) -> None:
    path = tmp_path / "later.kitwright"
    make_demo(path, on=dt.date(2027, 2, 20))
    with Studio(str(path)) as studio:
        (row,) = studio.ask(DecisionsDue(class_date_id=9))
        assert (row.called_off.amount, row.days_left) == (-6325, -1)


def test_likely_heads_follow_what_came_late_before_and_never_pass_the_seats() -> None:
    earlier = [Pace(1, 3, 8), Pace(2, 5, 9), Pace(3, 6, 7)]
    assert likely_heads(4, earlier, 14) == 8
    assert likely_heads(4, earlier, 6) == 6
    assert likely_heads(4, [], 14) is None

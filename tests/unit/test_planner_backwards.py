"""The pass back from a class, worked out by hand: day limits, drying and nights shared along a chain."""

from __future__ import annotations

from dataclasses import replace

from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner.backwards import latest_starts
from scheduling.planner.problem import After, Problem
from tests.support.planning import ME, at, day, problem, task
from tests.support.studios import NOW


def chain(**others: object) -> Problem:
    """Taking in 70, cutting 94, folding 45; glue dries 12 h; bagging 41; a night; the check 14 by Fri 5 Mar, 24:00."""
    return problem(
        task("take in", 70, hard_before=None),
        task("cut", 94, after=(After("take in"),), hard_before=None),
        task("fold", 45, after=(After("cut"),), hard_before=None),
        task("bag", 41, after=(After("fold", Wait(12, WaitUnit.HOURS)),), hard_before=None),
        task("check", 14, after=(After("bag", Wait(1, WaitUnit.CALENDAR_DAYS)),), hard_before=at(3, 6, 0)),
        **others,
    )


def test_a_chain_shares_the_limits_of_its_days() -> None:
    """09:00-12:00 and 19:00-21:00, 180 min a day. The check ends Fri 5, 21:00, and begins at 20:46; bagging ends Thu 4,
    21:00, and begins at 20:19; folding ends 12 h before that, by Thu 4, 08:19, so on Wed 3, 21:00, and begins at 20:15;
    cutting has the rest of that evening, 75 min, and 19 of the morning, from 11:41: with folding 139 min of Wed 3.
    Taking in has 41 min left there, 11:00 to 11:41, and 29 on Tue 2, from 20:31."""
    found = latest_starts(chain(), NOW)
    begins = {id_: latest.at for id_, latest in found.items()}
    assert begins["check"] == at(3, 5, 20, 46)
    assert begins["bag"] == at(3, 4, 20, 19)
    assert begins["fold"] == at(3, 3, 20, 15)
    assert begins["cut"] == at(3, 3, 11, 41)
    assert begins["take in"] == at(3, 2, 20, 31)
    assert [id_ for id_, _ in found["take in"].then] == ["cut", "fold", "bag", "check"]


def test_what_nothing_makes_late_has_no_latest_start_and_only_what_is_asked_for_is_given() -> None:
    free = problem(task("free", 30, hard_before=None), task("bound", 30, hard_before=at(3, 6, 0)))
    assert set(latest_starts(free, NOW)) == {"bound"}
    assert set(latest_starts(chain(), NOW, {"cut"})) == {"cut"}


def test_a_blocked_day_takes_its_minutes_away() -> None:
    """Without Wed 3 Mar folding ends on Tue 2, 21:00, cutting takes the rest of Tue's 180 min with 41 of taking in, and
    29 min of that are on Mon 1."""
    found = latest_starts(chain(hands=(replace(ME, blocked=frozenset({day(3, 3)})),)), NOW)
    assert found["take in"].at == at(3, 1, 20, 31)

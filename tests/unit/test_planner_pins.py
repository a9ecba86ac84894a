"""Stretches that she placed herself: they stay unless it is impossible, and then the plan says why."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner.plan import PinTrouble
from scheduling.planner.problem import After, Busy, Pin, Rest, Tool, ToolUse
from tests.support.planning import ME, at, day, places, planned, problem, task

PIN = Pin(at(2, 16, 14), at(2, 16, 15), "me")


def test_a_pin_stays_even_outside_her_hours() -> None:
    found = planned(problem(task("cut", 60, day(2, 18), pins=(PIN,))))
    assert places(found, "cut") == ["Tue 16 Feb 14:00-15:00"]
    assert found.tasks["cut"].stretches[0].pinned
    assert found.tasks["cut"].broken_pins == ()


def test_what_is_not_pinned_is_laid_around_the_pin() -> None:
    found = planned(problem(task("cut", 90, day(2, 18), pins=(PIN,))))
    assert places(found, "cut") == ["Tue 16 Feb 14:00-15:00", "Thu 18 Feb 09:00-09:30"]


def test_what_a_pinned_task_waits_for_comes_before_it() -> None:
    found = planned(problem(task("cut", 60, day(2, 20)), task("bag", 60, pins=(PIN,), after=(After("cut"),))))
    assert places(found, "cut") == ["Tue 16 Feb 09:00-10:00"]
    assert places(found, "bag") == ["Tue 16 Feb 14:00-15:00"]


@pytest.mark.parametrize(
    ("pin", "hand", "trouble"),
    [
        (Pin(at(1, 30, 9), at(1, 30, 10), "me"), ME, PinTrouble.PAST),
        (PIN, replace(ME, busy=(Busy(at(2, 16, 13), at(2, 16, 14, 30)),)), PinTrouble.BUSY),
        (PIN, replace(ME, blocked=frozenset({day(2, 16)})), PinTrouble.BLOCKED),
        (Pin(PIN.start, PIN.until, "you"), ME, PinTrouble.NO_HAND),
    ],
)
def test_an_impossible_pin_is_said_and_the_work_laid_elsewhere(pin: Pin, hand: object, trouble: PinTrouble) -> None:
    found = planned(problem(task("cut", 60, day(2, 18), pins=(pin,)), hands=(hand,)))
    assert [broken.trouble for broken in found.tasks["cut"].broken_pins] == [trouble]
    assert places(found, "cut") == ["Thu 18 Feb 09:00-10:00"]


def test_of_two_pins_at_one_time_the_first_task_keeps_its_own() -> None:
    found = planned(problem(task("a", 60, day(2, 18), pins=(PIN,)), task("b", 60, day(2, 18), pins=(PIN,))))
    assert places(found, "a") == ["Tue 16 Feb 14:00-15:00"]
    assert [broken.trouble for broken in found.tasks["b"].broken_pins] == [PinTrouble.OTHER_PIN]


def test_a_pin_before_what_it_waits_for_is_broken() -> None:
    cut = task("cut", 60, day(2, 20), pins=(Pin(at(2, 17, 9), at(2, 17, 10), "me"),))
    bag = task("bag", 60, day(2, 20), pins=(PIN,), after=(After("cut"),))
    found = planned(problem(cut, bag))
    assert [broken.trouble for broken in found.tasks["bag"].broken_pins] == [PinTrouble.WAITS]
    assert places(found, "cut") == ["Wed 17 Feb 09:00-10:00"]


def test_a_second_pin_for_minutes_that_are_not_there_is_too_much() -> None:
    other = Pin(at(2, 17, 9), at(2, 17, 10), "me")
    found = planned(problem(task("cut", 60, day(2, 18), pins=(PIN, other))))
    assert [broken.trouble for broken in found.tasks["cut"].broken_pins] == [PinTrouble.TOO_MUCH]


def test_a_longer_pin_is_kept_for_what_is_left() -> None:
    found = planned(problem(task("cut", 20, day(2, 18), pins=(PIN,))))
    assert places(found, "cut") == ["Tue 16 Feb 14:00-14:20"]


def test_a_pin_over_the_limit_stays_and_nothing_is_added_to_the_day() -> None:
    long = Pin(at(2, 18, 9), at(2, 18, 14), "me")
    found = planned(problem(task("cut", 300, day(2, 18), pins=(long,)), task("bag", 30, day(2, 18))))
    assert places(found, "bag") == ["Wed 17 Feb 09:00-09:30"]
    assert next(load.minutes for load in found.days if load.day == day(2, 18)) == 300


def test_a_pin_after_which_the_press_is_taken_is_broken() -> None:
    rest = Rest("press", Wait(12, WaitUnit.HOURS))
    one = task("one", 60, day(2, 18), pins=(PIN,), uses=(ToolUse("press"),), rest=rest)
    two = task(
        "two", 60, day(2, 18), pins=(Pin(PIN.start + dt.timedelta(hours=2), PIN.until + dt.timedelta(hours=2), "me"),)
    )
    two = replace(two, uses=(ToolUse("press"),), rest=rest)
    found = planned(problem(one, two, tools=(Tool("press", "Press"),)))
    broken = [each.trouble for found_task in found.tasks.values() for each in found_task.broken_pins]
    assert broken == [PinTrouble.TOOL]


def test_a_sitting_keeps_its_whole_length_where_it_is_pinned() -> None:
    found = planned(problem(task("film", 90, day(2, 18), pins=(PIN,), one_sitting=True)))
    assert places(found, "film") == ["Tue 16 Feb 14:00-15:30"]

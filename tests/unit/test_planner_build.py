"""Where the planner lays work, worked out by hand.

Her hours are Mon-Sat 09:00-12:00 and 19:00-21:00, Sun 10:00-11:00; at most 180 minutes a day (Sun 60). Now is Mon 1 Feb
2027, 08:00; the class is on Sat 27 Feb at 10:00.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from scheduling.errors import InvalidError
from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner import plan
from scheduling.planner.plan import Reason, SubjectState, TaskState
from scheduling.planner.problem import (
    After,
    BatchedTasks,
    Busy,
    Gate,
    Hand,
    Progress,
    Rest,
    Share,
    Tool,
    ToolUse,
)
from tests.support.planning import CLASS, ME, at, day, places, planned, problem, task
from tests.support.studios import NOW, WEEK, ZONE, end_of, local


def test_work_lies_on_the_day_of_its_aim_from_the_front_of_the_day() -> None:
    found = planned(problem(task("cut", 60, day(2, 18))))
    assert places(found, "cut") == ["Thu 18 Feb 09:00-10:00"]
    assert found.tasks["cut"].state is TaskState.PLANNED


def test_an_aim_on_a_blocked_day_moves_to_the_working_day_before() -> None:
    me = replace(ME, blocked=frozenset({day(2, 18), day(2, 17)}))
    assert places(planned(problem(task("cut", 60, day(2, 18)), hands=(me,))), "cut") == ["Tue 16 Feb 09:00-10:00"]


def test_work_past_the_day_limit_goes_to_the_day_before() -> None:
    """200 minutes with 180 a day: 180 on the aim's day, and 20 on the day before."""
    found = planned(problem(task("cut", 200, day(2, 18))))
    assert places(found, "cut") == ["Wed 17 Feb 09:00-09:20", "Thu 18 Feb 09:00-12:00"]


def test_a_day_with_a_class_holds_an_hour() -> None:
    me = replace(ME, limit_on={day(2, 18): 60})
    found = planned(problem(task("cut", 90, day(2, 18)), hands=(me,)))
    assert places(found, "cut") == ["Wed 17 Feb 09:00-09:30", "Thu 18 Feb 09:00-10:00"]


def test_minutes_spent_today_count_against_its_limit() -> None:
    me = replace(ME, spent={day(2, 1): 150})
    found = planned(problem(task("cut", 90, day(2, 1)), hands=(me,)))
    assert places(found, "cut") == ["Mon 1 Feb 09:00-09:30", "Tue 2 Feb 09:00-10:00"]


def test_no_piece_is_shorter_than_the_least_stretch() -> None:
    """A gap of 40 minutes and one of an hour: 50 minutes are 35 and 15, not 40 and 10."""
    busy = (Busy(at(2, 18, 9, 40), at(2, 18, 19)),)
    me = replace(ME, busy=busy, limit_on={day(2, 18): 40})
    found = planned(problem(task("cut", 50, day(2, 18)), hands=(me,)))
    assert sorted(stretch.minutes for stretch in found.tasks["cut"].stretches) == [15, 35]


def test_one_sitting_takes_the_last_gap_that_is_long_enough() -> None:
    """150 minutes do not fit the evening, nor the morning of the 18th, which is taken from 10:00."""
    me = replace(ME, busy=(Busy(at(2, 18, 10), at(2, 18, 11)),))
    found = planned(problem(task("film", 150, day(2, 18), one_sitting=True), hands=(me,)))
    assert places(found, "film") == ["Wed 17 Feb 09:00-11:30"]


def test_a_sitting_longer_than_any_gap_has_no_place_and_neither_has_what_waits_for_it() -> None:
    found = planned(problem(task("film", 200, day(2, 18), one_sitting=True), task("edit", 10, after=(After("film"),))))
    assert {each.state for each in found.tasks.values()} == {TaskState.NO_PLAN}
    assert found.subjects["C1"].reason is Reason.NO_PLACE


def test_an_aim_that_has_passed_is_laid_out_from_now_and_is_behind_not_late() -> None:
    found = planned(problem(task("order", 30, day(1, 20))))
    assert places(found, "order") == ["Mon 1 Feb 09:00-09:30"]
    assert found.tasks["order"].state is TaskState.BEHIND
    assert (found.subjects["C1"].state, found.subjects["C1"].reason) == (SubjectState.TIGHT, Reason.AIM_MISSED)


def test_only_the_hard_date_makes_late() -> None:
    """Friday and the morning before the class are all that is left: 180 minutes and none (the class starts at ten)."""
    me = replace(ME, limit_on={day(2, 27): 60})
    fits = problem(task("cut", 240), hands=(me,))
    late = problem(task("cut", 241), hands=(me,))
    now = at(2, 26, 6)
    assert planned(fits, now).tasks["cut"].state is TaskState.PLANNED
    assert planned(fits, now).tasks["cut"].slack == 0
    assert planned(late, now).tasks["cut"].state is TaskState.LATE
    assert planned(late, now).subjects["C1"].state is SubjectState.LATE


def test_nothing_is_laid_before_now_which_is_rounded_down_to_a_quarter() -> None:
    found = planned(problem(task("cut", 30, day(2, 1))), at(2, 1, 10, 14))
    assert places(found, "cut") == ["Mon 1 Feb 10:00-10:30"]


def test_what_waits_follows_and_its_aim_pulls_what_it_waits_for() -> None:
    found = planned(problem(task("cut", 120, day(2, 20)), task("bag", 120, day(2, 18), after=(After("cut"),))))
    assert places(found, "bag") == ["Thu 18 Feb 10:00-12:00"]
    assert places(found, "cut") == ["Wed 17 Feb 09:00-10:00", "Thu 18 Feb 09:00-10:00"]


@pytest.mark.parametrize(("hours", "glued"), [(12, "Sat 13 Mar 19:00-19:30"), (14, "Fri 12 Mar 09:00-09:30")])
def test_drying_takes_real_hours_across_the_clock_change(hours: int, glued: str) -> None:
    """Clocks go forward on Sun 14 Mar: from Sat 20:00 to Sun 10:00 are 13 hours, not 14.

    So 14 hours must begin by Sat 19:00, when the only gap of that Saturday begins, and the glue goes to Friday.
    """
    later = replace(CLASS, starts_at=at(3, 20, 10))
    me = replace(ME, busy=(Busy(at(3, 13, 9), at(3, 13, 19)),))
    glue = task("glue", 30, hard_before=later.starts_at)
    wait = Wait(hours, WaitUnit.HOURS)
    fold = task("fold", 60, day(3, 14), after=(After("glue", wait),), hard_before=later.starts_at)
    found = planned(problem(glue, fold, subjects=(later,), hands=(me,)))
    assert places(found, "fold") == ["Sun 14 Mar 10:00-11:00"]
    assert places(found, "glue") == [glued]


def test_the_mail_waits_on_mailing_days() -> None:
    """Mailed on Sat 13 Feb: Sunday and the closed Monday 15 do not count, two mailing days end with Wed 17."""
    mail = task("mail", 30, day(2, 13))
    note = task("note", 15, day(2, 17), after=(After("mail", Wait(2, WaitUnit.MAILING_DAYS)),))
    found = planned(problem(mail, note))
    assert places(found, "mail") == ["Sat 13 Feb 09:00-09:30"]
    assert places(found, "note") == ["Wed 17 Feb 09:00-09:15"]


def test_a_press_holds_one_job_overnight() -> None:
    """Two cases press for 12 hours each: not on the same evening."""
    tools = (Tool("press", "Press"),)
    rest = Rest("press", Wait(12, WaitUnit.HOURS))
    cases = [task(id_, 60, day(2, 18), uses=(ToolUse("press"),), rest=rest) for id_ in ("one", "two")]
    found = planned(problem(*cases, tools=tools))
    ends = sorted(each.finish for each in found.tasks.values() if each.finish is not None)
    assert ends[1] - ends[0] >= dt.timedelta(hours=13)


def test_a_rack_holds_as_many_kits_as_it_has_places() -> None:
    tools = (Tool("rack", "Rack", capacity=12),)
    wait = Wait(12, WaitUnit.HOURS)
    small = [task(id_, 60, day(2, 18), rest=Rest("rack", wait, 6)) for id_ in ("one", "two")]
    large = [task(id_, 60, day(2, 18), rest=Rest("rack", wait, 7)) for id_ in ("one", "two")]
    together, apart = planned(problem(*small, tools=tools)), planned(problem(*large, tools=tools))
    assert {places(together, id_)[0][:10] for id_ in ("one", "two")} == {"Thu 18 Feb"}
    finishes = [found.finish for found in apart.tasks.values() if found.finish is not None]
    assert abs(finishes[0] - finishes[1]) >= dt.timedelta(hours=12)


def test_a_tool_is_used_in_its_own_hours() -> None:
    table = Tool("table", "Table", hours=(((dt.time(18), dt.time(20)),),) * 7)
    found = planned(problem(task("cut", 60, day(2, 18), uses=(ToolUse("table"),)), tools=(table,)))
    assert places(found, "cut") == ["Thu 18 Feb 19:00-20:00"]


def test_the_first_hand_does_it_unless_only_another_keeps_the_aim() -> None:
    helper = Hand("helper", "Helper", ZONE, WEEK)
    easy = problem(task("cut", 60, day(2, 2), hands=("me", "helper")), hands=(ME, helper))
    full = problem(
        task("other", 360, day(2, 2)), task("cut", 60, day(2, 2), hands=("me", "helper")), hands=(ME, helper)
    )
    assert planned(easy).tasks["cut"].stretches[0].hand == "me"
    assert planned(full).tasks["cut"].stretches[0].hand == "helper"
    assert planned(full).tasks["other"].state is TaskState.PLANNED


def test_a_gate_holds_work_back_unless_it_has_begun() -> None:
    gate = Gate(at(2, 20, 0), label="go/no-go")
    assert places(planned(problem(task("cut", 60, day(2, 10), gates=(gate,)))), "cut") == ["Sat 20 Feb 09:00-10:00"]
    started = task("cut", 60, day(2, 10), gates=(gate,), progress=Progress.STARTED)
    assert places(planned(problem(started)), "cut") == ["Wed 10 Feb 09:00-10:00"]


def test_advice_that_is_not_owed_is_offered_and_nothing_waits_for_it() -> None:
    """Cut waits for the check through the advice between them."""
    check = task("check", 60, day(2, 18))
    advice = task("advice", 60, owed=False, after=(After("check"),))
    cut = task("cut", 60, day(2, 18), after=(After("advice"),))
    found = planned(problem(check, advice, cut))
    assert found.tasks["advice"].state is TaskState.OFFERED
    assert places(found, "check") == ["Thu 18 Feb 09:00-10:00"]
    assert places(found, "cut") == ["Thu 18 Feb 10:00-11:00"]


def test_what_is_done_is_history_and_its_wait_goes_on() -> None:
    done = task("glue", 0, progress=Progress.DONE, finished_at=at(2, 1, 7, 30))
    fold = task("fold", 30, day(2, 1), after=(After("glue", Wait(12, WaitUnit.HOURS)),))
    found = planned(problem(done, fold))
    assert found.tasks["glue"].state is TaskState.DONE
    assert places(found, "fold") == ["Mon 1 Feb 19:30-20:00"]


def test_work_after_the_class_cannot_make_it_late() -> None:
    after = task("settle", 60, day(3, 1), hard_before=None, gates=(Gate(at(2, 27, 16)),))
    found = planned(problem(after))
    assert found.tasks["settle"].latest_finish is None
    assert found.subjects["C1"].state is SubjectState.READY


def test_little_slack_makes_a_class_tight() -> None:
    """150 minutes left on Friday, 60 on Saturday before ten o'clock: one hour of slack is enough, less is tight."""
    asked = problem(task("cut", 120, day(2, 26)), hands=(replace(ME, limit_on={day(2, 27): 0}),))
    now = at(2, 26, 6)
    assert planned(asked, now).subjects["C1"].state is SubjectState.READY
    tight = planned(replace(asked, tasks=(task("cut", 125, day(2, 26)),)), now)
    assert (tight.subjects["C1"].state, tight.subjects["C1"].reason) == (SubjectState.TIGHT, Reason.LITTLE_SLACK)
    assert tight.subjects["C1"].slack == 55


def test_a_class_yesterday_leaves_its_prep_late() -> None:
    found = planned(problem(task("cut", 30, day(2, 20))), at(2, 28, 8))
    assert found.tasks["cut"].state is TaskState.LATE
    assert places(found, "cut") == ["Sun 28 Feb 10:00-10:30"]


def test_a_batch_shares_its_fixed_minutes() -> None:
    """Two times 60 minutes with 20 fixed are 100 in one go, by the nearer aim."""
    other = replace(CLASS, id="C2", starts_at=at(3, 6, 10))
    one = task("one", 60, day(2, 18), share=Share("cut", 20))
    two = task("two", 60, day(2, 25), share=Share("cut", 20), subject="C2", hard_before=other.starts_at)
    found = planned(problem(one, two, subjects=(CLASS, other), batches=(BatchedTasks("b", ("one", "two")),)))
    assert places(found, "one") == places(found, "two") == ["Thu 18 Feb 09:00-10:40"]
    assert sum(load.minutes for load in found.days) == 100


def test_tasks_without_minutes_take_no_room() -> None:
    found = planned(problem(task("tick", 0, day(2, 18)), task("cut", 30, day(2, 18), after=(After("tick"),))))
    assert found.tasks["tick"].stretches == ()
    assert found.tasks["tick"].finish is not None


def test_a_circle_of_waits_is_refused_and_named() -> None:
    tasks = (task("a", 10, after=(After("c"),)), task("b", 10, after=(After("a"),)), task("c", 10, after=(After("b"),)))
    with pytest.raises(InvalidError, match=r"A \(C1\) waits for C \(C1\) waits for B \(C1\) waits for A \(C1\)"):
        plan(problem(*tasks), NOW)


def test_a_circle_through_advice_that_is_not_owed_is_refused() -> None:
    tasks = (task("a", 10, after=(After("b"),)), task("b", 10, after=(After("b"),), owed=False))
    with pytest.raises(InvalidError, match="circle"):
        plan(problem(*tasks), NOW)


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (problem(task("a", 1), task("a", 1)), "id"),
        (problem(task("a", -1)), "minutes"),
        (problem(task("a", 1, hands=("you",))), "hands"),
        (problem(task("a", 1, subject="C9")), "subject"),
        (problem(task("a", 1, after=(After("z"),))), "after"),
        (problem(task("a", 1, uses=(ToolUse("saw"),))), "uses"),
        (problem(task("a", 1, uses=(ToolUse("saw", 2),)), tools=(Tool("saw", "Saw"),)), "uses"),
        (problem(task("a", 1), hands=(replace(ME, limits=(60,)),)), "hours"),
        (problem(task("a", 1), batches=(BatchedTasks("b", ("z",)),)), "tasks"),
    ],
)
def test_what_makes_no_sense_is_refused(asked: object, field: str) -> None:
    with pytest.raises(InvalidError) as caught:
        plan(asked, NOW)  # type: ignore[arg-type]  # problems of one table
    assert caught.value.field == field


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(InvalidError, match="no time zone"):
        plan(problem(), NOW.replace(tzinfo=None))


def test_days_show_the_minutes_against_the_limit() -> None:
    me = replace(ME, blocked=frozenset({day(2, 19)}), spent={day(2, 1): 20})
    found = planned(problem(task("cut", 60, day(2, 18)), hands=(me,)))
    loads = {load.day: load for load in found.days}
    assert (loads[day(2, 18)].minutes, loads[day(2, 18)].limit, loads[day(2, 18)].working) == (60, 180, 300)
    assert loads[day(2, 19)].blocked
    assert loads[day(2, 1)].spent == 20
    assert found.days[0].day == day(2, 1)


def test_windows_are_exact_on_the_calendar() -> None:
    """Hard by Sat 27 Feb 10:00: 100 minutes start on Friday at 20:20, as Saturday gives only 60 before ten."""
    found = planned(problem(task("cut", 100, day(2, 18)))).tasks["cut"]
    assert found.latest_finish == CLASS.starts_at
    assert found.latest_start == at(2, 26, 20, 20)
    assert (found.earliest_start, found.earliest_finish) == (at(2, 1, 9), at(2, 1, 10, 40))


def test_leap_days_and_month_ends_are_days_like_others() -> None:
    leap = replace(CLASS, starts_at=local(dt.date(2028, 3, 1), 10))
    cut = task("cut", 90, hard_before=leap.starts_at, aim_before=end_of(dt.date(2028, 2, 29)))
    found = planned(problem(cut, subjects=(leap,)), local(dt.date(2028, 2, 27), 8))
    assert places(found, "cut") == ["Tue 29 Feb 09:00-10:30"]

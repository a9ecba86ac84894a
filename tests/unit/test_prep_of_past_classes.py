"""Prep left open before a class that is over takes none of her hours and is never late."""

import datetime as dt
from pathlib import Path

from scheduling import commands
from scheduling.queries.plan import PrepTasks
from scheduling.queries.standing import Standing
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy


def test_what_was_to_be_done_before_it_is_only_offered_and_what_comes_after_it_is_planned(tmp_path: Path) -> None:
    with Studio(str(demo_copy(tmp_path))) as studio:
        assert any(task.is_open and task.stretches for task in studio.ask(PrepTasks(4)))
        studio.do(commands.MoveClock(moment=studio.now + dt.timedelta(days=8)))
        tasks = [task for task in studio.ask(PrepTasks(4)) if task.is_open]
        before = [task for task in tasks if task.aim_day <= dt.date(2027, 2, 7)]
        after = [task for task in tasks if task.aim_day > dt.date(2027, 2, 7)]
        assert before
        assert after
        assert {task.standing for task in before} == {"offered"}
        assert not any(task.stretches for task in before)
        assert all(task.stretches for task in after)
        assert studio.ask(Standing()).late == sum(
            task.standing == "late" for task in studio.ask(PrepTasks()) if task.is_open and task.class_date_id != 4
        )

"""The two recipes of a new studio: whole, in the right chain, and sized for real classes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import pytest

from scheduling.clock import WallTime
from scheduling.model.day_calendar import MONDAY_TO_SATURDAY, DayCalendar
from scheduling.model.deadlines import ClassDates, DateRules, class_dates
from scheduling.model.default_recipes import AGAIN, DEFAULT_RECIPES, FIRST_TIME
from scheduling.model.kinds import Kind
from scheduling.model.prep import After, Line, Per, PrepDraft, Recipe, drafts_for, lines_for, minutes_of
from scheduling.model.prep_dates import dated
from scheduling.model.waits import Calendars, Wait, WaitUnit, wait_over

NEW_YORK = "America/New_York"
ROOM = frozenset({Kind.ROOM})
LIVE_MAILED = frozenset({Kind.LIVE, Kind.MAILED})
PARTY = frozenset({Kind.ROOM, Kind.PARTY})
CHILDREN = frozenset({Kind.ROOM, Kind.CHILDREN})
RECORDED = frozenset({Kind.RECORDED})
CLOSURES = frozenset({dt.date(2027, 1, 18), dt.date(2027, 2, 15)})
MAILING = DayCalendar(MONDAY_TO_SATURDAY, CLOSURES)
NOW = dt.datetime(2027, 2, 1, 13, tzinfo=dt.UTC)

# 8 heads of P3: 10 kits of 27 pieces from 4 materials, of 3 suppliers.
QUANTITIES: Mapping[Per, int] = {
    Per.KIT: 10,
    Per.HEAD: 8,
    Per.PIECE: 270,
    Per.MATERIAL: 4,
    Per.SUPPLIER: 3,
    Per.CLASS_MINUTE: 240,
    Per.FILM_MINUTE: 40,
}


def starts(month: int, day: int) -> WallTime:
    return WallTime(dt.datetime.combine(dt.date(2027, month, day), dt.time(10)), NEW_YORK)


def dates(kinds: frozenset[Kind], month: int = 3, day: int = 6, *, abroad: bool = False) -> ClassDates:
    start = starts(month, day)
    return class_dates(start, start, kinds, rules=DateRules(), mailing=MAILING, sends_abroad=abroad)


def drafts(recipe: Recipe, kinds: frozenset[Kind], where: ClassDates, *, hired: bool = True) -> list[PrepDraft]:
    calendars = Calendars(mailing=MAILING)
    made = drafts_for(recipe, kinds, where, calendars, QUANTITIES, first=True, hired_venue=hired, now=NOW)
    return list(made)


def by_key(recipe: Recipe, key: str) -> Line:
    return next(line for line in recipe.lines if line.key == key)


def minutes(recipe: Recipe, key: str, kinds: frozenset[Kind] = ROOM, *, first: bool = False) -> int:
    return minutes_of(by_key(recipe, key), QUANTITIES, first=first, kinds=kinds)


@pytest.mark.parametrize("recipe", DEFAULT_RECIPES, ids=lambda recipe: recipe.name)
def test_every_title_fits_a_column_of_40_cells_and_is_given_once(recipe: Recipe) -> None:
    titles = [line.title for line in recipe.lines]
    assert max(map(len, titles)) <= 40
    assert len(set(titles)) == len(titles)


def test_both_recipes_name_the_same_work_alike() -> None:
    first = {line.key: line for line in FIRST_TIME.lines}
    assert all(line.key in first for line in AGAIN.lines)
    assert all(line.timing == first[line.key].timing for line in AGAIN.lines)


def test_a_class_run_again_in_her_own_room_has_15_tasks_before_it_and_3_after() -> None:
    made = drafts(AGAIN, ROOM, dates(ROOM), hired=False)
    assert len([draft for draft in made if not draft.line.timing.after_class]) == 15
    assert len([draft for draft in made if draft.line.timing.after_class]) == 3


def test_the_project_is_not_chosen_modelled_and_tried_again() -> None:
    assert not {"choose", "first_model", "trial"} & {line.key for line in AGAIN.lines}


def test_instructions_take_four_hours_first_and_a_quarter_again() -> None:
    assert minutes(FIRST_TIME, "instructions", first=True) == 240
    assert minutes(AGAIN, "instructions") == 15


def test_instructions_for_a_live_class_take_half_as_long_again() -> None:
    assert minutes(FIRST_TIME, "instructions", LIVE_MAILED, first=True) == 360


def test_pre_work_for_children_takes_half_as_long_again() -> None:
    assert minutes(AGAIN, "pre_work", ROOM) == 65
    assert minutes(AGAIN, "pre_work", CHILDREN) == 98


def test_kit_work_of_a_class_of_eight() -> None:
    keys = ("cut", "pre_work", "sort", "bag", "check")
    assert [minutes(FIRST_TIME, key) for key in keys] == [168, 65, 20, 35, 20]
    assert minutes(AGAIN, "bag") == minutes(FIRST_TIME, "sort") + minutes(FIRST_TIME, "bag")


def test_the_advice_is_what_table_1_calls_so() -> None:
    advice = {line.key for line in FIRST_TIME.lines if line.advice}
    sign_ups = {"listing", "open", "announce", "post_28", "post_14", "post_7"}
    film = {"script", "film", "edit", "captions", "upload", "try_film"}
    promotion = {"promotion_picture", "promotion_posts", "promotion_settle", "promotion_thank"}
    assert advice == {"choose", "clashes"} | sign_ups | promotion | film


def test_the_kit_chain_runs_from_cutting_to_sealing() -> None:
    chain = {line.key: line.after for line in lines_for(FIRST_TIME, ROOM)}
    assert chain["cut"] == (After("receive"),)
    assert chain["pre_work"] == (After("cut"),)
    assert After("pre_work", Wait(12, WaitUnit.HOURS)) in chain["sort"]
    assert chain["bag"] == (After("sort"), After("print", Wait(2, WaitUnit.CALENDAR_DAYS)))
    assert chain["check"] == (After("bag", Wait(1, WaitUnit.CALENDAR_DAYS)),)
    assert chain["receive"] == (After("order", Wait(0, WaitUnit.SUPPLIER_LEAD)),)


def test_the_short_recipe_keeps_the_drying_time_before_bagging() -> None:
    assert After("pre_work", Wait(12, WaitUnit.HOURS)) in by_key(AGAIN, "bag").after


def test_a_room_class_has_no_post_and_a_mailed_one_no_car() -> None:
    room = {line.key for line in lines_for(AGAIN, ROOM)}
    mailed = {line.key for line in lines_for(AGAIN, LIVE_MAILED)}
    assert not room & {"post", "post_abroad", "arrived", "rehearse"}
    assert not mailed & {"load", "roster", "tools", "confirm_venue"}
    assert {"post", "arrived", "rehearse"} <= mailed


def test_a_private_party_is_not_announced_and_its_host_is_asked() -> None:
    keys = {draft.line.key for draft in drafts(FIRST_TIME, PARTY, dates(PARTY, 2, 26))}
    assert not keys & {"listing", "open", "announce", "post_28", "early_bird"}
    assert "final_count" in keys


def test_kits_for_abroad_make_a_task_only_where_someone_lives_abroad() -> None:
    for abroad in (False, True):
        keys = {draft.line.key for draft in drafts(AGAIN, LIVE_MAILED, dates(LIVE_MAILED, 3, 14, abroad=abroad))}
        assert ("post_abroad" in keys) == abroad


def test_the_early_bird_makes_a_task_only_where_there_is_one() -> None:
    keys = {draft.line.key for draft in drafts(AGAIN, ROOM, dates(ROOM))}
    assert "early_bird" not in keys


def test_mailed_kits_are_aimed_from_post_by() -> None:
    """C10 of the demo: post-by Thu 4 March."""
    aims = {draft.line.key: draft.dated.aim_day for draft in drafts(AGAIN, LIVE_MAILED, dates(LIVE_MAILED, 3, 14))}
    assert aims["cut"] == dt.date(2027, 2, 27)
    assert aims["pre_work"] == dt.date(2027, 2, 28)
    assert aims["bag"] == dt.date(2027, 3, 2)
    assert aims["check"] == dt.date(2027, 3, 3)
    assert aims["post"] == dt.date(2027, 3, 4)


def test_a_recorded_class_is_filmed_and_captioned_before_its_release() -> None:
    """R01 of the demo: filmed 9 March, captions 23 March, on sale 1 April."""
    made = {draft.line.key: draft.dated.aim_day for draft in drafts(FIRST_TIME, RECORDED, dates(RECORDED, 4, 1))}
    assert made["film"] == dt.date(2027, 3, 9)
    assert made["captions"] == dt.date(2027, 3, 23)
    assert not made.keys() & {"go_no_go", "answers", "cut", "bag", "unpack", "thank"}


ALL_KINDS = [ROOM, CHILDREN, PARTY, LIVE_MAILED, frozenset({Kind.LIVE}), frozenset({Kind.MAILED}), RECORDED]


@pytest.mark.parametrize("recipe", DEFAULT_RECIPES, ids=lambda recipe: recipe.name)
@pytest.mark.parametrize("kinds", ALL_KINDS, ids=sorted)
@pytest.mark.parametrize("weekday", range(7))
def test_every_aim_leaves_room_for_what_comes_before_it(recipe: Recipe, kinds: frozenset[Kind], weekday: int) -> None:
    """Even where each task is finished only as its aim ends, the next can still keep its own.

    So the defaults put nobody behind by themselves, whatever weekday the class is on. A supplier's lead is the
    order's own matter and counts for nothing here.
    """
    made = drafts(recipe, kinds, dates(kinds, 6, 7 + weekday))
    ends = {draft.line.key: draft.dated.aim_before for draft in made}
    for draft in made:
        for after in draft.line.after:
            ready = wait_over(ends[after.key], after.wait, Calendars(mailing=MAILING), NEW_YORK)
            ends_too_late = ready >= ends[draft.line.key] if after.wait.amount else ready > ends[draft.line.key]
            assert not ends_too_late, f"{draft.line.key} after {after.key}"


def test_every_line_of_both_recipes_can_be_dated_for_a_class_that_has_every_date() -> None:
    kinds = frozenset(Kind)
    everything = class_dates(
        starts(6, 12),
        starts(6, 12),
        kinds,
        rules=DateRules(),
        mailing=MAILING,
        sends_abroad=True,
        promotion_end=dt.date(2027, 5, 22),
        order_by_day=dt.date(2027, 5, 20),
    )
    for recipe in DEFAULT_RECIPES:
        assert all(dated(line.timing, everything, Calendars()) is not None for line in recipe.lines)

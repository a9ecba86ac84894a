"""Recipes: which lines a class gets, in what order they wait, and how long they take."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from scheduling.clock import WallTime
from scheduling.errors import InvalidError
from scheduling.model.deadlines import ClassDates
from scheduling.model.kinds import Kind, in_order, kinds_of
from scheduling.model.prep import (
    After,
    Effort,
    Factor,
    Line,
    Per,
    Phase,
    Rate,
    Recipe,
    bridged,
    drafts_for,
    kits_to_build,
    lead_links,
    lines_for,
    minutes_of,
)
from scheduling.model.prep_dates import Aim, Anchor, Timing
from scheduling.model.waits import Calendars, Wait, WaitUnit

ROOM = frozenset({Kind.ROOM})
ANY_TIME = Timing(Aim(Anchor.CLASS_START, -7))
NIGHT = Wait(12, WaitUnit.HOURS)
LEAD = Wait(0, WaitUnit.SUPPLIER_LEAD)


def line(key: str, *after: After, minutes: int = 10) -> Line:
    return Line(key, key.capitalize(), Phase.KITS, ANY_TIME, Effort(Decimal(minutes)), after=after)


def keys(lines: tuple[Line, ...]) -> list[str]:
    return [each.key for each in lines]


# --- which lines ------------------------------------------------------------------------------------------------


def test_a_line_is_for_classes_of_one_of_its_kinds() -> None:
    posting = replace(line("post"), kinds=(Kind.MAILED,))
    recipe = Recipe("r", (line("cut"), posting))
    assert keys(lines_for(recipe, {Kind.ROOM})) == ["cut"]
    assert keys(lines_for(recipe, {Kind.LIVE, Kind.MAILED})) == ["cut", "post"]


def test_a_line_is_left_out_for_the_kinds_it_is_not_for() -> None:
    recipe = Recipe("r", (line("cut"), replace(line("announce"), not_for=(Kind.PARTY,))))
    assert keys(lines_for(recipe, {Kind.ROOM, Kind.PARTY})) == ["cut"]


def test_a_room_of_her_own_needs_no_loading() -> None:
    recipe = Recipe("r", (line("cut"), replace(line("load"), hired_only=True)))
    assert keys(lines_for(recipe, ROOM, hired_venue=False)) == ["cut"]
    assert keys(lines_for(recipe, ROOM, hired_venue=True)) == ["cut", "load"]


def test_kinds_without_a_way_of_taking_part_are_refused() -> None:
    with pytest.raises(InvalidError):
        kinds_of({Kind.CHILDREN, Kind.PARTY})


def test_kinds_are_always_written_in_the_same_order() -> None:
    assert in_order([Kind.PARTY, Kind.ROOM, Kind.PARTY]) == (Kind.ROOM, Kind.PARTY)
    assert replace(line("cut"), kinds=(Kind.MAILED, Kind.ROOM)) == replace(line("cut"), kinds=(Kind.ROOM, Kind.MAILED))


# --- order ------------------------------------------------------------------------------------------------------


def test_a_line_left_out_hands_its_own_waits_on() -> None:
    lines = (line("cut"), line("glue", After("cut", NIGHT)), line("bag", After("glue", Wait(3, WaitUnit.HOURS))))
    assert bridged(lines, {"cut", "bag"})[1].after == (After("cut", NIGHT),)


def test_a_chain_of_lines_left_out_is_bridged_whole() -> None:
    lines = (line("a"), line("b", After("a")), line("c", After("b")), line("d", After("c"), After("a")))
    assert bridged(lines, {"a", "d"})[1].after == (After("a"),)


def test_a_line_whose_whole_chain_is_left_out_waits_for_nothing() -> None:
    lines = (line("a"), line("b", After("a")), line("c", After("b")))
    assert bridged(lines, {"c"})[0].after == ()


def test_two_waits_for_the_same_line_both_stay() -> None:
    lines = (line("a"), line("b", After("a", NIGHT)), line("c", After("a"), After("b")))
    assert bridged(lines, {"a", "c"})[1].after == (After("a"), After("a", NIGHT))


def test_a_key_that_stands_twice_is_refused() -> None:
    with pytest.raises(InvalidError) as refusal:
        Recipe("r", (line("cut"), line("cut")))
    assert refusal.value.field == "lines"


@pytest.mark.parametrize("after", ["bag", "cut", "nowhere"])
def test_a_line_that_waits_for_itself_or_a_later_one_is_refused(after: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        Recipe("r", (line("cut", After(after)), line("bag")))
    assert refusal.value.field == "after"


def test_a_line_without_a_title_is_refused() -> None:
    with pytest.raises(InvalidError):
        replace(line("cut"), title="  ")


def test_the_links_that_a_delivery_stands_for_are_found() -> None:
    receive = line("receive", After("order", LEAD), After("shelf"))
    assert lead_links(receive) == (After("order", LEAD),)


# --- minutes ----------------------------------------------------------------------------------------------------

CUT = Effort(Decimal(0), (Rate(Decimal(15), Per.MATERIAL), Rate(Decimal("0.4"), Per.PIECE)))


def test_minutes_are_fixed_and_so_many_for_each() -> None:
    cutting = replace(line("cut"), first=CUT)
    # 4 materials, 10 kits of 25 pieces: 60 + 100
    assert minutes_of(cutting, {Per.MATERIAL: 4, Per.PIECE: 250}, first=True, kinds=ROOM) == 160


def test_a_part_of_a_minute_counts_as_a_whole_one() -> None:
    cutting = replace(line("cut"), first=CUT)
    assert minutes_of(cutting, {Per.PIECE: 1}, first=True, kinds=ROOM) == 1
    assert minutes_of(cutting, {Per.PIECE: 5}, first=True, kinds=ROOM) == 2
    assert minutes_of(cutting, {Per.PIECE: 6}, first=True, kinds=ROOM) == 3


def test_a_project_that_has_run_before_takes_its_own_minutes() -> None:
    writing = replace(line("write", minutes=240), again=Effort(Decimal(15)))
    assert minutes_of(writing, {}, first=True, kinds=ROOM) == 240
    assert minutes_of(writing, {}, first=False, kinds=ROOM) == 15
    assert minutes_of(line("cut"), {}, first=False, kinds=ROOM) == 10


def test_factors_of_the_kinds_of_a_class_multiply() -> None:
    slow = replace(
        line("write", minutes=30), factors=(Factor(Kind.LIVE, Decimal("1.5")), Factor(Kind.CHILDREN, Decimal("1.5")))
    )
    assert minutes_of(slow, {}, first=True, kinds=ROOM) == 30
    assert minutes_of(slow, {}, first=True, kinds={Kind.LIVE}) == 45
    assert minutes_of(slow, {}, first=True, kinds={Kind.LIVE, Kind.CHILDREN}) == 68


@pytest.mark.parametrize("minutes", ["-1", "NaN", "Infinity"])
def test_minutes_that_are_no_amount_are_refused(minutes: str) -> None:
    with pytest.raises(InvalidError):
        Effort(Decimal(0), (Rate(Decimal(minutes), Per.KIT),))


def test_a_quantity_below_nought_is_refused() -> None:
    with pytest.raises(InvalidError):
        minutes_of(replace(line("cut"), first=CUT), {Per.PIECE: -1}, first=True, kinds=ROOM)


@pytest.mark.parametrize("times", ["0", "-1.5", "NaN"])
def test_a_factor_that_is_not_above_nought_is_refused(times: str) -> None:
    with pytest.raises(InvalidError):
        Factor(Kind.LIVE, Decimal(times))


# --- kits -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heads", "kits"),
    [(1, 3), (2, 4), (3, 5), (4, 6), (5, 7), (6, 8), (7, 9), (8, 10), (9, 11), (10, 12), (11, 14), (20, 23), (21, 25)],
)
def test_kits_are_heads_spares_and_a_demo_copy(heads: int, kits: int) -> None:
    assert kits_to_build(heads) == kits


def test_spares_and_demo_copies_are_settings() -> None:
    assert kits_to_build(10, spare_percent=25, spare_least=2, demo_copies=0) == 13
    assert kits_to_build(3, spare_percent=0, spare_least=0, demo_copies=2) == 5


def test_heads_below_nought_are_refused() -> None:
    with pytest.raises(InvalidError):
        kits_to_build(-1)


# --- drafts -----------------------------------------------------------------------------------------------------

STARTS = WallTime(dt.datetime.combine(dt.date(2027, 3, 20), dt.time(10)), "America/New_York")
DATES = ClassDates(STARTS, replace(STARTS, local=STARTS.local + dt.timedelta(hours=3)))
NOW = dt.datetime(2027, 2, 1, 13, tzinfo=dt.UTC)


def drafted(*lines: Line, now: dt.datetime = NOW) -> list[tuple[str, bool]]:
    drafts = drafts_for(
        Recipe("r", lines), ROOM, DATES, Calendars(), {}, first=True, hired_venue=True, now=now
    )  # fmt: skip
    return [(draft.line.key, draft.offered) for draft in drafts]


def test_advice_whose_aim_has_passed_is_offered_and_work_is_owed() -> None:
    past = Timing(Aim(Anchor.CLASS_START, -60))
    advice = replace(line("announce"), timing=past, advice=True)
    assert drafted(advice, replace(line("order"), timing=past)) == [("announce", True), ("order", False)]


def test_advice_whose_aim_is_to_come_is_owed() -> None:
    assert drafted(replace(line("announce"), advice=True)) == [("announce", False)]


def test_advice_is_offered_from_the_end_of_its_day() -> None:
    advice = replace(line("announce"), advice=True)
    midnight = dt.datetime(2027, 3, 14, 5, tzinfo=dt.UTC)  # the end of T-7
    assert drafted(advice, now=midnight - dt.timedelta(minutes=1)) == [("announce", False)]
    assert drafted(advice, now=midnight) == [("announce", True)]


def test_a_line_whose_anchor_the_class_lacks_makes_no_task_and_is_bridged() -> None:
    posting = replace(line("post", After("cut", NIGHT)), timing=Timing(Aim(Anchor.POST_BY)))
    recipe = Recipe("r", (line("cut"), posting, line("ask", After("post"))))
    drafts = drafts_for(recipe, ROOM, DATES, Calendars(), {}, first=True, hired_venue=True, now=NOW)
    assert [draft.line.key for draft in drafts] == ["cut", "ask"]
    assert drafts[1].line.after == (After("cut", NIGHT),)

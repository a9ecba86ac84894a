"""Recurring dates in words and as RFC 5545 rules."""

from __future__ import annotations

import pytest

from scheduling.errors import InvalidError
from scheduling.repeats_text import read_repeat, show_repeat


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("third thursday", "FREQ=MONTHLY;BYDAY=3TH"),
        ("Third Thursday of the month", "FREQ=MONTHLY;BYDAY=3TH"),
        ("every third thursday of the month", "FREQ=MONTHLY;BYDAY=3TH"),
        ("last fri", "FREQ=MONTHLY;BYDAY=-1FR"),
        ("last friday of the month", "FREQ=MONTHLY;BYDAY=-1FR"),
        ("1st and 3rd sat", "FREQ=MONTHLY;BYDAY=1SA,3SA"),
        ("first, third and last saturday", "FREQ=MONTHLY;BYDAY=1SA,3SA,-1SA"),
        ("monthly on the 15th", "FREQ=MONTHLY;BYMONTHDAY=15"),
        ("the 1st and 15th of the month", "FREQ=MONTHLY;BYMONTHDAY=1,15"),
        ("last day of the month", "FREQ=MONTHLY;BYMONTHDAY=-1"),
        ("every 2 months on the third thursday", "FREQ=MONTHLY;INTERVAL=2;BYDAY=3TH"),
        ("third thursday of every 2 months", "FREQ=MONTHLY;INTERVAL=2;BYDAY=3TH"),
        ("every saturday", "FREQ=WEEKLY;BYDAY=SA"),
        ("Saturdays", "FREQ=WEEKLY;BYDAY=SA"),
        ("thu, tue", "FREQ=WEEKLY;BYDAY=TU,TH"),
        ("weekly on mon, wed and fri", "FREQ=WEEKLY;BYDAY=MO,WE,FR"),
        ("every 2 weeks on tue", "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU"),
        ("every other tuesday", "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU"),
        ("fortnightly on sat", "FREQ=WEEKLY;INTERVAL=2;BYDAY=SA"),
        ("every 2 weeks", "FREQ=WEEKLY;INTERVAL=2"),
        ("every week", "FREQ=WEEKLY"),
        ("daily", "FREQ=DAILY"),
        ("every 3 days", "FREQ=DAILY;INTERVAL=3"),
        ("yearly on 3 apr", "FREQ=YEARLY;BYMONTH=4;BYMONTHDAY=3"),
        ("yearly on 29 feb", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29"),
        ("third thursday, 8 times", "FREQ=MONTHLY;COUNT=8;BYDAY=3TH"),
    ],
)
def test_a_recurring_date_is_read_from_its_words(text: str, rule: str) -> None:
    assert read_repeat(text).value == rule


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("FREQ=MONTHLY;BYDAY=3TH", "third Thursday of the month"),
        ("FREQ=MONTHLY;BYDAY=-1FR;COUNT=8", "last Friday of the month, 8 times"),
        ("FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,TH", "every 2 weeks on Tue and Thu"),
        ("FREQ=WEEKLY;BYDAY=FR,MO,WE", "every Monday, Wednesday and Friday"),
        (
            "FREQ=MONTHLY;BYMONTHDAY=1,2,3,11,12,13,21,22,23,31",
            "1st, 2nd, 3rd, 11th, 12th, 13th, 21st, 22nd, 23rd and 31st of the month",
        ),
        ("FREQ=MONTHLY;BYMONTHDAY=-1", "last day of the month"),
        ("FREQ=YEARLY;BYMONTH=4;BYMONTHDAY=3", "every year on 3 Apr"),
        ("FREQ=DAILY;INTERVAL=1", "every day"),
    ],
)
def test_a_rule_is_shown_in_words(rule: str, said: str) -> None:
    assert show_repeat(rule) == said
    assert read_repeat(rule).shown == said


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1",
        "FREQ=WEEKLY;UNTIL=20270630T235959",
        "FREQ=MONTHLY;BYDAY=1SA,3SU",
        "FREQ=MONTHLY;BYMONTHDAY=-2",
        "FREQ=YEARLY;BYMONTH=4,5;BYMONTHDAY=3",
    ],
)
def test_a_rule_without_plain_words_is_kept_and_shown_as_it_is(rule: str) -> None:
    assert read_repeat(rule).value == rule
    assert show_repeat(rule) == rule


def test_equal_rules_become_equal_texts() -> None:
    assert (
        read_repeat(" rrule:byday=+3TH,03TH;interval=01; freq=monthly;").value
        == read_repeat("FREQ=MONTHLY;BYDAY=3TH").value
        == "FREQ=MONTHLY;BYDAY=3TH"
    )


def test_every_third_thursday_is_refused_with_both_meanings() -> None:
    with pytest.raises(InvalidError) as refusal:
        read_repeat("every third thu", field="repeats")
    assert refusal.value.field == "repeats"
    assert refusal.value.hint == "Say third Thursday of the month, or every 3 weeks on Thu."
    for meant in ("third Thursday of the month", "every 3 weeks on Thu"):
        assert read_repeat(meant).shown == meant


@pytest.mark.parametrize(
    "rule",
    [
        *(
            "FREQ=HOURLY",
            "INTERVAL=2",
            "FREQ=",
            "=",
            "FREQ=WEEKLY;FREQ=DAILY",
            "FREQ=WEEKLY;X=1",
            "FREQ=WEEKLY;INTERVAL=0",
        ),
        *(
            "FREQ=WEEKLY;INTERVAL=²",
            "FREQ=WEEKLY;COUNT=3;UNTIL=20270101",
            "FREQ=WEEKLY;COUNT=9999",
            "FREQ=WEEKLY;BYDAY=3TH",
        ),
        *(
            "FREQ=MONTHLY;BYDAY=6TH",
            "FREQ=MONTHLY;BYDAY=XX",
            "FREQ=MONTHLY;BYDAY=0TH",
            "FREQ=MONTHLY;BYDAY=,",
            "FREQ=MONTHLY;BYMONTHDAY=32",
        ),
        *("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=YEARLY;BYMONTH=4,6;BYMONTHDAY=31", "FREQ=YEARLY;BYMONTH=13"),
        *("FREQ=WEEKLY;UNTIL=20270231", "FREQ=WEEKLY;UNTIL=soon", "FREQ=WEEKLY;WKST=X", "FREQ=WEEKLY;BYMONTHDAY=3"),
        *("FREQ=MONTHLY;BYWEEKNO=3", "FREQ=MONTHLY;BYSETPOS=1", "FREQ=DAILY;" * 999, "FREQ=WEEKLY\nBYDAY=TU"),
    ],
)
def test_a_rule_outside_the_standard_is_refused(rule: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_repeat(rule)
    assert refusal.value.hint


@pytest.mark.parametrize(
    "text",
    [
        *("", "sometimes", "every", "last", "first", "month", "32nd of the month", "yearly on 31 apr", "every 0 weeks"),
        *("every 2 weeks on the 15th", "every thursday of the month", "third foo", "thursday 0 times", "x" * 5000),
    ],
)
def test_what_is_no_recurring_date_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_repeat(text)
    assert refusal.value.field == "rule"

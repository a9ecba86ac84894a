"""Cancel terms and refund tiers as typed."""

from __future__ import annotations

import pytest

from scheduling.commands.settings import DEFAULT_REFUND_TIERS, ChangeStudio
from scheduling.errors import InvalidError
from scheduling.model.terms_text import cancel_steps_text, read_cancel_steps, read_refund_tiers, refund_tiers_text


@pytest.mark.parametrize(
    "typed",
    [
        "14 50%, 7 100%",
        "14:50%; 7:100%",
        "T-14 50 %, T-7 100 percent",
        "14 days 50% and 7 days 100%",
        "from 14 50%,7 100%",
    ],
)
def test_cancel_terms_are_read_in_the_ways_they_are_written(typed: str) -> None:
    assert read_cancel_steps(typed).value == ((14, 50), (7, 100))


def test_the_last_free_day_is_said() -> None:
    assert read_cancel_steps("14 50%, 7 100%").shown == (
        "free up to 15 days before; 50% owed from 14 days before; all owed from 7 days before"
    )


@pytest.mark.parametrize("typed", ["", "none", "Free"])
def test_no_terms_are_no_steps(typed: str) -> None:
    assert read_cancel_steps(typed).value == ()


@pytest.mark.parametrize(
    "typed", ["14", "50%", "7 100%, 14 50%", "14 50%, 7 40%", "14 150%", "soon half", "14 0%", "9" * 200]
)
def test_terms_that_make_no_sense_are_refused_at_their_entry(typed: str) -> None:
    with pytest.raises(InvalidError) as refused:
        read_cancel_steps(typed)
    assert refused.value.field == "cancel_steps"
    assert refused.value.hint


def test_cancel_terms_read_back_what_is_shown() -> None:
    for steps in ((), ((7, 100),), ((30, 10), (14, 50), (0, 100))):
        assert read_cancel_steps(cancel_steps_text(steps)).value == steps


def test_the_default_tiers_read_back_and_are_taken_by_the_command() -> None:
    read = read_refund_tiers(refund_tiers_text(DEFAULT_REFUND_TIERS)).value
    assert read == DEFAULT_REFUND_TIERS
    assert ChangeStudio(refund_tiers=read).refund_tiers == read


@pytest.mark.parametrize(
    "typed", ["", "14 full", "7 half, 14 full, 0 none", "14 most, 0 none", "7 half, 7 full, 0 none"]
)
def test_tiers_that_do_not_fall_to_the_day_itself_are_refused(typed: str) -> None:
    with pytest.raises(InvalidError) as refused:
        read_refund_tiers(typed)
    assert refused.value.field == "refund_tiers"

"""What a command says of an entry of the wrong form: plain words, the field, the mend."""

from __future__ import annotations

from typing import Any

import pytest

from scheduling import commands
from scheduling.errors import InvalidError


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"what": "x" * 61}, "what", "The entry what is longer than 60 letters. Shorten it."),
        ({"amount_minor": 0}, "amount_minor", "The entry amount has to be more than 0."),
        ({"amount_minor": 10**15}, "amount_minor", "The entry amount has to be 100,000,000,000,000 or less."),
        ({"booking_id": "x"}, "booking_id", "The entry booking is not possible: Input should be a valid integer"),
        ({"odd": 1}, "odd", "The entry odd is not possible: Extra inputs are not permitted."),
    ],
)
def test_an_entry_of_the_wrong_form_is_named_in_plain_words(entries: dict[str, Any], field: str, words: str) -> None:
    right = {"booking_id": 1, "what": "overtime", "amount_minor": 500}
    with pytest.raises(InvalidError) as refused:
        commands.AddCharge(**{**right, **entries})
    assert refused.value.field == field
    assert str(refused.value).startswith(words)


def test_a_word_that_is_none_of_the_choices_is_told_them() -> None:
    with pytest.raises(InvalidError, match="choice has to be 'run', 'run reduced', 'wait' or 'call off'"):
        commands.Decide(class_date_id=1, choice="maybe")
    with pytest.raises(InvalidError, match="The entry choice is missing"):
        commands.Decide(class_date_id=1)  # type: ignore[call-arg]

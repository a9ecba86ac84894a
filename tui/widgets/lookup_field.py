"""A field that takes one out of very many: what is typed is looked up at every key."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tui.widgets.choice_field import Choice, ChoiceField


class LookupField(ChoiceField):
    """A ChoiceField whose choices come from `look_up`, asked with what is typed, the best first.

    value: the choice that stands in it at first; None for none.
    """

    has_all_choices = False

    def __init__(
        self,
        entry_name: str,
        label: str,
        look_up: Callable[[str], Sequence[Choice]],
        *,
        value: Choice | None = None,
        is_needed: bool = True,
        hint: str = "type a few letters",
    ) -> None:
        self._look_up = look_up
        super().__init__(
            entry_name,
            label,
            () if value is None else (value,),
            value=None if value is None else value.id,
            is_needed=is_needed,
            hint=hint,
        )

    def offer(self, choices: Sequence[Choice]) -> None:
        """Choices to begin with; the next key looks others up."""
        super().offer(choices)
        self._find = self._ask  # type: ignore[assignment]  # called as the finder is

    def _ask(self, typed: str) -> Sequence[int]:
        self._choices = tuple(self._look_up(typed))
        return range(len(self._choices))

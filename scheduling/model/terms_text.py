"""Cancel terms of a venue and the studio's refund tiers, as she types them and as they are shown."""

from __future__ import annotations

import re
from typing import Final, Literal

from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.model.deadlines import CancelStep, CancelTerms
from scheduling.typed_days import shortened
from scheduling.words import LONGEST, Understood

RefundPart = Literal["full", "half", "credit", "none"]
PARTS: Final[dict[str, RefundPart]] = {
    "full": "full", "all": "full", "half": "half", "50%": "half", "100%": "full", "credit": "credit", "none": "none",
    "nothing": "none", "0%": "none",
}  # fmt: skip

_STEP = re.compile(r"(?:from )?(?:t-)?(\d{1,3})(?: days?)?(?: before)?(?: ?:| ?=)? ?(\d{1,3}) ?(?:%|percent)", re.ASCII)
_TIER = re.compile(r"(?:from )?(?:t-)?(\d{1,3})(?: days?)?(?: before)?(?: ?:| ?=)? ?([a-z]+|\d{1,3}%)", re.ASCII)
_NONE = ("", "none", "never", "free")


def read_cancel_steps(text: str, *, field: str = "cancel_steps") -> Understood[tuple[tuple[int, int], ...]]:
    """What a venue asks for a date given back, as "14 50%, 7 100%": from 14 days before half the hire, from 7 all.

    Empty or "none": nothing is ever owed. Raises InvalidError for what is not understood and, as CancelTerms does,
    for steps that do not come nearer to the class with more owed each time.
    """
    plain = _plain(text)
    if plain in _NONE:
        return Understood((), "nothing is owed on any day")
    steps: list[tuple[int, int]] = []
    for part in _parts(plain):
        match = _STEP.fullmatch(part)
        if match is None:
            raise InvalidError(
                f"{shortened(part)} is not understood as a step of cancel terms.",
                hint="Write days before the class and the percent owed, such as 14 50%, 7 100%.",
                field=field,
            )
        steps.append((int(match[1]), int(match[2])))
    try:
        CancelTerms(tuple(CancelStep(days, percent) for days, percent in steps))
    except InvalidError as error:
        raise InvalidError(error.message, hint=error.hint, field=field) from error
    said = "; ".join(f"{_percent(percent)} owed from {_days(days)}" for days, percent in steps)
    return Understood(tuple(steps), f"free up to {_days(steps[0][0] + 1)}; {said}")


def cancel_steps_text(steps: tuple[tuple[int, int], ...]) -> str:
    """The steps as they are typed: "14 50%, 7 100%"; empty where nothing is ever owed."""
    return ", ".join(f"{days} {percent}%" for days, percent in steps)


def read_refund_tiers(text: str, *, field: str = "refund_tiers") -> Understood[tuple[tuple[int, RefundPart], ...]]:
    """What an attendee gets back, as "14 full, 7 half, 2 credit, 0 none": full up to and with 14 days before.

    Raises InvalidError where a part is not understood, or the days do not fall to 0.
    """
    tiers: list[tuple[int, RefundPart]] = []
    for part in _parts(_plain(text)):
        match = _TIER.fullmatch(part)
        given = PARTS.get(match[2]) if match else None
        if match is None or given is None:
            raise InvalidError(
                f"{shortened(part)} is not understood as a refund tier.",
                hint="Write days before the class and full, half, credit or none: 14 full, 7 half, 0 none.",
                field=field,
            )
        tiers.append((int(match[1]), given))
    days = [day for day, _ in tiers]
    if not days or days != sorted(set(days), reverse=True) or days[-1] != 0:
        raise InvalidError(
            "Refund tiers go from the most days before the class down to 0.",
            hint="Give each number of days once and end with 0, such as 0 none.",
            field=field,
        )
    names = {"full": "all back", "half": "half back", "credit": "a credit", "none": "nothing back"}
    said = [f"{names[part]} until {_days(day)}" for day, part in tiers]
    if len(tiers) > 1:
        said[-1] = f"then {names[tiers[-1][1]]}"
    return Understood(tuple(tiers), "; ".join(said))


def refund_tiers_text(tiers: tuple[tuple[int, str], ...]) -> str:
    """The tiers as they are typed."""
    return ", ".join(f"{days} {part}" for days, part in tiers)


def _plain(text: str) -> str:
    return typed_text(text) if len(text) <= LONGEST else text[:LONGEST]


def _parts(plain: str) -> list[str]:
    return [part.strip() for part in re.split(r"[,;]| then | and ", plain) if part.strip()]


def _percent(percent: int) -> str:
    return {100: "all"}.get(percent, f"{percent}%")


def _days(days: int) -> str:
    return {0: "the day itself", 1: "1 day before"}.get(days, f"{days} days before")

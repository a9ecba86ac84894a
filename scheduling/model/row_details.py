"""What a row of a file says of the person whom it named before: the name, address and phone now, and here.

Three texts are compared for each: what the file says, what is kept here, and what the file said when it was last kept.
Of the last only opaque keys are kept (`said_keys`). Where the file alone has changed, it is followed; where she alone
has, hers stays; where both have, she is asked.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from scheduling.model.taking_in import opaque_key

FIELDS: Final = ("name", "email", "phone")
LABELS: Final = {"name": "name", "email": "e-mail address", "phone": "phone number"}
_UNKNOWN: Final = "-"
_KEY_LENGTH: Final = 16


@dataclass(frozen=True, slots=True)
class Details:
    """taken: (field, here, in the file) that the file alone has changed. asked: the same where both have.

    apart: the same where it is not known who has changed it, because the row was kept before that was remembered.
    """

    taken: tuple[tuple[str, str, str], ...] = ()
    asked: tuple[tuple[str, str, str], ...] = ()
    apart: tuple[tuple[str, str, str], ...] = ()


def said_keys(key: str, file: Mapping[str, str], before: str | None = None) -> str:
    """What a row says of its person, as opaque keys; what it leaves empty stays as it was said `before`."""
    kept = _parts(before)
    return " ".join(_key(key, name, file[name]) if file[name] else kept[name] for name in FIELDS)


def compared(key: str, file: Mapping[str, str], here: Mapping[str, str], before: str | None) -> Details:
    """What differs for a row; an empty cell says nothing, so that nothing is ever emptied by a file."""
    found: dict[str, list[tuple[str, str, str]]] = {"taken": [], "asked": [], "apart": []}
    parts = _parts(before)
    for name in FIELDS:
        if not file[name] or _plain(name, file[name]) == _plain(name, here[name]):
            continue
        said = parts[name]
        if said == _UNKNOWN:  # the file had nothing of the kind: what it adds fills what is empty here
            kind = "apart" if before is None else "asked" if here[name] else "taken"
        elif said == _key(key, name, file[name]):
            continue
        else:
            kind = "taken" if said == _key(key, name, here[name]) else "asked"
        found[kind].append((name, here[name], file[name]))
    return Details(*(tuple(found[kind]) for kind in ("taken", "asked", "apart")))


def may_be_another(file: Mapping[str, str], here: Mapping[str, str]) -> bool:
    """Whether a row may name another person than before: some sheets number their rows anew.

    The name is another, and neither address nor phone says that it is the same person, nor a part of the name.
    """
    name, kept = _plain("name", file["name"]).casefold(), _plain("name", here["name"]).casefold()
    if name == kept:
        return False
    same = [
        field
        for field in ("email", "phone")
        if file[field] and _plain(field, file[field]) == _plain(field, here[field])
    ]
    if same:
        return False
    is_other_address = bool(file["email"] and here["email"])
    return is_other_address or not set(name.split()) & set(kept.split())


def _parts(before: str | None) -> dict[str, str]:
    parts = (before or "").split()
    return dict(zip(FIELDS, parts if len(parts) == len(FIELDS) else [_UNKNOWN] * len(FIELDS), strict=True))


def _plain(name: str, text: str) -> str:
    """A text as it is compared: how a number is spaced and how an address is capitalised changes nothing."""
    if name == "phone":
        return "".join(char for char in text if char.isdecimal() or char == "+")
    text = " ".join(text.split())
    return text.casefold() if name == "email" else text


def _key(key: str, name: str, text: str) -> str:
    return opaque_key(f"{key}|{name}|{_plain(name, text)}")[:_KEY_LENGTH]

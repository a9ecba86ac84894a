"""The cases under tests/cases: files from outside with what they mean."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent.parent / "cases"


@dataclass(frozen=True, slots=True)
class Case:
    """One folder: its name, its home zone, what is expected, and the files in it."""

    id: str
    zone: str
    expect: dict[str, Any]
    folder: Path
    input: str

    def octets(self, name: str = "") -> bytes:
        return (self.folder / (name or self.input)).read_bytes()


def cases_of(suffix: str) -> list[Case]:
    """The cases whose input ends with `suffix`, by name."""
    found = []
    for path in sorted(FOLDER.glob("*/case.toml")):
        case = tomllib.loads(path.read_text("utf-8"))
        if case["input"].endswith(suffix):
            found.append(
                Case(case["id"], case.get("home_tz", "UTC"), case.get("expect", {}), path.parent, case["input"])
            )
    return found

"""All that is kept of one person as rows, in the order of the file that they may be given."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import Any, Final

from scheduling.words import show_day
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section

COLUMNS: Final = (Column("", 22), Column("", share=1, least=20), Column("", 24, drop=1))
HEALTH: Final = "health"


@dataclass(slots=True)
class PersonalLines:
    """Rows, and the whole text of each by its id."""

    rows: list[Row | Section] = field(default_factory=list)
    about: dict[Hashable, str] = field(default_factory=dict)

    def add(self, key: Hashable, label: str, text: str, right: str = "", *, mark: str = "") -> None:
        flat = " / ".join(text.splitlines())
        tone = "warn" if mark else ""
        self.rows.append(Row(key, (label, flat or "-", Cell(right, "quiet")), mark, tone))  # type: ignore[arg-type]
        self.about[key] = f"{label}: {flat or '-'}{f' ({right})' if right else ''}"


def personal_lines(data: dict[str, Any]) -> PersonalLines:
    """data: as of queries/person_data.py, without the health note's words."""
    lines = PersonalLines()
    person = data["person"]
    lines.rows.append(Section("About them", "e keeps all of it as a file for them"))
    for key, label in (
        ("name", "Name"), ("email", "E-mail"), ("phone", "Phone"), ("address", "Address"),
        ("birth_year", "Born in"), ("guardian", "Guardian"), ("collectors", "May collect"),
        ("access_needs", "Access needs"), ("note", "Note"),
    ):  # fmt: skip
        lines.add(key, label, str(person[key] or ""))
    for n, name in enumerate(data["children"]):
        lines.add(("child", n), "Guardian of", name)
    lines.rows.append(Section("Consents, with their dates", "c on the person's page changes them"))
    for key, label in (("photos", "Photos"), ("news", "News by e-mail")):
        one = person[key]
        said = {"yes": "yes, agreed", "no": "no, said no"}.get(one["consent"], "not asked yet")
        lines.add(key, label, said, f"on {_day(one['since'])}" if one["since"] else "")
    lines.rows.append(Section("Erased after a day", "by itself, also from the history and the copies"))
    until = _day(person["health_note_erased_after"])
    if person["has_health_note"]:
        lines.add(HEALTH, "Health note", "one is kept; its words stand on the person's page", f"to {until}", mark="*")
    else:
        lines.add(HEALTH, "Health note", "none is kept")
    _lists(lines, data)
    return lines


def _lists(lines: PersonalLines, data: dict[str, Any]) -> None:
    currency = data["currency"]
    if data["bookings"]:
        lines.rows.append(Section("Bookings", str(len(data["bookings"]))))
    for one in data["bookings"]:
        what = f"{one['class']} {one['title']}"
        lines.add(("booking", one["booking"]), f"{one['booking']} {one['state']}", what, _day(one["starts"][:10]))
    if data["days"]:
        lines.rows.append(Section("On the day", "came, did not come"))
    for n, one in enumerate(data["days"]):
        clock = ", ".join(word for word, at in (("signed in", one["in"]), ("signed out", one["out"])) if at)
        lines.add(("day", n), f"C{one['class_date']:02d}", one["mark"], clock)
    money = [(one["booking"], entry) for one in data["money"] for entry in one["entries"]]
    if money or data["credits"]:
        lines.rows.append(Section("Money", f"{currency}; totals stay when a person is erased"))
    for n, (booking, entry) in enumerate(money):
        by = " ".join(part for part in (entry["method"], entry["reference"]) if part)
        lines.add(("money", n), f"{booking} {_day(entry['day'])}", f"{entry['what']} {entry['amount']}", by)
    for one in data["credits"]:
        lines.add(("credit", one["credit"]), one["credit"], f"credit, {one['left']} left", f"to {_day(one['ends_on'])}")
    if data["messages"]:
        lines.rows.append(Section("Messages", str(len(data["messages"]))))
    for n, one in enumerate(data["messages"]):
        lines.add(("message", n), one["state"], one["subject"], _day(one["at"][:10]))


def _day(iso: str | None) -> str:
    return show_day(dt.date.fromisoformat(iso), year=True) if iso else ""

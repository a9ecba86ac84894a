"""What an outside file would do, line by line, before anything is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from scheduling.exchange.meanings import Meaning
from scheduling.model.bookings import heads_text
from scheduling.model.taking_in import BusyEntry, PersonEntry, SignUpEntry
from tui import class_lines
from tui.cells import Column
from tui.file_reading import BusySeen, SignUpsSeen
from tui.widgets.row import Cell, Row, Section, Tone

IMPORT_COLUMNS: Final = (
    Column("", 10),
    Column("", share=1, least=18),
    Column("", share=1, least=18, drop=1),
    Column("", 8, drop=2),
)
CLASS_OF_REST: Final = "class of the rest"
_TONES: Final[dict[str, Tone]] = {"new": "good", "changed": "warn", "left out": "bad", "same": "quiet"}
_MOST_NOTICES: Final = 200


@dataclass
class ImportLines:
    """rows: to be shown; about: the whole text of a row, by its id; asks: what Enter answers, by row id."""

    rows: list[Any] = field(default_factory=list)
    about: dict[object, str] = field(default_factory=dict)
    asks: dict[object, Any] = field(default_factory=dict)

    def line(self, row_id: object, label: str, text: str, more: str = "", right: str = "", tone: Tone = "") -> None:
        self.rows.append(Row(row_id, (Cell(label, tone), text, Cell(more, "quiet"), Cell(right, "quiet"))))
        self.about[row_id] = " ".join(filter(None, (text, more, right)))

    def ask(self, row_id: object, text: str, question: Any) -> None:
        """A question; Enter on its row answers it."""
        text = text[:1].upper() + text[1:]
        self.rows.append(Row(row_id, (Cell("asked", "warn"), text, "Enter answers", ""), mark="?", tone="warn"))
        self.about[row_id] = f"{text} Enter answers it."
        self.asks[row_id] = question


@dataclass(frozen=True, slots=True)
class SignUpLine:
    """A sign-up with its person, drawn only when it comes in sight."""

    entry: SignUpEntry
    person: PersonEntry
    waits: bool

    @property
    def id(self) -> tuple[str, int, str]:
        return "row", self.entry.row, self.entry.key

    def drawn(self) -> Row:
        entry = self.entry
        what = "waitlist" if self.waits else entry.what
        tone: Tone = "warn" if self.waits else _TONES[entry.what]
        who = self.person.name if self.person.person_id is not None else f"{self.person.name} (new)"
        where = ": ".join(filter(None, (entry.class_text, entry.about)))
        return Row(self.id, (Cell(what, tone), who, where, heads_text(entry.heads) if entry.heads else "?"))

    def about(self) -> str:
        row = self.drawn()
        cells = [cell if isinstance(cell, str) else cell.text for cell in row.cells]
        return f"Row {self.entry.row}: " + ", ".join(filter(None, cells)) + "."


def sign_up_lines(seen: SignUpsSeen) -> ImportLines:
    """Questions first, then the sums, the classes, the rows and what was odd."""
    lines, preview = ImportLines(), seen.preview
    if preview.ask or seen.without_class:
        lines.rows.append(Section("To be answered"))
        for n, question in enumerate(preview.ask):
            lines.ask(("ask", n), question.text, question)
    if seen.without_class and not preview.ask:  # an answer may still tell which class
        lines.ask(
            CLASS_OF_REST, f"{_count(seen.without_class, 'sign-up')} of no class that is known: which class?", None
        )
    waiting = {row for effect in seen.effects for row in effect.waiting}
    known = len(preview.people) - preview.new_people
    counts = preview.counts
    lines.rows.append(Section(f"What {preview.source} means", "nothing is kept yet"))
    lines.line("people", "People", f"{preview.new_people} new, {known} known already")
    lines.line(
        "sign-ups",
        "Sign-ups",
        f"{counts.get('new', 0)} new, {counts.get('changed', 0)} changed",
        f"{counts.get('same', 0)} the same, {counts.get('left out', 0)} left out",
        f"{len(waiting)} wait" if waiting else "",
    )
    _settings(lines, seen)
    if seen.effects:
        lines.rows.append(Section("Classes"))
    for effect in seen.effects:
        row = effect.class_row
        lines.line(
            ("class", row.id),
            f"+{heads_text(effect.heads)}",
            class_lines.named(row),
            f"{class_lines.when(row)}, {row.heads} of {row.seats} seats taken now",
            f"{len(effect.waiting)} wait" if effect.waiting else "all fit",
            "warn" if effect.waiting else "",
        )
    if preview.sign_ups:
        lines.rows.append(Section("Row by row", str(len(preview.sign_ups))))
        lines.rows += [SignUpLine(one, preview.people[one.person], one.row in waiting) for one in preview.sign_ups]
    _notices(lines, preview.notices)
    return lines


def _settings(lines: ImportLines, seen: SignUpsSeen) -> None:
    """How the file was read, to be mended where it is wrong."""
    if seen.settings:
        lines.rows.append(Section("How it is read", "Enter changes a line"))
    for one in seen.settings:
        lines.line(one.id, one.label, one.text, one.now, tone="quiet" if one.value == Meaning.UNUSED.value else "")
        lines.about[one.id] = f"{one.label}: {' '.join(filter(None, (one.text, one.now)))}. Enter changes it."
        lines.asks[one.id] = one


def busy_lines(seen: BusySeen) -> ImportLines:
    """The same for a calendar of busy times."""
    lines, preview = ImportLines(), seen.preview
    if seen.zones_to_ask:
        lines.rows.append(Section("To be answered"))
        for name in seen.zones_to_ask:
            lines.ask(("zone", name), f"The file names a time zone {name!r} that is not known: which is it?", name)
    lines.rows.append(Section(f"What {preview.source} means", "nothing is kept yet"))
    lines.line(
        "busy",
        "Busy times",
        f"{len(preview.new)} new, {len(preview.changed) - len(preview.freed)} changed",
        f"{len(preview.freed)} free now, {preview.gone} gone, {preview.same} the same",
        _count(seen.days, "day"),
    )
    if seen.takes_away_by_damage:
        lines.line("damaged", "not whole", "Nothing is taken away for it. Get it anew.", tone="bad")
    elif seen.empties:
        lines.line("empties", "look", "Keeping it takes all busy times away.", tone="warn")
    if preview.clashes:
        lines.rows.append(Section("Classes in busy times", str(len(preview.clashes))))
        for n, clash in enumerate(preview.clashes):
            lines.line(("clash", n), "class", clash, tone="warn")
    parts: tuple[tuple[str, str, Sequence[BusyEntry], Tone], ...] = (
        ("New", "new", preview.new, "good"),
        ("Changed", "changed", [one for one in preview.changed if one.takes_time], "warn"),
        ("Free now: called off or marked free", "free now", preview.freed, "warn"),
        ("Gone: not in the file any more", "gone", preview.gone_entries, "warn"),
        ("Ignored: older than what is kept", "ignored", preview.ignored, "quiet"),
    )
    for title, word, entries, tone in parts:
        if entries:
            lines.rows.append(Section(title, str(len(entries))))
            for entry in entries:
                lines.line((word, *entry.identity), word, entry.title or "busy", entry.span, "", tone)
    _notices(lines, seen.notices)
    return lines


def _notices(lines: ImportLines, notices: Sequence[str]) -> None:
    if notices:
        lines.rows.append(Section("What was odd", str(len(notices))))
    for n, notice in enumerate(notices[:_MOST_NOTICES]):
        lines.line(("notice", n), "note", notice, tone="warn")


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"

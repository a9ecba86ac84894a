"""Decisions as rows: heads against the minimum, pace beside earlier classes, and the money each way."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from typing import Final

from scheduling.model.bookings import heads_text
from scheduling.model.prices import Figure
from scheduling.model.refs import ref
from scheduling.queries.decisions import DecisionRow
from scheduling.words import counted, show_day
from tui import cells, class_lines
from tui.cells import Column
from tui.widgets.row import Cell, Row, Section, Tone

DUE_COLUMNS: Final = (
    Column("", 24),
    Column("", share=2, least=15),
    Column("", 23),
    Column("", 17, align="right", drop=1),
)
DECISION_COLUMNS: Final = (Column("", 25), Column("", share=1, least=20), Column("", 12, align="right"))
CHOICES: Final[dict[str, str]] = {
    "run": "It runs",
    "run reduced": "It runs reduced",
    "wait": "Wait to a day",
    "call off": "Call it off",
}
_MOST_STROKES: Final = 24


@dataclass(slots=True)
class DecisionLines:
    """Rows, what to say of each, and the figure behind it."""

    rows: list[Row | Section] = field(default_factory=list)
    about: dict[Hashable, str] = field(default_factory=dict)
    figures: dict[Hashable, tuple[str, Figure]] = field(default_factory=dict)


def days_words(row: DecisionRow) -> tuple[str, Tone]:
    """How long there is to decide, and whether that is pressing."""
    if row.days_left < 0:
        return f"{-row.days_left} {'day' if row.days_left == -1 else 'days'} past", "bad"
    if row.days_left == 0:
        return "today", "warn"
    return f"in {row.days_left} {'day' if row.days_left == 1 else 'days'}", "warn" if row.days_left <= 3 else ""


def due_row(row: DecisionRow, *, today: dt.date) -> Row:
    """One class to decide on under DUE_COLUMNS."""
    words, tone = days_words(row)
    one = row.class_row
    day = show_day(row.waits_until or row.day, today=today)
    mark = "!" if tone == "bad" or row.short_of else ""
    return Row(
        one.id,
        (
            Cell(f"{day}, {words}", tone),
            class_lines.named(one),
            class_lines.seats(one),
            Cell(f"leaves {row.currency.show(row.run.amount)}", "bad" if row.run.amount < 0 else ""),
        ),
        mark,
        "bad" if tone == "bad" else "warn" if mark else "",
    )


def due_about(row: DecisionRow, *, today: dt.date) -> str:
    """The class in two lines of words."""
    likely = "" if row.likely is None else f" Likely {row.likely} in the end."
    show = row.currency.show
    return (
        f"{class_lines.named(row.class_row)}, {class_lines.when(row.class_row, today=today)}:"
        f" {heads_text(row.class_row.heads)}, minimum {row.class_row.minimum}.{likely} If it runs"
        f" {show(row.run.amount)} are left, reduced {show(row.reduced.amount)}; called off today"
        f" {show(row.called_off.amount)}."
    )


def decision_lines(row: DecisionRow, *, today: dt.date) -> DecisionLines:
    """What to decide, then all that speaks for and against."""
    lines = DecisionLines()
    words, _tone = days_words(row)
    by = show_day(row.waits_until or row.day, today=today)
    lines.rows.append(Section("Decide", f"by the end of {by}, {words}"))
    for choice, label in CHOICES.items():
        lines.rows.append(Row(("choice", choice), (label, _choice_words(row, choice), ""), *_choice_mark(choice)))
        lines.about["choice", choice] = f"{label}: Enter shows all that it does before anything is kept."
    _heads(lines, row)
    _money(lines, row)
    _venue(lines, row, today)
    return lines


def _choice_mark(choice: str) -> tuple[str, Tone]:
    return ("!", "bad") if choice == "call off" else ("", "")


def _choice_words(row: DecisionRow, choice: str) -> str:
    heads = heads_text(row.class_row.heads)
    return {
        "run": f"with {heads}; confirmed in the calendar",
        "run reduced": f"with {heads} as its minimum, without the help you can save",
        "wait": "and be asked again by then",
        "call off": f"give back {row.currency.show(row.to_give_back)}, drop its prep, draft messages",
    }[choice]


def _heads(lines: DecisionLines, row: DecisionRow) -> None:
    one = row.class_row
    drawn = cells.seat_strokes(one.heads, one.seats, one.minimum, most=_MOST_STROKES)
    far = f"{counted(max((one.first_day - row.day).days, 0), 'day')} between then and the class"
    lines.rows.append(Section("Heads", far))
    short = f"{row.short_of} short of {one.minimum}" if row.short_of else f"minimum {one.minimum} reached"
    tone: Tone = "warn" if row.short_of else "good"
    lines.rows.append(Row("heads", (heads_text(one.heads), Cell(f"{drawn.drawing} {short}", tone), f"of {one.seats}")))
    lines.about["heads"] = f"{heads_text(one.heads)} of {one.seats} seats, {short}; {one.waiting} waiting."
    if row.break_even is not None:
        costs = "cover the costs" if one.heads >= row.break_even else "do not yet cover the costs"
        lines.rows.append(Row("break-even", ("Break-even", f"{heads_text(row.break_even)}; those there {costs}", "")))
        lines.about["break-even"] = (
            f"From {counted(row.break_even, 'head')} on the fees cover the fixed and per-head costs."
        )
    if row.likely is not None:
        lines.rows.append(Row("likely", ("Likely in the end", f"as many as came later before: {row.likely}", "")))
        lines.about["likely"] = "Heads now and, of the earlier classes below, the middle one's later sign-ups."
    if not row.pace:
        lines.rows.append(Row("pace", ("Pace", Cell("no earlier class of this project is taught yet", "quiet"), "")))
        return
    for earlier in row.pace:
        key = ("pace", earlier.class_date_id)
        later = max(0, earlier.heads_in_the_end - earlier.heads_then)
        drawing = cells.PENCIL.stroke * min(earlier.heads_then, _MOST_STROKES)
        drawing += cells.PENCIL.limit + cells.PENCIL.free * min(later, _MOST_STROKES)
        name = ref("class_date", earlier.class_date_id)
        text = f"{drawing} then {earlier.heads_then}, in the end {earlier.heads_in_the_end}"
        lines.rows.append(Row(key, (f"{name} at this point", text, "")))
        lines.about[key] = (
            f"{name} had {counted(earlier.heads_then, 'head')} so many days before it,"
            f" and {earlier.heads_in_the_end} in the end."
        )


def _money(lines: DecisionLines, row: DecisionRow) -> None:
    lines.rows.append(Section("At stake today", f"{row.currency.code}; Enter or w shows the sum"))
    for key, label, figure in (
        ("run", "If it runs", row.run),
        ("reduced", "If it runs reduced", row.reduced),
        ("off", "If it is called off", row.called_off),
    ):
        words = ", ".join(f"{what} {row.currency.show(amount)}" for what, amount in figure.lines)
        tone: Tone = "bad" if figure.amount < 0 else ""
        lines.rows.append(Row(key, (label, Cell(words, "quiet"), Cell(row.currency.show(figure.amount), tone))))
        lines.figures[key] = (label, figure)
        lines.about[key] = f"{label}: {words or 'nothing'} = {row.currency.show(figure.amount)}."
    if row.per_hour is not None:
        lines.rows.append(Row("hour", ("Pay for an hour", "of all work, if it runs", row.currency.show(row.per_hour))))
    back = row.currency.show(row.to_give_back)
    lines.rows.append(Row("back", ("To give back", "to those who paid, if it is called off", back)))
    lines.about["back"] = "What was paid for heads goes back in full where you call the class off; the law goes first."


def _venue(lines: DecisionLines, row: DecisionRow, today: dt.date) -> None:
    if not row.penalties:
        return
    lines.rows.append(Section("Owed to the venue", "if the date is given back"))
    for n, one in enumerate(row.penalties):
        day = show_day(one.day, today=today)
        is_on = one.day <= today
        words = "from that day on" if not is_on else "that day is past"
        cells_of = (f"From {day}", Cell(words, "warn" if is_on else ""), row.currency.show(one.owed))
        lines.rows.append(Row(("venue", n), cells_of))
        lines.about["venue", n] = f"Given back from {day} on, the venue is owed {row.currency.show(one.owed)}."


def consequences(said: Sequence[str]) -> str:
    """What a decision would do, a sentence a line."""
    return "\n".join(f"- {line}" for line in said) if said else "Nothing else changes."

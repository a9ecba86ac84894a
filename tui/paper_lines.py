"""A receipt or an invoice as plain text, as the payer would read it."""

from __future__ import annotations

from scheduling.queries.person_money import TAX_CAUTION, Paper
from scheduling.words import show_day, show_time
from tui import cells

WIDE = 72


def paper_text(paper: Paper) -> str:
    """The paper in 72 columns, for one payer and nobody else's eyes; long words go on below, none is cut."""
    show = paper.currency.show
    row = paper.class_row
    hours = f"{show_time(row.sessions[0].starts.local.time())}-{show_time(row.sessions[0].ends.local.time())}"
    head = [
        paper.studio,
        f"{paper.kind.capitalize()} {paper.reference}, {show_day(paper.day, year=True)}",
        "",
        f"For: {paper.payer}",
        *(f"     {line}" for line in paper.address.splitlines()),
        "",
        f"{row.title}, {show_day(row.first_day, year=True)} {hours}",
        row.venue,
        "",
    ]
    body = [line for words, amount in paper.lines for line in _row(words, show(amount))]
    for entry in paper.entries:
        how = ", ".join(part for part in (entry.method, entry.reference) if part)
        what = f"{show_day(entry.day, year=True)} {entry.what}{f' ({how})' if how else ''}"
        body += _row(what, show(-entry.amount))
    gives_back = paper.over and not paper.to_pay
    last = ("To give back", paper.over) if gives_back else ("To pay", paper.to_pay)
    foot = _row(last[0], f"{show(last[1])} {paper.currency.code}", room=WIDE + 1 + len(paper.currency.code))
    return "\n".join([*head, *body, "-" * WIDE, *foot, "", TAX_CAUTION, ""])


def _row(words: str, amount: str, *, room: int = WIDE) -> list[str]:
    """One entry: its sum stands right, in the first of its lines."""
    room -= len(amount)
    first, *further = cells.wrap(cells.clean(words), room - 2) or [""]
    return [cells.pad(first, room) + amount, *(f"  {line}" for line in further)]

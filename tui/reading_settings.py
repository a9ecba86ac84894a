"""How a file of people was read, one setting a line, each of which she can change: what there is to choose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from scheduling.exchange.meanings import Meaning
from scheduling.exchange.rows import DAY_FIRST, MONTH_FIRST, STATES, Choice

if TYPE_CHECKING:
    from scheduling.exchange.rows import PeopleRead

_DELIMITERS: Final = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright bar"}
_ENCODINGS: Final = (
    ("utf-8", "Unicode (UTF-8)"),
    ("cp1252", "Western Europe"),
    ("cp1250", "Central Europe: Polish, Czech, Hungarian"),
    ("cp1251", "Cyrillic"),
    ("koi8_r", "Cyrillic, older (KOI8-R)"),
    ("cp1253", "Greek"),
    ("cp1254", "Turkish"),
    ("cp1257", "Baltic"),
    ("cp1255", "Hebrew"),
    ("cp1256", "Arabic"),
    ("utf-16-le", "Unicode (UTF-16, low byte first)"),
    ("utf-16-be", "Unicode (UTF-16, high byte first)"),
    ("cp932", "Japanese"),
    ("gb18030", "Chinese, simplified"),
    ("big5", "Chinese, traditional"),
    ("cp949", "Korean"),
    ("mac_roman", "Western Europe, older Macs"),
    ("cp850", "Western Europe, older DOS"),
)
_ABOUT_MEANINGS: Final = {
    Meaning.NAME: "the whole name",
    Meaning.HEADS: "how many come, 3 or 1+1",
    Meaning.GUESTS: "names of those who come along",
    Meaning.STATE: "paid, cancelled, waiting list and the like",
    Meaning.CLASS: "the class by its name or number",
    Meaning.DATE: "the day of the class",
    Meaning.TIME: "when the class begins",
    Meaning.PAID: "what has been paid",
    Meaning.PRICE: "what it costs; kept with nothing",
    Meaning.CONSENT: "yes or no to photos or news; by its header",
    Meaning.HEALTH: "kept apart and erased after the class",
    Meaning.ROW_ID: "the number of the sign-up in the file",
    Meaning.ORDER_ID: "the number of the order in the file",
    Meaning.PERSON_ID: "the number of the person in the file",
    Meaning.SIGNED_AT: "when they signed up",
    Meaning.UNUSED: "the column is passed over",
}
_STATE_WORDS: Final = {"confirmed": "confirmed", "waitlist": "on the waitlist", "no-show": "did not come"}
_ORDERS: Final = {DAY_FIRST: "day before month: 3/4 is 3 April", MONTH_FIRST: "month before day: 3/4 is 4 March"}
_SIGNS: Final = {",": "decimal comma: 1.234,50", ".": "decimal point: 1,234.50"}


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing about the reading of a file.

    kind, about: as Mapping.answered takes them. label, text, now: its line on the screen. value: the choice that holds.
    question: what is asked for another choice.
    """

    kind: str
    about: str
    label: str
    text: str
    now: str
    value: str
    question: str
    choices: tuple[Choice, ...]

    @property
    def id(self) -> tuple[str, str, str]:
        return "setting", self.kind, self.about


def settings_of(read: PeopleRead) -> tuple[Setting, ...]:
    """All settings of a table, in the order in which they depend on each other; none of contact cards."""
    if read.source.kind != "table":
        return ()
    return (*_of_file(read), *_columns(read), *_words(read))


def _of_file(read: PeopleRead) -> list[Setting]:
    source, found = read.source, []
    if len(source.sheets) > 1:
        choices = tuple(Choice(name, name) for name in source.sheets)
        found.append(Setting("sheet", "sheet", "sheet", source.sheet, "", source.sheet, "Which sheet is it?", choices))
    if source.encoding:
        choices = tuple(Choice(name, f"{text}: {name}") for name, text in _ENCODINGS)
        text = dict(_ENCODINGS).get(source.encoding, source.encoding)
        asked = "Which encoding makes the accents right?"
        found.append(Setting("encoding", "", "letters", text, "", source.encoding, asked, choices))
        choices = tuple(Choice(sign, word) for sign, word in _DELIMITERS.items())
        text = f"parted by {_DELIMITERS.get(source.delimiter, source.delimiter or 'nothing: one column')}"
        asked = "What parts the cells of a row?"
        found.append(Setting("delimiter", "", "cells", text, "", source.delimiter, asked, choices))
    choices = tuple(Choice(str(number), f"row {number}: {words}") for number, words in read.top)
    choices += (Choice("0", "there is none: the first row is a person already"),)
    text = f"row {source.header_row}" if source.header_row else "there is none"
    asked = "Which row names the columns?"
    found.append(Setting("header row", "", "header", text, "", str(source.header_row), asked, choices))
    return found


def _columns(read: PeopleRead) -> list[Setting]:
    meanings = tuple(Choice(one.value, _meaning_text(one)) for one in Meaning)
    orders, signs = dict(read.mapping.date_orders), dict(read.mapping.decimal_signs)
    found = []
    for name, sample in zip(read.header, read.samples, strict=True):
        meaning = read.mapping.meaning(name) or Meaning.UNUSED
        shown = ", ".join(sample)
        now = f"{meaning.value}: {shown}" if shown else meaning.value
        asked = f"What does the column “{name}” hold?"
        found.append(Setting("column", name, "column", name, now, meaning.value, asked, meanings))
        if meaning in (Meaning.DATE, Meaning.BIRTHDAY, Meaning.CLASS) and name in orders:
            asked = f"How are the dates of “{name}” written?"
            found.append(_way("date order", name, "dates", _ORDERS, orders[name], asked))
        if meaning in (Meaning.PAID, Meaning.PRICE) and name in signs:
            asked = f"How are the amounts of “{name}” written?"
            found.append(_way("decimal sign", name, "amounts", _SIGNS, signs[name], asked))
    return found


def _way(kind: str, name: str, label: str, ways: dict[str, str], value: str, asked: str) -> Setting:
    """How the figures of a column are written: one of two ways."""
    choices = tuple(Choice(one, text) for one, text in ways.items())
    return Setting(kind, name, label, f"of {name}", ways[value], value, asked, choices)


def _words(read: PeopleRead) -> list[Setting]:
    choices = tuple(Choice(state, _STATE_WORDS.get(state, state)) for state in STATES)
    return [
        Setting(
            "status",
            one.word,
            "status",
            f"“{one.word}”, {one.count} {'row' if one.count == 1 else 'rows'}",
            _STATE_WORDS.get(one.state, one.state),
            one.state,
            f"What does “{one.word}” mean?",
            choices,
        )
        for one in read.status_words
        if one.known
    ]


def _meaning_text(meaning: Meaning) -> str:
    about = _ABOUT_MEANINGS.get(meaning, "")
    return f"{meaning.value}: {about}" if about else meaning.value

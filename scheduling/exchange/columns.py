"""Where the header stands, what each column means, and what a sheet without known words shows by its content."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from scheduling.exchange.headers import has_words_for, meaning_of
from scheduling.exchange.mapping import NO_HEADER, Mapping
from scheduling.exchange.meanings import SINGLE, Meaning
from scheduling.exchange.rows import NoValue, Value
from scheduling.exchange.sheets import Row, Sheet
from scheduling.exchange.states import known_state
from scheduling.exchange.text import clean, fold, one_line, says_nothing, words_of

_LOOK_AT = 40
"""Rows searched for a header."""
_WIDE = 150
"""Cells of a row searched for header words."""
_LONG = 300
"""Characters of a cell by which its content is judged."""
_SAMPLE = 200
"""Rows by which a column's content is judged."""
_EMAIL = re.compile(r"[^\s@<>,;:]+@[^\s@<>,;]+\.[^\s@<>,;]+")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_DATE = re.compile(r"\b\d{1,4}([./-])\d{1,2}\1\d{1,4}\b|\d{4}年")
_PHONE = re.compile(r"[+(]?\d[\d\s()./-]{5,}\d")


@dataclass(frozen=True, slots=True)
class Columns:
    """A sheet understood: unique header texts, the meaning of each column, the header's row (0 = none), the rest."""

    header: tuple[str, ...]
    meanings: tuple[Meaning, ...]
    header_row: int
    rows: list[Row]
    guessed: bool

    def of(self, meaning: Meaning) -> list[int]:
        """The columns that hold `meaning`, left to right."""
        return [index for index, found in enumerate(self.meanings) if found is meaning]


def as_text(value: Value) -> str:
    """A cell as text for headers and plain words; a cell without a value is empty."""
    if isinstance(value, str):
        return value
    return "" if isinstance(value, NoValue) else str(value)


def understand(sheet: Sheet, mapping: Mapping) -> Columns:
    """Find the header and give every column a meaning.

    mapping: what was settled before goes first; the rest is guessed by header words, then by content.
    """
    at = _settled_header(sheet.rows, mapping)
    rows = sheet.rows if at is None else sheet.rows[at + 1 :]
    if at is None:
        texts = own = [""] * _usual_width(rows)
    else:
        texts, own = _joined_header(sheet, at)
        while len(texts) > 1 and not texts[-1] and not _any_cell(rows, len(texts) - 1):
            texts.pop()
        own = own[: len(texts)]
    header = _numbered(texts)
    samples = [
        [row.cells[index] if index < len(row.cells) else "" for row in rows[:_SAMPLE]] for index in range(len(header))
    ]
    meanings = [
        mapping.meaning(name) or _checked(_meaning_in_group(text, below), text, sample)
        for name, text, below, sample in zip(header, texts, own, samples, strict=True)
    ]
    guessed = _by_content(meanings, texts, samples)
    settled = [bool(mapping.meaning(name)) for name in header]
    _settle_names(meanings, texts, samples, settled)
    _one_of_each(meanings, texts, settled)
    number = 0 if at is None else sheet.rows[at].number
    return Columns(header, tuple(found or Meaning.UNUSED for found in meanings), number, rows, guessed)


def header_strength(sheet: Sheet) -> int:
    """How many different kinds of column the best header row names, people among them; 0 when none lists people."""
    return max(
        (len(found) for row in sheet.rows[:_LOOK_AT] if (found := _meanings(row, Mapping())) & _OF_PEOPLE), default=0
    )


_OF_PEOPLE = {Meaning.NAME, Meaning.FIRST, Meaning.LAST, Meaning.EMAIL, Meaning.PHONE}


def _strength(row: Row, mapping: Mapping) -> int:
    """Kinds of column named; a row that speaks of people goes before one that does not (a title with its class)."""
    found = _meanings(row, mapping)
    return len(found) + (len(Meaning) if found & _OF_PEOPLE else 0)


def _meanings(row: Row, mapping: Mapping) -> set[Meaning]:
    """What the cells of a row mean as headers; nothing for a row that holds an address."""
    texts = [one_line(cell) for cell in row.cells[:_WIDE] if isinstance(cell, str) and cell and len(cell) <= 120]
    if any("@" in text and _EMAIL.search(text) for text in texts):
        return set()
    return {found for text in texts if (found := mapping.meaning(text) or meaning_of(text)) is not None}


def _settled_header(rows: Sequence[Row], mapping: Mapping) -> int | None:
    """Index of the header row as she said it, else as it is found.

    A row that she named for an earlier file of the source goes by where it names none of the columns that are known,
    and another one does.
    """
    found = _header_at(rows, mapping)
    if mapping.header_row == NO_HEADER:
        return None
    said = next((at for at, row in enumerate(rows) if row.number == mapping.header_row), None)
    if said is None:
        return found
    if found is not None and not _known_cells(rows[said], mapping) and _known_cells(rows[found], mapping) > 1:
        return found
    return said


def _known_cells(row: Row, mapping: Mapping) -> int:
    """How many cells of a row are headers of columns that were settled before."""
    return sum(bool(mapping.meaning(one_line(as_text(cell)))) for cell in row.cells[:_WIDE])


def _header_at(rows: Sequence[Row], mapping: Mapping) -> int | None:
    """Index of the header row: most known words, the first of equals; else the row above the first e-mails."""
    look = rows[:_LOOK_AT]
    strengths = [_strength(row, mapping) for row in look]
    best = max(strengths, default=0)
    first_data = next((at for at, row in enumerate(look) if _has_email(row)), None)
    if best:
        at = strengths.index(best)
        filled = sum(bool(clean(as_text(cell))) for cell in look[at].cells)
        if (first_data is None or at < first_data) and (
            len(_meanings(look[at], mapping)) >= 2 or filled <= 2 or first_data == at + 1
        ):
            return at
    if first_data:  # words of no known language, then rows with addresses
        above = look[first_data - 1]
        width = len(look[first_data].cells)
        filled = sum(bool(clean(as_text(cell))) for cell in above.cells)
        has_figures = any(
            _NUMBER.fullmatch(as_text(cell).strip()) or _DATE.search(as_text(cell)[:_LONG]) for cell in above.cells
        )
        if filled >= max(2, width // 2) and not has_figures:
            return first_data - 1
    return None


def _has_email(row: Row) -> bool:
    return any(isinstance(cell, str) and "@" in cell[:_LONG] and _EMAIL.search(cell[:_LONG]) for cell in row.cells)


_GROUPS_THAT_TELL = {
    *(Meaning.GUARDIAN, Meaning.GUESTS, Meaning.HEALTH, Meaning.CONSENT, Meaning.SIGNED_AT, Meaning.UNUSED)
}


def _meaning_in_group(text: str, own: str) -> Meaning | None:
    """What a header under a group means: "Name" under "Guardian" is the guardian's, but a "Status" stays one."""
    joined, below = meaning_of(text), meaning_of(own)
    if text == own or below is None or joined in _GROUPS_THAT_TELL or (joined, below) == (Meaning.PAID, Meaning.PRICE):
        return joined
    return below if joined == meaning_of(text.removesuffix(own)) else joined


def _joined_header(sheet: Sheet, at: int) -> tuple[list[str], list[str]]:
    """The header's texts with a second level above it ("Person" over "First", "Last") put in front; and without."""
    texts = [one_line(as_text(cell)) for cell in sheet.rows[at].cells]
    own = list(texts)
    if not at or sheet.rows[at - 1].number != sheet.rows[at].number - 1:
        return texts, own
    above = [one_line(as_text(cell)) for cell in sheet.rows[at - 1].cells]
    groups = [text for text in above if text]
    if len(set(groups)) < 2 or any(_DATE.search(text[:_LONG]) or _EMAIL.search(text[:_LONG]) for text in groups):
        return texts, own
    width = max(len(texts), len(above))
    texts += [""] * (width - len(texts))
    above += [""] * (width - len(above))
    own += [""] * (width - len(own))
    group = ""
    for index in range(width):
        group = above[index] or group
        if not texts[index]:
            texts[index] = own[index] = above[index]
        elif group and group != texts[index]:
            texts[index] = f"{group} {texts[index]}"
    return texts, own


def _usual_width(rows: Sequence[Row]) -> int:
    widths = [len(row.cells) for row in rows[:_SAMPLE]]
    return max(widths, key=lambda width: (widths.count(width), width), default=0)


def _any_cell(rows: Sequence[Row], index: int) -> bool:
    return any(len(row.cells) > index and row.cells[index] != "" for row in rows[:_SAMPLE])


def _numbered(texts: Sequence[str]) -> tuple[str, ...]:
    """Unique headers: "E-mail", "E-mail (2)"; an empty one is "column 4"."""
    seen: dict[str, int] = {}
    taken: set[str] = set()
    unique = []
    for index, text in enumerate(texts, 1):
        base = text or f"column {index}"
        name = base
        while name in taken:
            seen[base] = seen.get(base, 1) + 1
            name = f"{base} ({seen[base]})"
        taken.add(name)
        unique.append(name)
    return tuple(unique)


def _share(sample: Sequence[Value], fits: re.Pattern[str]) -> float:
    """Share of the filled cells that fit; 0 when none is filled."""
    texts = [text for value in sample if not says_nothing(text := as_text(value)[:_LONG].strip())]
    return sum(bool(fits.search(text)) for text in texts) / len(texts) if texts else 0.0


def _is_filled(sample: Sequence[Value]) -> bool:
    return any(not says_nothing(as_text(value).strip()) for value in sample)


def _checked(meaning: Meaning | None, text: str, sample: Sequence[Value]) -> Meaning | None:
    """What the header says, unless the content speaks plainly against it."""
    if meaning is None or not _is_filled(sample):
        return meaning
    addresses = _share(sample, _EMAIL)
    if meaning is Meaning.EMAIL and not addresses and _share(sample, re.compile("@")) == 0:
        return None
    if meaning in (Meaning.NAME, Meaning.GUARDIAN, Meaning.NOTE) and addresses > 0.8:
        return Meaning.EMAIL if meaning is not Meaning.GUARDIAN else meaning
    if meaning is Meaning.ROW_ID and _share(sample, re.compile(r"\d")) < 0.6:
        return Meaning.UNUSED  # "Ticket: General" names no sign-up
    numbers = _share(sample, re.compile(r"^\s*\+?\d{1,3}(?:[.,]0)?\s*$"))
    if meaning is Meaning.NAME and numbers > 0.8:
        return Meaning.HEADS
    if meaning is Meaning.HEADS and not _share(sample, re.compile(r"\d")) and has_words_for(text, Meaning.NAME):
        return Meaning.NAME
    return meaning


def _by_content(meanings: list[Meaning | None], texts: Sequence[str], samples: Sequence[Sequence[Value]]) -> bool:
    """Fill meanings that no header word gives; True when any was guessed so."""
    open_columns = [i for i, found in enumerate(meanings) if found is None and _is_filled(samples[i])]
    guessed = False
    for index in open_columns:
        found = _of_content(samples[index])
        if found and (found is Meaning.EMAIL or found not in meanings):
            meanings[index] = found
            guessed = True
    has_name = any(found in (Meaning.NAME, Meaning.FIRST, Meaning.LAST) for found in meanings)
    words = [i for i in open_columns if meanings[i] is None and _is_wordy(samples[i])]
    if has_name or not words:
        return guessed
    if len(words) > 1 and all(_is_single_word(samples[i]) for i in words[:2]) and words[1] == words[0] + 1:
        meanings[words[0]], meanings[words[1]] = Meaning.FIRST, Meaning.LAST
        words = words[2:]
    else:
        name = max(words, key=lambda i: (_variety(samples[i]) > 0.8, -i))
        meanings[name] = Meaning.NAME
        words.remove(name)
    if words and not any(texts) and Meaning.CLASS not in meanings:
        meanings[words[0]] = Meaning.CLASS
    return True


def _of_content(sample: Sequence[Value]) -> Meaning | None:
    if _share(sample, _EMAIL) > 0.6:
        return Meaning.EMAIL
    if _share(sample, _DATE) > 0.6 or any(hasattr(value, "year") for value in sample):
        return Meaning.DATE
    if _share(sample, re.compile(rf"^\s*{_PHONE.pattern}\s*$")) > 0.6:
        return Meaning.PHONE
    if _share(sample, re.compile(r"^\s*\d{1,2}\s*$")) > 0.8:
        return Meaning.HEADS
    texts = [text for value in sample if (text := as_text(value).strip())]
    if texts and all(known_state(text) for text in texts):
        return Meaning.STATE
    return None


def _is_wordy(sample: Sequence[Value]) -> bool:
    return _share(sample, re.compile(r"[^\W\d_]")) > 0.6 and _share(sample, re.compile(r".{80}")) < 0.2


def _is_single_word(sample: Sequence[Value]) -> bool:
    return _share(sample, re.compile(r"^\s*[^\s\d]+\s*$")) > 0.8


def _variety(sample: Sequence[Value]) -> float:
    texts = [as_text(value) for value in sample if as_text(value)]
    return len(set(texts)) / len(texts) if texts else 0.0


def _settle_names(
    meanings: list[Meaning | None],
    texts: Sequence[str],
    samples: Sequence[Sequence[Value]],
    settled: Sequence[bool],
) -> None:
    """A bare "Nombre" beside "Apellidos" is the first name; a bare "Nom" or "Name" beside "Prénom" the last."""
    names = [i for i, found in enumerate(meanings) if found is Meaning.NAME]
    firsts = [i for i, found in enumerate(meanings) if found is Meaning.FIRST]
    lasts = [i for i, found in enumerate(meanings) if found is Meaning.LAST]
    if len(names) != 1 or bool(firsts) == bool(lasts) or settled[names[0]]:
        return
    other = (firsts or lasts)[0]
    if len(fold(texts[names[0]]).split()) > 2 or _contains(samples[names[0]], samples[other]):
        return
    meanings[names[0]] = Meaning.LAST if firsts else Meaning.FIRST


def _contains(whole: Sequence[Value], part: Sequence[Value]) -> bool:
    pairs = [
        (fold(as_text(a)), fold(as_text(b))) for a, b in zip(whole, part, strict=False) if as_text(a) and as_text(b)
    ]
    return bool(pairs) and sum(b in a and a != b for a, b in pairs) * 2 > len(pairs)


def _one_of_each(meanings: list[Meaning | None], texts: Sequence[str], settled: Sequence[bool]) -> None:
    """Keep one column where there can be one: a settled one, else the header that says most ("Class date")."""
    if Meaning.PAID not in meanings and meanings.count(Meaning.PRICE) == 1:
        index = meanings.index(Meaning.PRICE)
        if not settled[index] and fold(texts[index]) in _MAY_BE_PAID:
            meanings[index] = Meaning.PAID
    for meaning in Meaning:
        if meaning not in SINGLE:
            continue
        columns = [i for i, found in enumerate(meanings) if found is meaning]
        if len(columns) < 2:
            continue
        keep = max(columns, key=lambda i: (settled[i], _precision(texts[i], meaning), -i))
        for index in columns:
            if index != keep:
                meanings[index] = Meaning.UNUSED


_MAY_BE_PAID = frozenset(
    words_of("amount|betrag|montant|importe|importo|valor|bedrag|belopp|belob|kwota|сумма|金額|金额")
)


def _precision(text: str, meaning: Meaning) -> int:
    if meaning in (Meaning.DATE, Meaning.TIME):
        return int(has_words_for(text, Meaning.CLASS))
    if meaning is Meaning.CLASS:
        return int(has_words_for(text, Meaning.NAME) or len(fold(text).split()) == 1)
    return 0

"""What was settled about a kind of sheet, to be kept by the caller and given back with its next file."""

from __future__ import annotations

from collections.abc import Mapping as AbcMapping
from dataclasses import dataclass, replace

from scheduling.errors import InvalidError
from scheduling.exchange.meanings import SINGLE, Meaning
from scheduling.exchange.rows import DAY_FIRST, MONTH_FIRST, STATES
from scheduling.exchange.text import fold

Pairs = tuple[tuple[str, str], ...]
NO_HEADER, HEADER_IS_FOUND = 0, -1
"""Instead of the number of a header row: the sheet has none; it is to be found."""
FILE, HERE = "file", "here"
DELIMITERS = ",;\t|"


@dataclass(frozen=True, slots=True)
class Mapping:
    """Answers about one source's columns; every part may be empty, then it is guessed or asked.

    columns: (header as numbered, Meaning value).
    date_orders: (header, "day-first" or "month-first"); decimal_signs: (header, "," or ".").
    states: (status word folded, one of rows.STATES).
    sheet: the workbook's sheet by name. encoding, delimiter: of a text file, where the guess was wrong.
    header_row: the number of the row as a spreadsheet counts it, NO_HEADER or HEADER_IS_FOUND.
    heads: (sign-up key, "as read>as she says") of sign-ups whose heads she settled; see `heads_of`.
    details: ("3 name", FILE or HERE) of rows whose person was changed in the file and here; for this reading only.
    """

    columns: Pairs = ()
    date_orders: Pairs = ()
    decimal_signs: Pairs = ()
    states: Pairs = ()
    sheet: str = ""
    encoding: str = ""
    delimiter: str = ""
    header_row: int = HEADER_IS_FOUND
    heads: Pairs = ()
    details: Pairs = ()

    def meaning(self, header: str) -> Meaning | None:
        """The settled meaning of a column, compared without case and accents."""
        found = _find(self.columns, header)
        return Meaning(found) if found else None

    def date_order(self, header: str) -> str:
        return _find(self.date_orders, header)

    def decimal_sign(self, header: str) -> str:
        return _find(self.decimal_signs, header)

    def state(self, word: str) -> str:
        return _find(self.states, word)

    def holds(self, about: str) -> str:
        """FILE or HERE, as she says of a detail that was changed in both; else empty."""
        return dict(self.details).get(about, "")

    def heads_of(self, key: str, read: int | None) -> int | None:
        """The heads that she settled for a sign-up, as long as its file says the same as then; else what was read."""
        if not self.heads:
            return read
        said = dict(self.heads).get(key, "").partition(">")
        return int(said[2]) if said[2].isdecimal() and said[0] == str(read) else read

    def with_heads(self, key: str, read: int | None, heads: int) -> Mapping:
        """This mapping with the heads of a sign-up settled."""
        others = tuple(pair for pair in self.heads if pair[0] != key)
        return replace(self, heads=(*others, (key, f"{read}>{heads}")))

    def answered(self, kind: str, about: str, value: str) -> Mapping:
        """This mapping with one question answered (Question.kind, Question.about, Choice.value).

        Raises InvalidError: the kind is unknown or the value is none of its choices.
        """
        if kind == "date order" and value in (DAY_FIRST, MONTH_FIRST):
            return replace(self, date_orders=_with(self.date_orders, about, value))
        if kind == "decimal sign" and value in (",", "."):
            return replace(self, decimal_signs=_with(self.decimal_signs, about, value))
        if kind == "status" and value in STATES:
            return replace(self, states=_with(self.states, fold(about), value))
        if kind == "sheet" and value:
            return replace(self, sheet=value)
        if kind == "encoding" and value:
            return replace(self, encoding=value)
        if kind == "delimiter" and value in DELIMITERS and value:
            return replace(self, delimiter=value)
        if kind == "header row" and value.isdecimal():
            return replace(self, header_row=int(value))
        if kind == "column" and value in {meaning.value for meaning in Meaning}:
            return self.with_column(about, Meaning(value))
        if kind == "changed here" and value in (FILE, HERE):
            return replace(self, details=(*(one for one in self.details if one[0] != about), (about, value)))
        if kind == "names column" and value:
            return replace(self, columns=_with(self.columns, value, Meaning.NAME.value))
        raise InvalidError(
            f"{value!r} does not answer the question of the {kind}.", hint="Take one of its choices.", field=kind
        )

    def with_column(self, header: str, meaning: Meaning) -> Mapping:
        """This mapping with a column's meaning settled by hand.

        Where a sheet has one column of that meaning at most, another one that held it is not used any more.
        """
        lost = {name for name, held in self.columns if held == meaning.value and meaning in SINGLE}
        others = tuple((name, Meaning.UNUSED.value if name in lost else held) for name, held in self.columns)
        return replace(self, columns=_with(others, header, meaning.value))

    def as_dict(self) -> dict[str, object]:
        """Plain values for JSON; `mapping_from` reads them back."""
        return {
            "columns": [list(pair) for pair in self.columns],
            "date_orders": [list(pair) for pair in self.date_orders],
            "decimal_signs": [list(pair) for pair in self.decimal_signs],
            "states": [list(pair) for pair in self.states],
            "sheet": self.sheet,
            "encoding": self.encoding,
            "delimiter": self.delimiter,
            "header_row": self.header_row,
            "heads": [list(pair) for pair in self.heads],
        }


def mapping_from(kept: AbcMapping[str, object]) -> Mapping:
    """The mapping that `as_dict` wrote; raises InvalidError for anything else."""
    sheet, encoding, delimiter = (kept.get(name, "") for name in ("sheet", "encoding", "delimiter"))
    header_row = kept.get("header_row", HEADER_IS_FOUND)
    columns = _pairs(kept.get("columns", ()))
    known = {meaning.value for meaning in Meaning}
    if (
        not isinstance(sheet, str)
        or not isinstance(encoding, str)
        or not isinstance(delimiter, str)
        or not isinstance(header_row, int)
        or any(meaning not in known for _, meaning in columns)
    ):
        raise InvalidError("The kept column mapping is not understood.", hint="Map the columns again.", field="mapping")
    return Mapping(
        columns=columns,
        date_orders=_pairs(kept.get("date_orders", ())),
        decimal_signs=_pairs(kept.get("decimal_signs", ())),
        states=_pairs(kept.get("states", ())),
        sheet=sheet,
        encoding=encoding,
        delimiter=delimiter,
        header_row=header_row,
        heads=_pairs(kept.get("heads", ())),
    )


def _pairs(kept: object) -> Pairs:
    pairs = []
    for pair in kept if isinstance(kept, list | tuple) else [None]:
        if not (isinstance(pair, list | tuple) and len(pair) == 2 and all(isinstance(part, str) for part in pair)):
            raise InvalidError(
                "The kept column mapping is not understood.", hint="Map the columns again.", field="mapping"
            )
        pairs.append((str(pair[0]), str(pair[1])))
    return tuple(pairs)


def _find(pairs: Pairs, key: str) -> str:
    if not pairs:
        return ""
    wanted = fold(key) or key
    return next((value for known, value in pairs if (fold(known) or known) == wanted), "")


def _with(pairs: Pairs, key: str, value: str) -> Pairs:
    wanted = fold(key) or key
    return (*((known, old) for known, old in pairs if (fold(known) or known) != wanted), (key, value))

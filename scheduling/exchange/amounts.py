"""Amounts of money out of a column: one decimal sign for the column, decided by proof, else asked."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from scheduling.exchange.rows import Choice, NoValue, Question, Value
from scheduling.exchange.states import known_state, says_yes
from scheduling.exchange.text import clean, fold, says_nothing, words_of

_FIGURE = re.compile(r"[-+−(]?\s*\d[\d.,'’ \u202f]*")
_MOST_DIGITS = 15
_LONGEST = 100
"""Characters of a cell that are searched."""
_NO = frozenset(words_of("no|n|nein|non|false|falsch|faux|0|open|offen|unpaid|outstanding|pending|nej|nee|nao|нет"))
_FREE = frozenset(words_of("free|gratis|kostenlos|gratuit|frei|umsonst"))


@dataclass(frozen=True, slots=True)
class AmountColumn:
    """One value for each cell: the amount, a bare yes or no, and what is odd; the sign used; a question or None."""

    amounts: list[Decimal | None]
    said: list[bool | None]
    odd: dict[int, str]
    sign: str
    question: Question | None


def read_amounts(values: Sequence[Value], header: str, given_sign: str = "") -> AmountColumn:
    """Read a column of amounts ("45,50", "1.091,00 €", "$1,091.00", "1'091.00", "45,-").

    given_sign: "," or "." settled before; proof in the column goes first.
    """
    figures = [_figure(value) for value in values]
    signs = {sign for figure in figures if isinstance(figure, str) for sign in [_proven_sign(figure)] if sign}
    sign = signs.pop() if len(signs) == 1 else given_sign
    doubtful = next((f for f in figures if isinstance(f, str) and _is_doubtful(f)), "")
    question = None
    if doubtful and not sign:
        question = _ask(header, doubtful)
    amounts: list[Decimal | None] = []
    said: list[bool | None] = []
    odd: dict[int, str] = {}
    for at, (value, figure) in enumerate(zip(values, figures, strict=True)):
        amount = figure if isinstance(figure, Decimal) else _amount(figure, sign) if figure else None
        word = _yes_or_no(value) if amount is None else None
        amounts.append(amount)
        said.append(word)
        if amount is None and word is None and not _is_blank(value) and not (figure and question):
            odd[at] = f"“{str(value)[:30]}” is not an amount"
    return AmountColumn(amounts, said, odd, sign, question)


def _ask(header: str, figure: str) -> Question:
    large, small = _amount(figure, "," if "." in figure else "."), _amount(figure, "." if "." in figure else ",")
    point, comma = (small, large) if "." in figure else (large, small)
    return Question(
        "decimal sign",
        header,
        f"decimal sign of “{header}”: is {figure} meant as {large} or as {small}?",
        (Choice(".", f"{figure} is {point}"), Choice(",", f"{figure} is {comma}")),
    )


def _figure(value: Value) -> Decimal | str | None:
    """The digits and separators of a cell, or the number that a workbook stored."""
    if isinstance(value, int | Decimal):
        return Decimal(value)
    if not isinstance(value, str) or not value:
        return None
    text = unicodedata.normalize("NFKC", clean(value[:_LONGEST]))
    found = _FIGURE.findall(text)
    if len(found) != 1:
        return None
    rest = fold(_FIGURE.sub(" ", text))
    if sum(c.isalpha() for c in rest) > 12:
        return None
    raw = found[0].strip()
    minus = "-" if raw[0] in "-−(" or (text.endswith("-") and not re.search(r"[.,]-$", text)) else ""
    return minus + re.sub(r"[^\d.,]", "", raw).rstrip(".,")


def _proven_sign(figure: str) -> str:
    """The decimal sign that this figure proves, or empty."""
    dots, commas = figure.count("."), figure.count(",")
    if dots and commas:
        last = "." if figure.rfind(".") > figure.rfind(",") else ","
        return last if figure.count(last) == 1 else ""
    if dots + commas == 0:
        return ""
    sign = "." if dots else ","
    if dots + commas > 1:
        return "," if sign == "." else "."
    whole, part = figure.lstrip("-").split(sign)
    if len(part) != 3 or len(whole) > 3 or whole.startswith("0"):
        return sign
    return ""


def _is_doubtful(figure: str) -> bool:
    return ("." in figure or "," in figure) and not _proven_sign(figure)


def _amount(figure: str, sign: str) -> Decimal | None:
    """`figure` under a decimal sign; None when it cannot be read so, or the sign is open."""
    own = _proven_sign(figure)
    if own:
        sign = own
    elif not sign and ("." in figure or "," in figure):
        return None
    sign = sign or "."
    plain = figure.replace("." if sign == "," else ",", "").replace(sign, ".")
    if plain.count(".") > 1 or not 0 < sum(c.isdigit() for c in plain) <= _MOST_DIGITS:
        return None
    return Decimal(plain)


def _yes_or_no(value: Value) -> bool | None:
    if not isinstance(value, str):
        return None
    folded = fold(value)
    if folded in _FREE:
        return True
    if folded in _NO or folded.startswith(("not ", "nicht ", "un")):
        return False
    if says_yes(value) or known_state(value) == "confirmed":
        return True
    return None


def _is_blank(value: Value) -> bool:
    return isinstance(value, NoValue) or (isinstance(value, str) and says_nothing(value.strip()))

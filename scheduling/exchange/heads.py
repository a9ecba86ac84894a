"""How many seats a cell asks for: "3", "2.0", "1+1", "two", "+1", with a flag on all that is not a plain number."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal

from scheduling.exchange.rows import NoValue, Value
from scheduling.exchange.text import clean, fold
from scheduling.model.bookings import heads_text

MOST_HEADS = 500
_LONGEST = 100
"""Characters of a cell that are searched."""
_WHOLE = re.compile(r"(\d{1,4})(?:[.,]0+)?")
_WITH_UNIT = re.compile(r"(?:x\s*)?(\d{1,3})\s*(?:x|×|st|stk|[^\W\d_]+\.?)?(?:\(s\))?", re.IGNORECASE)
_RANGE = re.compile(r"(\d{1,3})\s*(?:-|–|to|bis|à|a|or|oder|ou|o)\s*(\d{1,3})", re.IGNORECASE)
_TOGETHER = re.compile(
    r"[+&,/]|\b(?:and|plus|with|und|mit|et|avec|y|con|e|com|en|met|och|med|og|ja|i|z|s|és)\b", re.IGNORECASE
)
_ASIDE = re.compile(r"\([^)]*\)")
_NUMBER_WORDS = {
    1: "one a me myself eins ein eine einer un une uno una um uma een één en ett yksi jeden один 一 하나 bir",
    2: "two couple pair both zwei zwo paar deux dos due dois duas twee to två kaksi dwa dva два 二 両 둘 iki",
    3: "three drei trois tres tre três drie kolme trzy tři три 三 셋 üç",
    4: "four vier quatre cuatro quattro quatro fire fyra neljä cztery čtyři четыре 四 넷 dört",
    5: "five fünf cinq cinco cinque vijf fem viisi pięć pět пять 五 다섯 beş",
    6: "six sechs seis sei zes seks sex kuusi sześć šest шесть 六 여섯 altı",
    7: "seven sieben sept siete sette sete zeven syv sju seitsemän siedem sedm семь 七 일곱 yedi",
    8: "eight acht huit ocho otto oito otte åtte åtta kahdeksan osiem osm восемь 八 여덟 sekiz",
    9: "nine neun neuf nueve nove negen ni nio yhdeksän dziewięć devět девять 九 아홉 dokuz",
    10: "ten zehn dix diez dieci dez tien ti tio kymmenen dziesięć deset десять 十 열 on",
    12: "dozen dutzend",
}
_NUMBER_OF = {fold(word): number for number, words in _NUMBER_WORDS.items() for word in words.split()}


def read_heads(value: Value) -> tuple[int | None, str]:
    """Heads and what is odd about the cell (empty when it is a plain number or blank).

    Blank is one head. None: a cell that cannot be read; then the words say why. Zero stays zero, flagged.
    """
    if isinstance(value, NoValue):
        return None, f"the number of heads is missing ({value.reason})"
    if isinstance(value, int | Decimal):
        return _counted(Decimal(value), str(value))
    text = unicodedata.normalize("NFKC", clean(str(value)[:_LONGEST]))
    if not text or text in "-–—":
        return 1, ""
    if exact := _WHOLE.fullmatch(text):
        return _counted(Decimal(exact.group(1)), text)
    if text.startswith("#"):
        return None, f"the number of heads is missing ({text[:20]})"
    return _in_words(text)


def _counted(number: Decimal, text: str) -> tuple[int | None, str]:
    if number != number.to_integral_value() or not 0 <= number <= MOST_HEADS:
        return None, f"“{text[:30]}” is not a number of heads"
    return int(number), "" if number else "zero heads"


def _counts_somebody(part: str) -> bool:
    """Whether a part of a cell says a number, in figures or in a word: "my sister" may be one or many."""
    return any(token.isdecimal() or fold(token) in _NUMBER_OF for token in re.findall(r"\d+|[^\W\d_]+", part))


def _in_words(text: str) -> tuple[int | None, str]:
    shown = f"“{text[:30]}”"
    if span := _RANGE.fullmatch(text):
        most = max(int(span.group(1)), int(span.group(2)))
        return (
            (most, f"{shown} is read as {heads_text(most)}")
            if most <= MOST_HEADS
            else (None, f"{shown} is not a number of heads")
        )
    if (unit := _WITH_UNIT.fullmatch(text)) and 0 < int(unit.group(1)) <= MOST_HEADS:
        return int(unit.group(1)), ""
    if re.match(r"-\s*\d|\d*\s*[.,/\u2044]\s*\d", text):
        return None, f"{shown} is not a number of heads"
    tokens = re.findall(r"\d{1,3}(?!\d)|[^\W\d_]+", _ASIDE.sub(" ", text))
    counts = [int(token) if token.isdecimal() else _NUMBER_OF.get(fold(token), 0) for token in tokens]
    if "+" not in text and any(
        token.isdecimal() for token in tokens
    ):  # "2 and a child": figures count, loose words do not
        counts = [int(token) for token in tokens if token.isdecimal()]
    elif any(not _counts_somebody(part) for part in _TOGETHER.split(_ASIDE.sub(" ", text)) if part.strip()):
        return None, f"{shown} does not say how many heads"
    total = sum(counts)
    if text.startswith("+") and len(counts) == 1:
        total += 1
    if not 0 < total <= MOST_HEADS:
        return None, f"{shown} is not a number of heads"
    return total, f"{shown} is read as {heads_text(total)}"

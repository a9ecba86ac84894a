"""Text brought to one shape: for search by typing, and for reading what was typed."""

from __future__ import annotations

import unicodedata

# Letters that Unicode does not take apart, and that an instructor types without their stroke or ligature.
_LETTERS = {
    "æ": "ae",
    "œ": "oe",
    "ø": "o",
    "ł": "l",
    "đ": "d",
    "ð": "d",
    "þ": "th",
    "ħ": "h",
    "ŧ": "t",
    "ŋ": "n",
    "ı": "i",
    "ȷ": "j",
    "ƶ": "z",
    "ß": "ss",
}
_APOSTROPHES = "'`´ʹʻʼʽˈ‘’‛′‵＇"
_HIDDEN = "\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"
# The minus sign is no dash to Unicode, and stands for one in what people type.
_MINUS = "\u2212\u207b\u02d7"


def _is_dash(letter: str) -> bool:
    return unicodedata.category(letter) == "Pd" or letter in _MINUS


class _Shapes(dict[int, "str | int | None"]):
    """A table for str.translate that works a letter out when it first meets it."""

    def __missing__(self, code: int) -> str | int | None:
        shape = self._shape(chr(code))
        self[code] = shape
        return shape

    def _shape(self, letter: str) -> str | int | None:
        raise NotImplementedError


class _SearchShapes(_Shapes):
    def _shape(self, letter: str) -> str | int | None:
        if letter in _APOSTROPHES or letter in _HIDDEN or unicodedata.combining(letter):
            return None
        if letter.isspace() or _is_dash(letter):
            return " "
        return _LETTERS.get(letter, ord(letter))


class _TypedShapes(_Shapes):
    def _shape(self, letter: str) -> str | int | None:
        if letter in _HIDDEN:
            return None
        if letter.isspace():
            return " "
        if _is_dash(letter):
            return "-"
        if letter in _APOSTROPHES:
            return "'"
        if letter == "\u2044":
            return "/"
        if unicodedata.category(letter) == "Nd":
            return str(unicodedata.decimal(letter))
        if 0xFF01 <= ord(letter) <= 0xFF5E:
            return chr(ord(letter) - 0xFEE0)
        if unicodedata.decomposition(letter).startswith("<fraction>"):
            return " " + unicodedata.normalize("NFKD", letter).replace("\u2044", "/")
        return ord(letter)


_SEARCH = _SearchShapes()
_TYPED = _TypedShapes()


def fold_text(text: str) -> str:
    """`text` as search compares it: small letters, no accents, no apostrophes, dashes as spaces, single spaces.

    Any script; folding twice gives the same. What was typed and what is searched are both folded.
    """
    if text.isascii():
        shaped = text.lower().translate(_SEARCH)
    else:
        # Folding case can bring letters that come apart again, so the taking apart is done on both sides of it.
        apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
        shaped = unicodedata.normalize("NFKD", apart.translate(_SEARCH))
    return " ".join(shaped.split())


def typed_text(text: str) -> str:
    """`text` as the readers of typed entries take it: small letters, plain digits and dashes, single spaces.

    Digits of any script and full-width signs become ASCII; a fraction sign such as ⅜ becomes " 3/8".
    """
    return " ".join(text.translate(_TYPED).lower().split())

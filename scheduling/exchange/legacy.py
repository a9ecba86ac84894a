"""Which old encoding a text of bytes is in, when it is not Unicode: the one whose words look most like words.

A statistical detector was tried on short lists of names: it took most Western lists for Central European ones, so
this weighs what a list of people shows: known header words, one script a word, capitals only at a word's start, the
letters of the languages that an encoding was made for. Windows-1252 is taken unless another is clearly better.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from scheduling.exchange.headers import meaning_of
from scheduling.exchange.text import fold

_SAMPLE_BYTES = 20_000
_WEST = "äöüßéèêëàâçîïôûùñóíáúãõåøæœþðýÄÖÜÉÈÀÇÅØÆÓÍÁÚÑÞ’‘“”„«»–—€£§°ºª¡¿…´½"
_CYRILLIC, _GREEK = "оеаинОЕАИН", "αεοιτηςάέίόύΑΕΟΙ"
# Syllables and characters that names and headers of people use most.
_HANGUL = (
    "김이박최정강조윤장임한오서신권황안송류전홍고문양손배백허유남심노"
    "하곽성차주우구민진지현수영은경미선아연준도름메일화번호인원날짜업"
)
_SIMPLIFIED = (
    "王李张刘陈杨赵黄周吴徐孙胡朱高林何郭马罗梁宋郑谢韩唐冯于董萧小明华"
    "文伟芳娜秀英敏静丽强磊军洋勇艳杰娟涛超姓名电话手机邮箱日期人数课程"
)
_TRADITIONAL = (
    "王李張劉陳楊趙黃周吳徐孫胡朱高林何郭馬羅梁宋鄭謝韓許曾蔡洪邱廖"
    "賴蘇葉莊呂江蕭大小明美玲文華志偉芳姓名電話手機郵件日期人數課程"
)
_KANJI = "田中山本鈴木佐藤高橋伊渡辺村小林加吉川井松清水石子美太郎一花王明氏名電話番号人数日付講座"
_HAN = ("CJK", "IDEOGRAPHIC", "FULLWIDTH")
_KANA = ("HIRAGANA", "KATAKANA")


@dataclass(frozen=True, slots=True)
class _Candidate:
    """An encoding to try (strictly, by its common characters), the wider one to read with, what speaks for it."""

    name: str
    reads_as: str
    letters: frozenset[str]
    scripts: tuple[str, ...] = ()
    weight: float = 1.0


_CANDIDATES = (
    _Candidate("cp1252", "cp1252", frozenset(_WEST)),
    _Candidate(
        "cp1250", "cp1250", frozenset("ąęłńśźżćĄĘŁŃŚŹŻĆáčďéěíňóřšťúůýžÁČĎÉĚÍŇÓŘŠŤÚŮÝŽőűŐŰöüÖÜäôľĺŕđĐăâîşţÄß’“”„–—€")
    ),
    _Candidate("cp1254", "cp1254", frozenset("şğıİŞĞçöüÇÖÜâî’“”–—€")),
    _Candidate("cp1251", "cp1251", frozenset(_CYRILLIC), ("CYRILLIC",)),
    _Candidate("koi8_r", "koi8_r", frozenset(_CYRILLIC), ("CYRILLIC",)),
    _Candidate("cp1253", "cp1253", frozenset(_GREEK), ("GREEK",)),
    _Candidate("cp932", "cp932", frozenset(_KANJI), (*_HAN, *_KANA), 2),
    _Candidate("gb2312", "gb18030", frozenset(_SIMPLIFIED), _HAN, 2),
    _Candidate("big5", "big5", frozenset(_TRADITIONAL), _HAN, 2),
    _Candidate("euc_kr", "cp949", frozenset(_HANGUL), ("HANGUL", "FULLWIDTH"), 2),
    _Candidate("mac_roman", "mac_roman", frozenset(_WEST)),
    _Candidate("cp850", "cp850", frozenset(_WEST)),
)
_LANDS = (
    (
        "cp1250",
        frozenset("őűŐŰ"),
        frozenset(
            [
                "nev",
                "neve",
                "nevek",
                "vezeteknev",
                "keresztnev",
                "resztvevo",
                "letszam",
                "fo",
                "idopont",
                "tanfolyam",
                "kurzus",
                "megjegyzes",
                "fizetve",
                "osszeg",
                "dij",
                "cim",
                "telefonszam",
                "varos",
                "iranyitoszam",
                "szuletesi",
                "jelentkezes",
                "foglalkozas",
                "muhely",
            ]
        ),
    ),
    (
        "cp1250",
        frozenset("ăţşĂŢŞ"),
        frozenset(["nume", "numele", "prenume", "curs", "cursul", "locuri", "persoane", "adresa", "platit"]),
    ),
    (
        "cp1254",
        frozenset("ğşıİĞŞ"),
        frozenset(["ad", "adi", "soyad", "soyadi", "isim", "tarih", "kisi", "kurs", "telefon", "eposta"]),
    ),
)
"""Letters by which the lists of a land are told from Western ones, where its words head them."""
_NOT_WESTERN = re.compile(r"õ\b|(?<=[zg])[ûõ]|õ(?=[a-z]*û)|û(?=[a-z]*õ)|ª(?=[a-z])|(?<=[a-z])þã", re.IGNORECASE)
"""How letters of other lands look in the Western encoding, where no Western language has them."""
_MARGIN, _LEAST = 1.2, 0.5
"""How much better than the one before another has to be: by this factor and by this much."""
_WORD = re.compile(r"[^\s,;|\t\"@.:()/0-9-]+")


def old_encoding(content: bytes) -> str:
    """The likeliest encoding of `content`, which is not valid UTF-8; "cp1252" when nothing speaks for another."""
    sample = content[:_SAMPLE_BYTES]
    best, best_score = _CANDIDATES[0], 0.0
    for candidate in _CANDIDATES:
        text = _decoded(sample, candidate.name, whole=len(content) == len(sample))
        if text is None:
            continue
        score = _score(text, candidate)
        if candidate is best or score > max(best_score * _MARGIN, best_score) + _LEAST:
            best, best_score = candidate, score
    return best.reads_as


def _decoded(sample: bytes, encoding: str, *, whole: bool) -> str | None:
    """The sample as text, or None; a character cut off at its end does not count."""
    for cut in range(1 if whole else 4):
        try:
            return sample[: len(sample) - cut].decode(encoding)
        except UnicodeDecodeError:
            continue
    return None


def _score(text: str, candidate: _Candidate) -> float:
    cells = _first_cells(text)
    score = sum(6.0 for cell in cells if not cell.isascii() and meaning_of(cell) is not None)
    words = {word for cell in cells for word in fold(cell).split()}
    for encoding, letters, headers in _LANDS:
        if encoding == candidate.name and not letters.isdisjoint(text) and not headers.isdisjoint(words):
            score += 4
    if candidate.name == "cp1252":
        score -= 2 * len(_NOT_WESTERN.findall(text))
    return score + sum(_word_score(word, candidate) for word in _WORD.findall(text) if not word.isascii())


def _first_cells(text: str) -> list[str]:
    lines = re.split(r"[\r\n]+", text, maxsplit=6)[:6]
    return [cell.strip(' "') for line in lines for cell in re.split(r"[,;\t|]", line)[:60]]


def _word_score(word: str, candidate: _Candidate) -> float:
    strange = [char for char in word if not char.isascii()]
    has_letters = any(char.isalpha() for char in word)
    score = sum(_char_score(char, candidate, has_letters=has_letters) for char in strange)
    if candidate.scripts and any(char.isascii() and char.isalpha() for char in word):
        score -= 3 * candidate.weight  # two scripts in one word
    for at in range(1, len(word)):
        char, before, after = word[at], word[at - 1], word[at + 1 : at + 2]
        if char.isascii() and before.isascii():
            continue
        if char.isupper() and (before.islower() or (after.islower() and before.isupper())):
            score -= 2  # a capital inside a word
    if not candidate.scripts and len(word) > 2 and len(strange) / len(word) > 0.6:
        score -= 2 * len(strange)
    return score


def _char_score(char: str, candidate: _Candidate, *, has_letters: bool) -> float:
    kind = unicodedata.category(char)
    if kind in ("Cc", "Cn", "Co", "Cf") or char == "\ufffd":
        return -5
    if candidate.scripts:
        name = unicodedata.name(char, "")
        if name.startswith(candidate.scripts):
            return candidate.weight * (1.5 if char in candidate.letters or name.startswith(_KANA) else 1)
        return -2 if kind[0] == "S" else -1
    if kind[0] == "S" and has_letters:
        return -2  # a sign inside a word
    return 1 if char in candidate.letters else -1

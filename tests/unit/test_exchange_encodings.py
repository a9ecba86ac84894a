"""Text in any common encoding comes out with its letters."""

from __future__ import annotations

import pytest

from scheduling.errors import InvalidError
from scheduling.exchange.decode import decode
from scheduling.exchange.legacy import old_encoding

LISTS = {
    "cp1252": "Name,E-mail,Note\nZoë D’Arcy,zoe@p.example,“left-handed” – needs space\nJürgen Groß,j@p.example,45 €\n",
    "cp1250": "Imię;Nazwisko;Liczba miejsc\nŁukasz;Żółć;2\nŚwiętosława;Dąbrowska;1\n",
    "cp1251": "Имя;Фамилия;Телефон\nИван;Петров;+7 900 123-45-67\n",
    "koi8_r": "Имя;Фамилия;Почта\nИван;Петров;i@p.example\n",
    "cp1253": "Όνομα;Email\nΓιώργος Παπαδόπουλος;g@p.example\n",
    "cp1254": "Ad Soyad;E-posta\nŞükrü Yılmaz;s@p.example\nİbrahim Çağlar;i@p.example\n",
    "cp932": "氏名,メールアドレス,電話番号\n山田花子,hanako@p.example,03-1234-5678\n",
    "gb18030": "姓名,邮箱,手机\n王小明,wang@p.example,13812345678\n",
    "big5": "姓名,電子郵件,電話\n陳大文,chan@p.example,0912345678\n",
    "cp949": "이름,이메일,전화번호\n김민수,kim@p.example,010-1234-5678\n",
    "mac_roman": "Name;Plätze\nJürgen Groß;2\nZoë D’Arcy;1\n",
    "cp850": "Name;E-Mail\nJürgen Groß;j@p.example\nÄnne Müller;a@p.example\n",
}
WESTERN = (
    "Name\nÅsa\n",
    "Nom;Prénom\nDupont;Élise\n",
    "NOM;VILLE\nLEFÈVRE;SÃO PAULO\nÉLÉONORE;NÎMES\n",
    "Name;Preis\nMüller;45 €\n",
    "Navn,E-post\nØyvind Ås,o@p.example\nÆgir,ae@p.example\n",
    "Nome;Email\nJoão Conceição;j@p.example\n",
    "Nafn\nÞór Guðmundsdóttir\n",
    "Nombre\nNúñez Ibáñez\n¿Qué?\n",
    "Name,Note\nAnn,£45 paid – ok\n",
    "NAME;ORT\nMÜLLER;KÖLN\nGRÖSSER;ÜBERLINGEN\n",
)


@pytest.mark.parametrize("encoding", LISTS)
def test_an_old_encoding_is_recognised_by_its_words(encoding: str) -> None:
    found = decode(LISTS[encoding].encode(encoding))
    assert found.text == LISTS[encoding]
    assert found.guessed


@pytest.mark.parametrize("text", WESTERN)
def test_western_lists_are_windows_1252(text: str) -> None:
    assert old_encoding(text.encode("cp1252")) == "cp1252"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_unicode_is_told_by_its_mark_or_its_pattern(encoding: str) -> None:
    text = "Name,E-mail\nŁukasz Żak,lukasz@p.example\n王小明,wang@p.example\n"
    found = decode(text.encode(encoding))
    assert found.text == text
    assert not found.guessed


def test_a_character_cut_in_half_at_the_end_of_the_sample_does_not_hide_the_encoding() -> None:
    text = "名前,e-mail\n" + "山田花子,h@p.example\n" * 2000
    assert decode(text.encode("cp932")).text == text


def test_lines_of_another_origin_do_not_spoil_the_rest() -> None:
    content = "Name,E-mail\nZoë Ångström,z@p.example\n王小明,w@p.example\n".encode() + b"J\xfcrgen,j@p.example\n"
    found = decode(content)
    assert found.text == "Name,E-mail\nZoë Ångström,z@p.example\n王小明,w@p.example\nJürgen,j@p.example\n"
    assert found.guessed


def test_her_encoding_goes_before_the_guess() -> None:
    text = "Név\nSzabó Ernő\n"
    assert decode(text.encode("cp1250"), "cp1250").text == text


def test_an_unknown_encoding_is_refused() -> None:
    with pytest.raises(InvalidError) as refused:
        decode(b"Name\nA\n", "klingon")
    assert refused.value.field == "encoding"


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "empty"),
        (b"  \r\n ", "empty"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "xls"),
        (b"\x89PNG\r\n", "picture"),
        (bytes(range(256)) * 4, "not text"),
    ],
)
def test_what_is_no_text_is_refused_by_its_kind(content: bytes, word: str) -> None:
    with pytest.raises(InvalidError, match=word):
        decode(content)

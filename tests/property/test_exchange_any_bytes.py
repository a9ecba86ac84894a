"""Whatever bytes come in, the answer is people or a refusal in words; never a fault, never a hang."""

from __future__ import annotations

import datetime as dt
import io
import random
import time
import tracemalloc
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.errors import InvalidError
from scheduling.exchange.answer import people_answer
from scheduling.exchange.read import read_people
from scheduling.exchange.rows import STATES

TODAY = dt.date(2026, 3, 1)
CASES = Path(__file__).parent.parent / "cases"
SEEDS = sorted(
    p for kind in ("csv", "xlsx", "vcf") for p in CASES.glob(f"{kind}-*/*.{kind}") if p.stat().st_size < 50_000
)


def take(content: bytes) -> bool:
    """Read `content`; True when it was taken, and then the answer has its shape."""
    try:
        read = read_people(content, "any", today=TODAY, zone="Europe/Berlin")
    except InvalidError:
        return False
    answer = people_answer(read)
    assert set(answer) == {"kind", "people", "bookings", "ask", "notices"}
    assert all(person.name for person in read.people)
    for sign_up in read.sign_ups:
        assert 0 <= sign_up.person < len(read.people)
        assert sign_up.state in STATES
        assert sign_up.heads is None or 0 <= sign_up.heads <= 500 + len(sign_up.guests)
    assert len({sign_up.key for sign_up in read.sign_ups}) == len(read.sign_ups)
    return True


@given(st.binary(max_size=400))
def test_any_bytes_are_taken_or_refused(content: bytes) -> None:
    take(content)


@given(st.text(st.sampled_from("Name,E-mail;\t|\"'\r\n@=+-0123456789./:é王 Class date Seats Status"), max_size=300))
def test_any_text_like_a_table_is_taken_or_refused(text: str) -> None:
    take(text.encode())
    take(b"Name,E-mail,Class date,Seats,Status,Paid,Phone\n" + text.encode())


@given(st.text(st.sampled_from('FNTELEMAILBDAY:;,="\\\r\n -0123456789éQP=3D'), max_size=300))
def test_any_text_like_a_card_is_taken_or_refused(text: str) -> None:
    take(f"BEGIN:VCARD\r\nVERSION:3.0\r\n{text}\r\nEND:VCARD\r\n".encode())


def damaged(content: bytes, chance: random.Random) -> bytes:
    """`content` with some bytes flipped, cut out, doubled or put elsewhere."""
    changed = bytearray(content)
    for _ in range(chance.randint(1, 8)):
        if not changed:
            break
        at = chance.randrange(len(changed))
        size = chance.randint(1, 40)
        match chance.randrange(5):
            case 0:
                changed[at] = chance.randrange(256)
            case 1:
                del changed[at : at + size]
            case 2:
                changed[at:at] = changed[at : at + size]
            case 3:
                changed[at:at] = chance.choice(
                    [b'"', b"\x00", b"\r", b"\n", b";", b",", b"=", b"\xff", b"BEGIN:VCARD\n"]
                )
            case _:
                changed = changed[:at]
    return bytes(changed)


def repacked(content: bytes, chance: random.Random) -> bytes:
    """A workbook with one part damaged and the package whole, so that the damage reaches the reader."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        chosen = chance.choice(names)
        for name in names:
            new.writestr(name, damaged(old.read(name), chance) if name == chosen else old.read(name))
    return out.getvalue()


def fuzzed(path: Path, chance: random.Random) -> bytes:
    content = path.read_bytes()
    return repacked(content, chance) if path.suffix == ".xlsx" and chance.random() < 0.8 else damaged(content, chance)


@pytest.mark.parametrize("path", SEEDS, ids=lambda path: path.parent.name)
def test_a_damaged_case_is_taken_or_refused(path: Path) -> None:
    chance = random.Random(path.parent.name)
    for _ in range(5):
        take(fuzzed(path, chance))


@pytest.mark.all
@pytest.mark.parametrize("path", SEEDS, ids=lambda path: path.parent.name)
def test_many_damaged_cases_are_taken_or_refused_in_time_and_memory(path: Path) -> None:
    chance = random.Random(f"long {path.parent.name}")
    tracemalloc.start()
    try:
        for _ in range(60):
            content = fuzzed(path, chance)
            begun = time.monotonic()
            take(content)
            assert time.monotonic() - begun < 5
        assert tracemalloc.get_traced_memory()[1] < 300_000_000
    finally:
        tracemalloc.stop()


HOSTILE = {
    "one long line": b"Name,E-mail\n" + b"a" * 3_000_000,
    "no space and no at sign": b"Name,E-mail\n" + b"A B," + b"x" * 200_000 + b"\n" + b"C D," + b"@" * 200_000 + b"\n",
    "only delimiters": b"Name" + b"," * 1_000_000 + b"\n" + b"A" + b"," * 1_000_000,
    "only quotes": b'Name,E-mail\n"' + b'""' * 500_000,
    "white space": b"Name,Paid,Seats,Class date,Phone\n" + b"A," + (b"1" + b" " * 30_000 + b"x,") * 4,
    "many columns of words": b",".join(b"Name %d" % n for n in range(20_000)) + b"\nA,B\n",
    "a folded card": b"BEGIN:VCARD\nVERSION:3.0\nFN:A\n" + b" x\n" * 400_000 + b"END:VCARD\n",
    "soft breaks": b"BEGIN:VCARD\nVERSION:2.1\nFN;ENCODING=QUOTED-PRINTABLE:" + b"=3D=\n" * 200_000 + b"\nEND:VCARD\n",
    "parameters": b"BEGIN:VCARD\nVERSION:3.0\nFN" + b";X=Y" * 200_000 + b":A\nEND:VCARD\n",
    "backslashes": b"BEGIN:VCARD\nVERSION:3.0\nN:" + b"\\" * 500_000 + b";\nEND:VCARD\n",
    "cards": b"BEGIN:VCARD\nVERSION:3.0\nFN:A\n" * 20_000,
    "a sep line": b"sep=;" + b"\t" * 300_000 + b"x\nName;E-mail\n",
    "old bytes": b"Name,E-mail\n" + b"\xe4" * 1_000_000,
}


@pytest.mark.all
@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_files_cost_neither_time_nor_memory(kind: str) -> None:
    begun = time.monotonic()
    take(HOSTILE[kind])
    assert time.monotonic() - begun < 5

"""Broken files through the command line: read or refused in words, quickly, and nothing kept of a refused one.

Seeded, so that a fault comes again; FUZZ_SEED gives another row of files.
"""

from __future__ import annotations

import io
import os
import random
import zipfile
from pathlib import Path

import pytest

from tests.support.watched import LONGEST_SECONDS, MOST_OCTETS, watched

pytestmark = pytest.mark.all

SEED = int(os.environ.get("FUZZ_SEED", "20270206"))
ROUNDS = 400
CASES = Path(__file__).parents[1] / "cases"
SUFFIXES = (".ics", ".csv", ".xlsx", ".vcf")
SEEDS = {
    suffix: sorted(path for path in CASES.glob(f"*/*{suffix}") if path.stat().st_size < 40_000) for suffix in SUFFIXES
}
PIECES = (
    b"\x00", b"\r", b"\n", b",", b";", b"\t", b'"', b"=1+1", b"\xff\xfe", b"\xef\xbb\xbf", b"\x1b[2J",
    "\u202e".encode(), b"BEGIN:VEVENT\r\n", b"END:VCALENDAR\r\n", b"RRULE:FREQ=SECONDLY\r\n", b"BEGIN:VCARD\r\n",
    b"sep=;\r\n", b"99999999999999999999", b"29.02.2027", b"1e400", b"-0", b"Name,E-mail,Class\r\n",
    b"METHOD:CANCEL\r\n",
)  # fmt: skip


def broken(octets: bytes, chance: random.Random) -> bytes:
    """`octets` with a few cuts, swaps, repeats and foreign pieces."""
    out = bytearray(octets)
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(len(out) + 1)
        end = min(len(out), at + chance.choice((1, 3, 20, 300)))
        what = chance.randrange(6)
        if what == 0:
            del out[at:end]
        elif what == 1:
            out[at:at] = chance.choice(PIECES)
        elif what == 2:
            out[at:at] = out[at:end] * chance.randint(1, 40)
        elif what == 3 and at < len(out):
            out[at] = chance.randrange(256)
        elif what == 4:
            del out[at:]
        else:
            out[at:end] = chance.randbytes(end - at)
    return bytes(out)


def broken_workbook(octets: bytes, chance: random.Random) -> bytes:
    """A workbook whose packing is whole and one of whose parts is not."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(octets)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        hurt = chance.choice(names)
        for name in names:
            part = old.read(name)
            new.writestr(name, broken(part, chance) if name == hurt else part)
    return out.getvalue()


def hurt(path: Path, chance: random.Random) -> bytes:
    octets = path.read_bytes()
    if path.suffix == ".xlsx" and zipfile.is_zipfile(path) and chance.random() < 0.7:
        return broken_workbook(octets, chance)
    return broken(octets, chance)


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_broken_file_is_shown_or_refused_and_keeps_nothing_when_refused(suffix: str, tmp_path: Path) -> None:
    """In a process of its own: what hangs is broken off there, and the memory is all that the process ever held."""
    found = watched("tests.support.fuzz_lines", str(SEED), suffix, str(ROUNDS), str(tmp_path))
    assert found["faults"] == []
    assert found["slowest"] < LONGEST_SECONDS
    assert found["peak"] < MOST_OCTETS
    assert found["counts"]["read"] + found["counts"]["refused"] == ROUNDS
    assert found["counts"]["read"] > ROUNDS // 5
    assert found["counts"]["kept"] > 0
    assert found["counts"]["kept nothing"] > 0

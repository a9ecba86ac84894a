"""Broken files through the command line: read or refused in words, quickly, and nothing kept of a refused one.

Seeded, so that a fault comes again; FUZZ_SEED gives another row of files.
"""

from __future__ import annotations

import io
import json
import os
import random
import re
import time
import tracemalloc
import zipfile
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, dump
from tui.lines import entry

pytestmark = pytest.mark.all

SEED = int(os.environ.get("FUZZ_SEED", "20270206"))
ROUNDS = 400
LONGEST_SECONDS = 5.0
MOST_OCTETS = 300_000_000
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
CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


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


def run(*arguments: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        status = entry.run(list(arguments))
    return status, out.getvalue(), err.getvalue()


def state(studio: Studio) -> dict[str, Any]:
    return {
        table: rows
        for table, rows in dump(studio).items()
        if table not in ("history", "history_part", "outside_source")
    }


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_broken_file_is_shown_or_refused_and_keeps_nothing_when_refused(suffix: str, tmp_path: Path) -> None:
    chance = random.Random(f"{SEED}{suffix}")
    path, file = str(tmp_path / "s.kitwright"), tmp_path / f"file{suffix}"
    with a_studio(path) as studio:
        class_date(studio, title="Album")
    with Studio(path) as studio:
        before = state(studio)
        tracemalloc.start()
        for number in range(ROUNDS):
            file.write_bytes(hurt(chance.choice(SEEDS[suffix]), chance))
            begun = time.perf_counter()
            read, text, said = run("read", str(file), "--json")
            seconds = time.perf_counter() - begun
            assert seconds < LONGEST_SECONDS, number
            assert read in (0, 1), (number, said)
            found = json.loads(text)
            assert ("error" in found) == (read == 1), number
            if number % 4 == 0:
                status, shown, said = run("import", str(file), "--file", path)
                assert status in (0, 1), (number, said)
                assert not CONTROLS.search(shown + said), (number, shown)
                assert state(studio) == before, number
                status, kept, said = run("import", str(file), "--file", path, "--keep", "--json")
                assert status in (0, 1), (number, said)
                answer = json.loads(kept)
                if answer["kind"] == "refused" or answer["ask"]:
                    assert state(studio) == before, number
                before = state(studio)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert peak < MOST_OCTETS

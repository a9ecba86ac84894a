"""A child of tests/judges/test_fuzz_command_line.py: `python -m tests.support.fuzz_lines SEED SUFFIX ROUNDS FOLDER`.

Broken files of one kind through the command line; what is wrong is reported, not raised, so that one fault hides no
other.
"""

from __future__ import annotations

import io
import json
import random
import re
import sys
import time
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

from scheduling.studio import Studio
from tests.judges.test_fuzz_command_line import SEEDS, hurt
from tests.support.builders import a_studio, class_date, dump
from tests.support.watched import HangError, at_most, limit_memory, report
from tui.lines import entry

CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


class Fuzz:
    """One studio file and one outside file, written anew for each round."""

    def __init__(self, suffix: str, folder: Path) -> None:
        self.path, self.file = str(folder / "s.kitwright"), folder / f"file{suffix}"
        with a_studio(self.path) as studio:
            class_date(studio, title="Album")
        self.faults: list[str] = []
        self.slowest = 0.0
        self.counts = {"read": 0, "refused": 0, "kept": 0, "kept nothing": 0}

    def run(self, *arguments: str) -> tuple[int, str, str]:
        """One call; its status is 0 or 1, in time, and nothing in its words steers a terminal."""
        out, err = io.StringIO(), io.StringIO()
        begun = time.process_time()
        with at_most(), redirect_stdout(out), redirect_stderr(err):
            status = entry.run(list(arguments))
        self.slowest = max(self.slowest, time.process_time() - begun)
        if status not in (0, 1):
            self.faults.append(f"{arguments[0]} ended with {status}: {err.getvalue()[-500:]}")
        if CONTROLS.search(err.getvalue()) or ("--json" not in arguments and CONTROLS.search(out.getvalue())):
            self.faults.append(f"{arguments[0]} says what steers a terminal: {out.getvalue()[:200]!r}")
        return status, out.getvalue(), err.getvalue()

    def state(self) -> dict[str, Any]:
        with Studio(self.path) as studio:
            return dump(studio)

    def round(self, number: int) -> None:
        status, text, _ = self.run("read", str(self.file), "--json")
        if ("error" in json.loads(text)) != (status == 1):
            self.faults.append(f"read {status} says {text[:200]}")
        self.counts["refused" if status else "read"] += 1
        if number % 4:
            return
        before = self.state()
        self.run("import", str(self.file), "--file", self.path)
        if self.state() != before:
            self.faults.append("a look at a file kept something")
        _, text, _ = self.run("import", str(self.file), "--file", self.path, "--keep", "--json")
        answer = json.loads(text)
        if answer["kind"] == "refused" or answer["ask"]:
            self.counts["kept nothing"] += 1
            if self.state() != before:
                self.faults.append("a refused file kept something")
        else:
            self.counts["kept"] += 1


def main() -> None:
    limit_memory()
    seed, suffix, rounds, folder = sys.argv[1], sys.argv[2], int(sys.argv[3]), Path(sys.argv[4])
    chance, fuzz = random.Random(f"{seed}{suffix}"), Fuzz(suffix, folder)
    for number in range(rounds):
        fuzz.file.write_bytes(hurt(chance.choice(SEEDS[suffix]), chance))
        known = len(fuzz.faults)
        try:
            fuzz.round(number)
        except (Exception, HangError) as error:  # noqa: BLE001  any fault is what is looked for
            fuzz.faults.append(repr(error))
        fuzz.faults[known:] = [f"round {number}: {fault}" for fault in fuzz.faults[known:]]
    report(faults=fuzz.faults[:10], slowest=fuzz.slowest, counts=fuzz.counts)


if __name__ == "__main__":
    main()

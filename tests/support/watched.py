"""Work in a process of its own that is watched: what takes too long is broken off, the memory is the process's peak.

The child calls `report(...)` last; its parent gets that by `watched`.
"""

from __future__ import annotations

import json
import resource
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

LONGEST_SECONDS: Final = 5.0
MOST_OCTETS: Final = 300_000_000
_NEVER_PAST: Final = 3_000_000_000
"""Address space of a child; one that would eat the machine ends with a MemoryError instead."""


class HangError(BaseException):
    """Something took longer than it may; no guard round an ordinary fault catches it."""


@contextmanager
def at_most(seconds: float = LONGEST_SECONDS) -> Iterator[None]:
    """Break off what takes longer, wherever it is; counted is the process's own time, not that it waits for others."""

    def over(number: int, frame: object) -> None:
        raise HangError(f"took longer than {seconds} s")

    before = signal.signal(signal.SIGPROF, over)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def limit_memory() -> None:
    """For a child, first of all."""
    resource.setrlimit(resource.RLIMIT_AS, (_NEVER_PAST, _NEVER_PAST))


def report(**facts: Any) -> None:
    """The last line of a child: its facts, and the most memory that it ever held."""
    print(json.dumps({**facts, "peak": _peak()}))


def _peak() -> int:
    """Octets. Linux counts in ru_maxrss what the parent held when it made the child, so that it is asked elsewhere."""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(line for line in status.read_text(encoding="utf-8").splitlines() if line.startswith("VmHWM:"))
        return int(line.split()[1]) * 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def watched(module: str, *arguments: str, seconds: float = 900) -> dict[str, Any]:
    """Run `python -m module` and give its report; fails with what it said where it ends otherwise."""
    command = [sys.executable, "-m", module, *arguments]
    run = subprocess.run(command, capture_output=True, text=True, timeout=seconds, check=False)
    assert run.returncode == 0, f"{run.stdout[-2000:]}\n{run.stderr[-4000:]}"
    return dict(json.loads(run.stdout.splitlines()[-1]))

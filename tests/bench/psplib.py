"""Reads PSPLIB instances and turns each into a planner's problem: the laying and the search alone, no calendars.

Source of the data: tests/bench/data/psplib/README.txt.
"""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from scheduling.planner.problem import After, Hand, Problem, Subject, Task, Tool, ToolUse

DATA = Path(__file__).parent / "data" / "psplib"
NOW = dt.datetime(2027, 1, 4, tzinfo=dt.UTC)
_ALWAYS = (((dt.time(), dt.time()),),) * 7


@dataclass(frozen=True, slots=True)
class Instance:
    """One instance: durations, successors and needs by job, 0 the source and the last the sink."""

    name: str
    durations: tuple[int, ...]
    successors: tuple[tuple[int, ...], ...]
    needs: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]

    def longest_path(self) -> int:
        """The length of the critical path."""
        finish = [0] * len(self.durations)
        for job, duration in enumerate(self.durations):  # the files number jobs in topological order
            finish[job] += duration
            for after in self.successors[job]:
                finish[after] = max(finish[after], finish[job])
        return max(finish)


def read(path: Path) -> Instance:
    """Read one .sm file."""
    lines = path.read_text(encoding="ascii").splitlines()
    marks = {line.split(":")[0].strip(): number for number, line in enumerate(lines) if line.rstrip().endswith(":")}
    first = marks["PRECEDENCE RELATIONS"] + 2
    successors, durations, needs = [], [], []
    for line in lines[first:]:
        if line.startswith("*"):
            break
        successors.append(tuple(int(each) - 1 for each in line.split()[3:]))
    for line in lines[marks["REQUESTS/DURATIONS"] + 3 :]:
        if line.startswith("*"):
            break
        parts = [int(each) for each in line.split()]
        durations.append(parts[2])
        needs.append(tuple(parts[3:]))
    capacities = tuple(int(each) for each in lines[marks["RESOURCEAVAILABILITIES"] + 2].split())
    return Instance(path.stem, tuple(durations), tuple(successors), tuple(needs), capacities)


def problem_of(instance: Instance) -> Problem:
    """The instance as a planner's problem: jobs are sittings of a hand of their own, resources are tools.

    The sink is due at the end of the critical path, so its lateness is the makespan above it.
    """
    due = NOW + dt.timedelta(minutes=instance.longest_path())
    before: list[list[int]] = [[] for _ in instance.durations]
    for job, successors in enumerate(instance.successors):
        for after in successors:
            before[after].append(job)
    sink = len(instance.durations) - 1
    tasks = tuple(
        Task(
            f"{job:03}",
            "S",
            f"Job {job}",
            duration,
            ("hand",) if duration == 0 else (f"hand {job:03}",),
            order=job,
            after=tuple(After(f"{each:03}") for each in before[job]),
            hard_before=due if job == sink else None,
            one_sitting=True,
            uses=tuple(ToolUse(f"R{number}", units) for number, units in enumerate(instance.needs[job]) if units),
        )
        for job, duration in enumerate(instance.durations)
    )
    hands = [Hand("hand", "Hand", "UTC", _ALWAYS)]
    hands += [
        Hand(f"hand {job:03}", "Hand", "UTC", _ALWAYS) for job, duration in enumerate(instance.durations) if duration
    ]
    tools = tuple(Tool(f"R{number}", f"R{number}", capacity) for number, capacity in enumerate(instance.capacities))
    return Problem("UTC", tuple(hands), tasks, (Subject("S", "Project", due),), tools)


def instances(series: str) -> Iterator[tuple[Instance, int]]:
    """The instances of a set in the repository with their best known makespans."""
    with (DATA / "best_known.csv").open(encoding="ascii", newline="") as file:
        best = {row["instance"]: int(row["best_known_upper_bound"]) for row in csv.DictReader(file)}
    for path in sorted((DATA / series).glob("*.sm")):
        instance = read(path)
        yield instance, best[instance.name]

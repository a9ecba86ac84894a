"""Cut plans beside their bounds: the demo, workshop jobs, then academic sets (`python -m tests.bench cutting`).

Arguments name the sets to run (demo workshop gcut several classics long packing lines); none runs the first three.
Figures of a set: what our plans take, the proved bound, the best known value, and seconds.
The data's sources stand in tests/bench/data/cutting/SOURCE.md.
"""

from __future__ import annotations

import csv
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from time import perf_counter
from typing import Any

from scheduling.cutting.lines import Length, Reel, plan_reel
from scheduling.cutting.plan import best_plan, first_plan
from scheduling.cutting.problem import CutProblem, Grain, Keep, Piece, Stock
from scheduling.cutting.result import CutAnswer
from tests.bench.cutting_jobs import workshop_jobs
from tests.support.cut_check import answer_faults
from tests.unit.test_cutting_demo import ALONE, BUY, KITS, SHEETS, TOGETHER, pieces_for

DATA = Path(__file__).parent / "data" / "cutting"
USUAL = ("demo", "workshop", "gcut")
JOBS = 60
PACKINGS = 5  # every fifth of the 500 bin packings
_NOTHING_KEPT = Keep(10**9, 10**9)


def main(argv: list[str]) -> dict[str, Any]:
    """Run the named sets, print their tables, and give all figures by set."""
    sets: dict[str, Callable[[], dict[str, Any]]] = {
        "demo": demo,
        "workshop": workshop,
        "gcut": lambda: rectangles("gcut", lambda name: "1bintype" in name),
        "several": lambda: rectangles("several", lambda name: name.endswith("_multi")),
        "classics": lambda: rectangles("classics", lambda name: not name.startswith(("cintra", "alvarez"))),
        "long": lambda: rectangles("long", lambda name: name.startswith("alvarez")),
        "packing": packing,
        "lines": lines,
    }
    unknown = [name for name in argv if name not in sets]
    if unknown:
        print(f"no set is called {unknown[0]}; there are {', '.join(sets)}")
        return {"kind": "cutting", "unknown": unknown}
    return {"kind": "cutting", "version": 1, **{name: sets[name]() for name in (argv or USUAL)}}


def demo() -> dict[str, Any]:
    """The demo's sheets, each class alone and all from one plan."""
    print(f"{'demo':<22}{'sheets':>8}{'bound':>8}{'wanted':>8}{'ms':>8}")
    wrong = 0
    slowest = 0.0
    for material, together in TOGETHER.items():
        rows = [(f"{material} {one}", [one], sheets) for one, sheets in ALONE[material].items()]
        for name, classes, wanted in [*rows, (f"{material} together", list(KITS), together)]:
            problem = CutProblem(pieces_for(material, classes), (SHEETS[material],))
            answer, seconds = _timed(first_plan, problem)
            slowest = max(slowest, seconds)
            good = answer.best.sheets == wanted and not answer_faults(problem, answer)
            if name.endswith("together"):
                good = good and sum(line.packs for line in answer.best.taken) == BUY[material]
            wrong += not good
            figures = f"{answer.best.sheets:>8}{answer.bound.sheets:>8}{wanted:>8}{seconds * 1000:>8.1f}"
            print(f"{name:<22}{figures}{'' if good else '  wrong'}")
    return {"wrong": wrong, "slowest_first_answer_ms": round(slowest * 1000, 1)}


def workshop() -> dict[str, Any]:
    """Seeded workshop jobs: sheets and money beside the bounds, first and improved answers."""
    print(
        f"{'workshop job':<14}{'kinds':>6}{'sizes':>6}{'first':>14}{'ms':>7}{'best':>14}{'bound':>14}{'s':>7}  set-ups"
    )
    firsts, seconds_all, over, faults = [], [], [], 0
    for job in workshop_jobs(JOBS):
        problem = job.problem
        first, first_seconds = _timed(first_plan, problem)
        best, seconds = _timed(best_plan, problem)
        faults += len(answer_faults(problem, first)) + len(answer_faults(problem, best))
        firsts.append(first_seconds)
        seconds_all.append(seconds)
        if len(problem.stocks) == 1:
            over.append(best.best.sheets - best.bound.sheets)
        set_ups = " / ".join(f"{plan.sheets}:{plan.set_ups.patterns}" for plan in best.plans)
        print(
            f"{job.name:<14}{len(problem.pieces):>6}{len(problem.stocks):>6}"
            f"{_worth(first):>14}{first_seconds * 1000:>7.0f}"
            f"{_worth(best):>14}{best.bound.sheets:>6} {best.bound.cost_minor:>7}{seconds:>7.2f}  {set_ups}"
        )
    firsts.sort()
    cold = [_cold_milliseconds(place) for place in range(0, JOBS, 12)]
    return {
        "jobs": JOBS,
        "faults": faults,
        "one_size": len(over),
        "one_size_at_bound": sum(gap == 0 for gap in over),
        "one_size_within_one_sheet": sum(gap <= 1 for gap in over),
        "first_answer_ms_median": round(firsts[len(firsts) // 2] * 1000, 1),
        "first_answer_ms_slowest": round(firsts[-1] * 1000, 1),
        "first_answer_cold_ms": cold,
        "best_answer_s_mean": round(sum(seconds_all) / len(seconds_all), 2),
        "best_answer_s_slowest": round(max(seconds_all), 2),
    }


def _worth(answer: CutAnswer) -> str:
    return f"{answer.best.sheets} {answer.best.cost_minor:>7}"


def _cold_milliseconds(place: int) -> float:
    """A fresh interpreter: importing the planner and the first answer; its own start is not counted."""
    code = (
        "from time import perf_counter\n"
        "from tests.bench.cutting_jobs import workshop_jobs\n"  # loads the problem's classes, not the planner
        f"problem = workshop_jobs({place + 1})[{place}].problem\n"
        "start = perf_counter()\n"
        "from scheduling.cutting.plan import first_plan\n"
        "first_plan(problem)\n"
        "print((perf_counter() - start) * 1000)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return round(float(done.stdout), 1)


def rectangles(name: str, chosen: Callable[[str], bool]) -> dict[str, Any]:
    """An academic set of rectangles, unturned, no kerf."""
    best_known = {row["instance"]: row for row in _rows("csp2d_best.csv")}
    print(f"{name:<36}{'ours':>12}{'bound':>12}{'best known':>12}{'s':>8}")
    ours = bounds = known = seconds_all = 0.0
    proved = number = faults = 0
    for instance, problem in _instances("csp2d.txt"):
        if not chosen(instance):
            continue
        answer, seconds = _timed(lambda one: best_plan(one, few_set_ups=False), problem)
        money = len(problem.stocks) > 1
        value = answer.best.cost_minor if money else answer.best.sheets
        bound = answer.bound.cost_minor if money else answer.bound.sheets
        published = float(best_known[instance]["published_best"])
        faults += len(answer_faults(problem, answer))
        ours, bounds, known, seconds_all = ours + value, bounds + bound, known + published, seconds_all + seconds
        proved += answer.best_possible
        number += 1
        print(f"{instance:<36}{value:>12}{bound:>12}{published:>12.0f}{seconds:>8.2f}", flush=True)
    return {
        "instances": number,
        "faults": faults,
        "ours": ours,
        "bound": bounds,
        "best_known": known,
        "ratio_to_best_known": round(ours / known, 5),
        "proved": proved,
        "seconds_mean": round(seconds_all / number, 2),
    }


def packing() -> dict[str, Any]:
    """Every fifth of the 500 bin packings, oriented and free to turn."""
    figures: dict[str, Any] = {}
    known = {row["instance"]: row for row in _rows("bp2d_class_best.csv")}
    for turned, column in ((False, "best_oriented_any"), (True, "best_rotated_any")):
        ours = bounds = best = seconds_all = 0.0
        number = faults = 0
        for place, (instance, problem) in enumerate(_instances("bp2d_class.txt", turned=turned)):
            if place % PACKINGS:
                continue
            answer, seconds = _timed(lambda one: best_plan(one, few_set_ups=False), problem)
            faults += len(answer_faults(problem, answer))
            ours, bounds = ours + answer.best.sheets, bounds + answer.bound.sheets
            best, seconds_all, number = best + float(known[instance][column]), seconds_all + seconds, number + 1
        name = "rotatable" if turned else "oriented"
        print(f"packing {name:<28}{ours:>12.0f}{bounds:>12.0f}{best:>12.0f}{seconds_all / number:>8.2f}", flush=True)
        figures[name] = {
            "instances": number,
            "faults": faults,
            "ours": ours,
            "bound": bounds,
            "best_known": best,
            "ratio_to_best_known": round(ours / best, 5),
            "seconds_mean": round(seconds_all / number, 2),
        }
    return figures


def lines() -> dict[str, Any]:
    """Lengths off reels: the one-dimensional sets."""
    known = {row["instance"]: int(row["best_known"]) for row in _rows("csp1d_best.csv")}
    print(f"{'lines':<36}{'ours':>12}{'bound':>12}{'best known':>12}{'s':>8}")
    ours = best = within = number = 0
    seconds_all = 0.0
    for line in _lines("csp1d.txt"):
        name, capacity, items = line.split(";")
        lengths = []
        for item in items.split():
            length, count = item.split("*")
            lengths.append(Length(length, int(length), int(count)))
        start = perf_counter()
        plan = plan_reel(lengths, Reel("reel", int(capacity)), thoroughly=True)
        seconds = perf_counter() - start
        ours, best, number = ours + plan.to_buy, best + known[name], number + 1
        within += plan.to_buy <= known[name] + 1
        seconds_all += seconds
        print(f"{name:<36}{plan.to_buy:>12}{plan.least_to_buy:>12}{known[name]:>12}{seconds:>8.2f}", flush=True)
    return {
        "instances": number,
        "ours": ours,
        "best_known": best,
        "within_one": within,
        "ratio_to_best_known": round(ours / best, 5),
        "seconds_mean": round(seconds_all / number, 2),
    }


def _timed(solve: Callable[[CutProblem], CutAnswer], problem: CutProblem) -> tuple[CutAnswer, float]:
    start = perf_counter()
    answer = solve(problem)
    return answer, perf_counter() - start


def _lines(name: str) -> Iterator[str]:
    for line in (DATA / name).read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            yield line


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def _instances(name: str, *, turned: bool = False) -> Iterator[tuple[str, CutProblem]]:
    """Instances as problems: width across, height along; equal rectangles joined."""
    for line in _lines(name):
        instance, sheets, items = line.split(";")
        stocks = []
        for place, text in enumerate(sheets.split()):
            size, cost = text.split("@")
            across, along = map(int, size.split("x"))
            grain = Grain.LONG if along >= across else Grain.SHORT
            stocks.append(Stock(f"sheet {place + 1}", along, across, grain, cost_minor=int(cost)))
        counts: dict[str, int] = {}
        for text in items.split():
            size, number = text.split("*")
            counts[size] = counts.get(size, 0) + int(number)
        pieces = []
        for size, count in counts.items():
            across, along = map(int, size.split("x"))
            pieces.append(Piece(size, along, across, count, grain_bound=not turned))
        yield instance, CutProblem(tuple(pieces), tuple(stocks), keep=_NOTHING_KEPT)

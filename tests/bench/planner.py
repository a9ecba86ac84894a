"""Plans of studios beside their bounds, speed and growth, and an academic set (`python -m tests.bench planner`).

Times are CPU times. Arguments name the sets to run (studios speed psplib psplib-all); none runs the first three.
`psplib` takes every second instance at 1,000 schedules, `psplib-all` all of them at 1,000 and 5,000 (half an hour).
A schedule is every laying of all jobs one by one, early or late, the first and the last of a search too.
The bound of a studio is the fullest interval of a hand or the longest chain, whatever the order: a studio that it
allows may still not fit, so the share that fits is a lower figure than the truth. A bound may be one minute where the
least stretch makes a quarter of an hour of it, so gaps are summed over all studios, and each kind's mean is beside it.
Each figure that has one stands beside its reach: what it is meant to be at most (a share: at least).
"""

from __future__ import annotations

import datetime as dt
import statistics
import tracemalloc
from collections.abc import Callable
from math import log
from time import process_time
from typing import Any

from scheduling.planner import plan
from scheduling.planner.build import Trial, fresh_layout, prepared
from scheduling.planner.moments import minutes_of
from scheduling.planner.problem import Problem
from scheduling.planner.proof import interval_bound
from scheduling.planner.reading import NEVER, read
from tests.bench import psplib
from tests.support.plan_check import faults
from tests.support.studios import NOW, Shape, studio

USUAL = ("studios", "speed", "psplib")
SEEDS = 10
LOADS = (0.8, 0.9, 0.95, 1.0, 1.05)
KINDS: dict[str, Shape] = {
    "one hand": Shape(8, 12, tools=False),
    "tools": Shape(8, 12),
    "helper": Shape(8, 12, helper=True),
    "bursts": Shape(8, 12, bursts=True, tools=False),
    "all": Shape(8, 12, bursts=True, helper=True),
}
SIZES = (50, 100, 200, 400, 800)
#: Of the time for a task from the fewest classes to the most, where the whole grows as n log n.
GROWTH = log(SIZES[-1] * 25) / log(SIZES[0] * 25)
#: Milliseconds for a plan laid afresh.
SPEED = {"15 x 20 fresh": 5.0, "200 x 25 fresh": 100.0}
#: Per cent above the best known at so many schedules.
ACADEMIC = {
    ("j30", 1000): 0.6,
    ("j60", 1000): 1.3,
    ("j120", 1000): 4.0,
    ("j30", 5000): 0.25,
    ("j60", 5000): 0.9,
    ("j120", 5000): 3.0,
}


def main(argv: list[str]) -> dict[str, Any]:
    """Run the named sets, print their tables, and give all figures by set."""
    sets: dict[str, Callable[[], dict[str, Any]]] = {
        "studios": studios,
        "speed": speed,
        "psplib": lambda: academic(2, (1000,)),
        "psplib-all": lambda: academic(1, (1000, 5000)),
    }
    unknown = [name for name in argv if name not in sets]
    if unknown:
        print(f"no set is called {unknown[0]}; there are {', '.join(sets)}")
        return {"kind": "planner", "unknown": unknown}
    return {"kind": "planner", "version": 1, **{name: sets[name]() for name in (argv or USUAL)}}


def studios() -> dict[str, Any]:
    """Seeded studios of five kinds at five loads: how many fit of those that may, and how late the others are."""
    print(f"{'studios':<12}{'load':>6}{'may fit':>9}{'fit':>5}{'gap %':>8}{'wrong':>7}{'ms':>8}")
    figures: dict[str, Any] = {}
    may_all = fit_all = 0
    gaps_all: list[float] = []
    late_all = bound_all = 0
    for kind, shape in KINDS.items():
        for load in LOADS:
            asked = [studio(seed, _loaded(shape, load)) for seed in range(SEEDS)]
            start = process_time()
            found = [_lateness(problem) for problem in asked]
            spent = (process_time() - start) / SEEDS
            wrong = sum(bool(faults(problem, NOW, plan(problem, NOW))) for problem in asked[:3])
            may = [late for late, bound in found if bound == 0]
            gaps = [(late - bound) / bound * 100 for late, bound in found if bound > 0]
            fit = sum(late == 0 for late in may)
            gap = statistics.fmean(gaps) if gaps else 0.0
            print(f"{kind:<12}{load:>6}{len(may):>9}{fit:>5}{gap:>8.1f}{wrong:>7}{spent * 1000:>8.1f}")
            figures[f"{kind} {load}"] = {"may_fit": len(may), "fit": fit, "gap_percent": round(gap, 2), "wrong": wrong}
            may_all, fit_all, gaps_all = may_all + len(may), fit_all + fit, [*gaps_all, *gaps]
            late_all += sum(late for late, bound in found if bound > 0)
            bound_all += sum(bound for _, bound in found)
    share = 100 * fit_all / may_all if may_all else 100.0
    gap = statistics.median(gaps_all) if gaps_all else 0.0
    of_all = 100 * (late_all - bound_all) / bound_all if bound_all else 0.0
    print(f"{'together':<12}{'':>6}{may_all:>9}{fit_all:>5}")
    print(f"of those that may fit, {share:.1f} % do, {fit_all} of {may_all} (reach 100)")
    print(f"late beyond the bound: {of_all:.2f} % of all bounds' minutes (reach 2), median {gap:.2f} %")
    return {
        "may_fit": may_all,
        "fit": fit_all,
        "share_percent": round(share, 1),
        "share_reach": 100.0,
        "gap_percent": round(of_all, 2),
        "gap_reach": 2.0,
        "median_gap_percent": round(gap, 2),
        "by_kind": figures,
    }


def _loaded(shape: Shape, load: float) -> Shape:
    return Shape(shape.classes, shape.tasks, load, shape.bursts, shape.helper, shape.tools)


def _lateness(problem: Problem) -> tuple[int, int]:
    """Working minutes that the worst task is late, and the fewest that it must be."""
    bench, layout, _ = Trial(problem, NOW).laid_out(None)
    last = bench.windows.last
    full = interval_bound(
        bench.work, bench.times, bench.windows, [each for each in last if each < NEVER], bench.pins.fixed
    )
    unplaced, worst, _, _ = bench.score(layout)
    return worst + unplaced * 10**6, max(bench.bound(layout), full.minutes if full is not None else 0)


def _baseline() -> float:
    """CPU seconds for a fixed loop of plain Python: what the other times are beside."""
    best = 1.0
    for _ in range(5):
        start = process_time()
        table: dict[int, int] = {}
        for number in range(100_000):
            table[number & 1023] = number
        best = min(best, process_time() - start)
    return best


def _best(run: Callable[[], object], times: int) -> float:
    best = 1e9
    for _ in range(times):
        start = process_time()
        run()
        best = min(best, process_time() - start)
    return best


def speed() -> dict[str, Any]:
    """A replan of 15 x 20 and of 200 x 25, growth from 50 to 800 classes, memory of the largest."""
    base = _baseline()
    figures: dict[str, Any] = {"baseline_ms": round(base * 1000, 2)}
    print(
        f"{'speed':<26}{'ms':>9}{'reach':>7}{'x baseline':>12}   "
        f"(baseline: 100,000 stores in a dict, {base * 1000:.1f} ms)"
    )
    for name, shape in (("15 x 20", Shape(15, 20, 0.8)), ("200 x 25", Shape(200, 25, 0.8))):
        problem = studio(1, shape)
        kept = plan(problem, NOW).to_keep()
        for what, run in (
            ("fresh", lambda: plan(problem, NOW)),  # noqa: B023 - run at once
            ("from the kept plan", lambda: plan(problem, NOW, kept)),  # noqa: B023 - run at once
        ):
            spent = _best(run, 7 if shape.classes == 15 else 3)
            label = f"{name} {what}"
            reach = SPEED.get(label)
            print(f"{label:<26}{spent * 1000:>9.1f}{'' if reach is None else reach:>7}{spent / base:>12.2f}")
            figures[f"{label} ms"] = round(spent * 1000, 1)
            if reach is not None:
                figures[f"{label} reach_ms"] = reach
            figures[f"{name} {what} ratio"] = round(spent / base, 2)
    per_task = {}
    for classes in SIZES:
        problem = studio(2, Shape(classes, 25, 0.8, days_a_class=2.0))
        spent = _best(lambda: plan(problem, NOW), 2)  # noqa: B023 - run at once
        per_task[classes] = spent / (classes * 25) * 1e6
        name = f"{classes} classes x 25"
        print(f"{name:<26}{spent * 1000:>9.1f}{'':>7}{spent / base:>12.2f}   {per_task[classes]:.1f} us a task")
    figures["growth"] = round(per_task[SIZES[-1]] / per_task[SIZES[0]], 2)
    figures["growth_reach"] = round(GROWTH, 2)
    tracemalloc.start()
    plan(studio(2, Shape(200, 25, 0.8)), NOW)
    figures["memory_mb"] = round(tracemalloc.get_traced_memory()[1] / 1e6, 1)
    tracemalloc.stop()
    print(
        f"growth of the time a task from {SIZES[0]} to {SIZES[-1]} classes: x {figures['growth']} "
        f"(reach {GROWTH:.2f}: n log n)"
    )
    print(f"memory of 200 x 25: {figures['memory_mb']} MB")
    return figures


def academic(step: int, schedules: tuple[int, ...]) -> dict[str, Any]:
    """Makespans above the best known, in per cent, with the plain rule of the nearest latest finish beside them."""
    figures: dict[str, Any] = {}
    for series in ("j30", "j60", "j120"):
        chosen = [each for number, each in enumerate(psplib.instances(series)) if number % step == 0]
        for count in (1, *schedules):
            start = process_time()
            above = [(_makespan(instance, count) - best) / best * 100 for instance, best in chosen]
            spent = (process_time() - start) / len(chosen)
            label = "plain rule" if count == 1 else f"{count} schedules"
            mean, reach = statistics.fmean(above), ACADEMIC.get((series, count))
            beside = "" if reach is None else f"reach {reach}"
            print(f"{series:<6}{len(chosen):>4} instances {label:<16}{mean:>7.2f} %  {beside:<12}{spent:>8.2f} s each")
            figures[f"{series} {label}"] = {
                "instances": len(chosen),
                "percent": round(mean, 2),
                "reach": reach,
                "seconds": round(spent, 2),
            }
    return figures


def _makespan(instance: psplib.Instance, schedules: int) -> int:
    """What a search of so many schedules comes to; its first and its last layout are laid early and late as well."""
    now = minutes_of(psplib.NOW)
    bench = prepared(read(psplib.problem_of(instance)), now, dt.timedelta(days=1), dt.timedelta(days=5))
    layout, _ = fresh_layout(bench, max(schedules - 4, 1))
    return max(laid.finish for laid in layout.laid if laid is not None) - now

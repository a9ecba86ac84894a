"""Whole plans from fractional ones and from scratch, and plans of one or two patterns, in plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

from scheduling.cutting.filling import fill_for_need
from scheduling.cutting.search import Runs, Search, covers


def round_off(search: Search) -> None:
    """Plans from the fractional one: rounded down and filled up, with one run or another rounded up first."""
    values = [floor(value) for value in search.duals] or search.area_values()
    base: Runs = [(pattern, source, floor(often + 1e-7)) for pattern, source, often in search.fractional]
    search.complete(base, values)
    parts = sorted(
        (often - floor(often), pattern, source)
        for pattern, source, often in search.fractional
        if often - floor(often) > 1e-7
    )
    for _, pattern, source in reversed(parts[-6:]):
        if search.exhausted:
            break
        _, limits = search.left_after(base)
        if limits[source] != 0:
            search.complete([*base, (pattern, source, 1)], values)
    rising: Runs = list(base)
    for _, pattern, source in reversed(parts):
        need, limits = search.left_after(rising)
        gain = sum(min(have, want) for have, want in zip(search.counts[pattern], need, strict=True))
        if gain and limits[source] != 0:
            rising.append((pattern, source, 1))
    search.complete(rising, values)


def vary(search: Search, rounds: int) -> None:
    """Plans from scratch, each round valuing higher what the last one left to badly filled sheets.

    Source: sequential value correction; G. Belov, G. Scheithauer, "Setup and open-stacks minimization in
    one-dimensional stock cutting", INFORMS Journal on Computing 19 (2007).
    """
    fair = search.area_values()
    values = list(fair)
    for _ in range(rounds):
        if search.exhausted:
            return
        draft = search.complete([], values)
        for pattern, source, _ in draft.runs:
            counts = search.counts[pattern]
            used = sum(fair[place] * number for place, number in enumerate(counts)) or 1
            whole = search.sources[source].area * search.value_per_area
            for place, number in enumerate(counts):
                if number:
                    values[place] = (values[place] + int(fair[place] * whole / used)) // 2


def few_patterns(search: Search, fewest: int, most: int) -> None:
    """Plans of one or two patterns of whole sheets, from `fewest` sheets upwards to `most`."""
    for source, kind in enumerate(search.sources):
        if kind.is_off_cut:
            continue
        shape = search.shape_of[source]
        top = most if kind.limit is None else min(most, kind.limit)
        single = top + 1
        for sheets in range(max(1, fewest), top + 1):
            if search.exhausted:
                break
            place = _pack(search, shape, [ceil(number / sheets) for number in search.demand])
            if place is not None:
                search.draft([(place, source, sheets)])
                single = sheets
                break
        for sheets in range(max(2, fewest), min(top + 1, single)):
            if search.exhausted or _two_patterns(search, source, shape, sheets):
                break


def _two_patterns(search: Search, source: int, shape: int, total: int) -> bool:
    places = [place for place, pattern in enumerate(search.pool) if pattern.source == shape][:60]
    for place in places:
        counts = search.counts[place]
        for first in _run_lengths(counts, search.demand, total):
            need = [max(0, want - have * first) for have, want in zip(counts, search.demand, strict=True)]
            rest = total - first
            second = _pack(search, shape, [ceil(number / rest) for number in need], tries=1)
            if second is not None:
                search.draft([(place, source, first), (second, source, rest)])
                return True
    return False


def _pack(search: Search, shape: int, need: Sequence[int], *, tries: int = 4) -> int | None:
    """A pattern that holds at least these pieces, if the pool has one or it is found within the tries."""
    area = sum(
        piece.along_units * piece.across_units * number
        for piece, number in zip(search.problem.pieces, need, strict=True)
    )
    if area > search.sources[shape].area:
        return None
    for place, counts in enumerate(search.counts):
        if search.pool[place].source == shape and covers(counts, need):
            return place
    for filler in search.fillers[shape]:
        values = search.area_values()
        for _ in range(tries):
            if not search.spend(filler.effort):
                return None
            place = search.remember(fill_for_need(filler, values, need))
            missing = [want - have for have, want in zip(search.counts[place], need, strict=True)]
            if max(missing) <= 0:
                return place
            values = [value * 2 if lack > 0 else value for value, lack in zip(values, missing, strict=True)]
    return None


def _run_lengths(counts: Sequence[int], demand: Sequence[int], total: int) -> list[int]:
    """How many sheets of a pattern are worth trying beside a second one."""
    tried: set[int] = set()
    for have, want in zip(counts, demand, strict=True):
        if have:
            tried.update((want // have, -(-want // have)))
    return sorted(number for number in tried if 0 < number < total)

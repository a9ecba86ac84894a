"""Where a cut can usefully lie: the sums of part sizes that fit within a side."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence


def reachable(parts: Iterable[tuple[int, int]], side: int, *, at_most: int) -> tuple[list[int], bool]:
    """All sums of parts up to `side`, ascending from 0, and whether they are all there.

    parts: (size, how many at most); sizes and side include one kerf each, so n parts need n-1 kerfs.
    at_most: where there would be more sums, only those of one and of two kinds of part are kept (any set is safe:
        a part is put at the next reachable place below, never beyond the side).
    Source: reachable positions as in J. C. Herz, IBM J. Res. Dev. 16 (1972), "canonical dissections".
    """
    together: dict[int, int] = {}
    for size, most in parts:
        together[size] = together.get(size, 0) + most
    bounded = sorted(((size, min(most, side // size)) for size, most in together.items() if size <= side), reverse=True)
    sums = {0}
    for size, most in bounded:
        grown = set(sums)
        for total in sums:
            limit = min(most, (side - total) // size)
            grown.update(range(total + size, total + size * limit + 1, size))
        if len(grown) > at_most:
            return _simple_sums(bounded, side, at_most), False
        sums = grown
    return sorted(sums), True


def _simple_sums(bounded: Sequence[tuple[int, int]], side: int, at_most: int) -> list[int]:
    """Sums of one kind of part, then those of two kinds, evenly thinned where there are too many."""
    alone = {0}
    for size, most in bounded:
        alone.update(range(size, size * most + 1, size))
    pairs: set[int] = set()
    for size, most in bounded:
        for other, count in bounded:
            if other < size and len(pairs) < 20 * at_most:
                for first in range(size, size * most + 1, size):
                    limit = min(count, (side - first) // other)
                    pairs.update(range(first + other, first + other * limit + 1, other))
    more = sorted(pairs - alone)
    room = max(0, at_most - len(alone))
    if len(more) > room:
        more = [more[len(more) * place // room] for place in range(room)]
    return sorted(alone.union(more))


def steps_back(positions: Sequence[int], size: int) -> list[int]:
    """For each position the place in `positions` of the last one that leaves room for a part; -1 where none does."""
    return [bisect_right(positions, position - size) - 1 if position >= size else -1 for position in positions]

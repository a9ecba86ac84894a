"""The fullest reel, for long lists of lengths: one knapsack over an even grid, as fine as the lengths need or coarser.

Imported only where the plain search has not met its bound, since numpy takes as long to load as a plain plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd
from typing import Any

import numpy as np

from scheduling.cutting.filling import strips_of
from scheduling.cutting.pattern import Source, Strip, kerf_of
from scheduling.cutting.problem import Cutter

COARSE_CELLS = 12_000
FINE_CELLS = 250_000

_Ints = np.ndarray[Any, np.dtype[np.int64]]


def is_line(source: Source, *, rows: bool) -> bool:
    """Whether every piece is as wide as the source, so that they lie one after another."""
    return all(
        (variant.across == source.across) if rows else (variant.along == source.along) for variant in source.variants
    )


class LineFiller:
    """Fills one reel; the side across is the reel's own, so a strip is a length and no piece lies beside another.

    A grid of the lengths' common measure is exact. On a coarser one every length is rounded up, so that whatever comes
    out can be cut, though a fuller reel may be overlooked.
    """

    def __init__(self, source: Source, cutter: Cutter, demand: Sequence[int], *, rows: bool, cells: int) -> None:
        self.rows = rows
        first, second = (source.along, source.across) if rows else (source.across, source.along)
        sizes = [variant.along if rows else variant.across for variant in source.variants]
        kerfs = {kerf_of(cutter, length, part) for length in (0, first, second) for part in (min(sizes), max(sizes))}
        self._kerf = max(kerfs)
        side = first + self._kerf
        measure = gcd(side, *(size + self._kerf for size in sizes))
        self.exact = side // measure <= cells and len(kerfs) == 1
        cell = measure if side // measure <= cells else -(-side // cells)
        self._cells = side // cell
        order = sorted(range(len(sizes)), key=lambda place: (-sizes[place], source.variants[place]))
        self._items = [(source.variants[place], -(-(sizes[place] + self._kerf) // cell)) for place in order]
        # Rounded up, a length that just fits may be longer than the grid; it still fills a reel by itself.
        self._items = [(variant, min(wide, self._cells)) for variant, wide in self._items]
        self._most = [min(demand[variant.piece], self._cells // wide) for variant, wide in self._items]

    @property
    def effort(self) -> int:
        """About how many elementary steps one filling takes."""
        return self._cells * sum(number.bit_length() for number in self._most)

    def fullest(self, values: Sequence[int], most: Sequence[int]) -> tuple[int, tuple[Strip, ...]]:
        """The worth of the best reel and its strips, with no more of any piece than `most`."""
        row = np.zeros(self._cells + 1, dtype=np.int64)
        taken: list[tuple[int, int, np.ndarray[Any, np.dtype[np.bool_]]]] = []
        for which, (variant, wide) in enumerate(self._items):
            value, left = values[variant.piece], min(self._most[which], most[variant.piece])
            bundle = 1
            while value > 0 and left > 0:  # bundles of 1, 2, 4 ... make up every number up to the limit
                number = min(bundle, left)
                size = number * wide
                if size > self._cells:
                    break
                better = row[:-size] + number * value
                is_better = better > row[size:]
                row[size:][is_better] = better[is_better]
                taken.append((which, number, is_better))
                left -= number
                bundle *= 2
        return int(row[-1]), tuple(self._strips(taken))

    def _strips(self, taken: Sequence[tuple[int, int, np.ndarray[Any, np.dtype[np.bool_]]]]) -> list[Strip]:
        counts: dict[int, int] = {}
        at = self._cells
        for which, number, is_better in reversed(taken):
            size = number * self._items[which][1]
            if at >= size and is_better[at - size]:
                counts[which] = counts.get(which, 0) + number
                at -= size
        items = [(self._items[which][0], number) for which, number in counts.items()]
        return strips_of([items], self._kerf, rows=self.rows) if items else []

"""The fullest sheet once more, for large lists of pieces: the same three knapsacks, all strip heights at a time.

Imported only where the plain search has not met its bound, since numpy takes as long to load as a plain plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from scheduling.cutting.filling import strips_of
from scheduling.cutting.pattern import Source, Strip, Variant, kerf_of
from scheduling.cutting.positions import reachable
from scheduling.cutting.problem import Cutter

_ARRAY_POSITIONS = 1500
_LINE_POSITIONS = 12_000

_Ints = np.ndarray[Any, np.dtype[np.int64]]


class ArrayFiller:
    """Fills one source in one first-cut direction, as SheetFiller does when nothing is held."""

    def __init__(self, source: Source, cutter: Cutter, demand: Sequence[int], *, rows: bool) -> None:
        self.rows = rows
        first, second = (source.along, source.across) if rows else (source.across, source.along)
        self._variants = sorted(source.variants, key=lambda v: (self._sides(v)[1], v.turned, v.piece))
        # A reel has one stack, as wide as itself; its strips need no looking for.
        self._line = all(self._sides(v)[1] == second for v in self._variants)
        parts = [side for v in self._variants for side in (v.across, v.along)]
        ends = (min(parts), max(parts))
        strip_kerfs = {kerf_of(cutter, second, part) for part in ends}
        kerfs = {kerf_of(cutter, length, part) for length in (0, first, second) for part in ends}
        self._strip_kerf, self._kerf = max(strip_kerfs), max(kerfs)
        kerf = self._kerf
        firsts = [(self._sides(v)[0] + kerf, demand[v.piece]) for v in self._variants]
        seconds = [(self._sides(v)[1] + kerf, demand[v.piece]) for v in self._variants]
        heights, whole_heights = reachable(
            firsts, first + kerf, at_most=_LINE_POSITIONS if self._line else _ARRAY_POSITIONS
        )
        widths, whole_widths = reachable(seconds, second + kerf, at_most=_ARRAY_POSITIONS)
        places, whole_places = heights, True
        if self._strip_kerf != kerf:
            steps = [(height - kerf + self._strip_kerf, first) for height in heights[1:]]
            places, whole_places = reachable(steps, first + self._strip_kerf, at_most=_ARRAY_POSITIONS)
        self.exact = whole_heights and whole_widths and whole_places and len(kerfs) == len(strip_kerfs) == 1
        self._heights = np.array(heights, dtype=np.int64)
        self._widths = np.array(widths, dtype=np.int64)
        self._places = np.array(places, dtype=np.int64)
        self._back_heights = [_steps_back(self._heights, size) for size, _ in firsts]
        self._stack_widths = sorted({self._sides(v)[1] for v in self._variants})
        self._back_widths: _Ints = np.stack([_steps_back(self._widths, width + kerf) for width in self._stack_widths])
        self._last_variant = [
            max(at for at, v in enumerate(self._variants) if self._sides(v)[1] == width) for width in self._stack_widths
        ]

    @property
    def effort(self) -> int:
        """About how many elementary steps one filling takes."""
        if self._line:
            return len(self._heights) * len(self._variants)
        return len(self._heights) * (len(self._widths) * len(self._stack_widths) + len(self._heights))

    def _sides(self, variant: Variant) -> tuple[int, int]:
        return (variant.along, variant.across) if self.rows else (variant.across, variant.along)

    def fullest(self, values: Sequence[int], most: Sequence[int]) -> tuple[int, tuple[Strip, ...]]:
        """The worth of the best sheet and its strips; an upper bound for every pattern if `exact`."""
        layers, takes = self._stacks(values, most)
        if self._line:
            return int(layers[0, -1]), tuple(self._build(takes, layers, len(self._heights) - 1))
        changed = np.zeros(len(self._heights), dtype=bool)
        changed[1:] = (layers[:, 1:] > layers[:, :-1]).any(axis=0)
        steps = np.nonzero(changed)[0]
        if not len(steps):
            return 0, ()
        stacks = layers[:, steps]
        # A wider stack worth no more than a narrower one is never wanted.
        useful = np.ones(len(stacks), dtype=bool)
        useful[1:] = (stacks[1:] > stacks[:-1]).any(axis=1)
        which = np.nonzero(useful)[0]
        worths = self._strips(stacks[which], self._back_widths[which])
        better = np.ones(len(steps), dtype=bool)
        better[1:] = worths[1:] > np.maximum.accumulate(worths)[:-1]
        steps, worths = steps[better], worths[better]
        worth, chosen = self._sheet(steps, worths)
        strips: list[Strip] = []
        for at in chosen:
            strips.extend(self._build(takes, layers, int(at)))
        return worth, tuple(strips)

    def _stacks(self, values: Sequence[int], most: Sequence[int]) -> tuple[_Ints, list[_Ints | None]]:
        """Best worth of a stack by width and height, and how many of each variant it takes."""
        row = np.zeros(len(self._heights), dtype=np.int64)
        takes: list[_Ints | None] = []
        rows: list[_Ints] = []
        for at, variant in enumerate(self._variants):
            value, limit = values[variant.piece], most[variant.piece]
            if value > 0 and limit > 0:
                row, taken = _add_item(row, self._back_heights[at], value, limit)
                takes.append(taken)
            else:
                takes.append(None)
            rows.append(row)
        return np.stack([rows[last] for last in self._last_variant]), takes

    def _strips(self, stacks: _Ints, backs: _Ints) -> _Ints:
        """The best worth of a strip for every height at once."""
        row = np.zeros((len(self._widths), stacks.shape[1]), dtype=np.int64)
        for at in range(1, len(self._widths)):
            before = backs[:, at]
            fits = before >= 0
            row[at] = row[at - 1]
            if fits.any():
                np.maximum(row[at], (row[before[fits]] + stacks[fits]).max(axis=0), out=row[at])
        last: _Ints = row[-1]
        return last

    def _sheet(self, steps: _Ints, worths: _Ints) -> tuple[int, list[int]]:
        """The best run of strips down the sheet, as places in the heights."""
        sizes = self._heights[steps] - self._kerf + self._strip_kerf
        backs = np.searchsorted(self._places, self._places[:, None] - sizes[None, :], side="right") - 1
        fits = self._places[:, None] >= sizes[None, :]
        backs[~fits] = -1
        return _fill(backs, worths, steps)

    def _build(self, takes: list[_Ints | None], layers: _Ints, at: int) -> list[Strip]:
        backs = self._back_widths.T
        _, picks = _fill(backs, layers[:, at], np.arange(len(layers)))
        stacks = []
        for pick in picks:
            items = []
            place = at
            for which in range(self._last_variant[pick], -1, -1):
                taken = takes[which]
                if taken is not None and taken[place]:
                    number = int(taken[place])
                    items.append((self._variants[which], number))
                    for _ in range(number):
                        place = int(self._back_heights[which][place])
            if items:
                stacks.append(items)
        return strips_of(stacks, self._kerf, rows=self.rows) if stacks else []


def _steps_back(positions: _Ints, size: int) -> _Ints:
    back: _Ints = np.searchsorted(positions, positions - size, side="right") - 1
    back[positions < size] = -1
    return back


def _add_item(row: _Ints, back: _Ints, value: int, limit: int) -> tuple[_Ints, _Ints]:
    """One more item, up to `limit` times, all heights at once."""
    best = row.copy()
    taken = np.zeros(len(row), dtype=np.int64)
    place = np.arange(len(row))
    for number in range(1, limit + 1):
        place = np.where(place >= 0, back[place], -1)
        fits = place >= 0
        if not fits.any():
            break
        with_them = np.where(fits, row[place] + number * value, -1)
        more = with_them > best
        best[more] = with_them[more]
        taken[more] = number
    return best, taken


def _fill(backs: _Ints, worths: _Ints, names: _Ints) -> tuple[int, list[int]]:
    """A knapsack over positions; backs[position, option] is the position before that option."""
    size = len(backs)
    row = np.zeros(size, dtype=np.int64)
    pick = np.full(size, -1, dtype=np.int64)
    for at in range(1, size):
        before = backs[at]
        total = np.where(before >= 0, row[before] + worths, 0)
        which = int(total.argmax())
        if total[which] > row[at - 1]:
            row[at], pick[at] = total[which], which
        else:
            row[at] = row[at - 1]
    chosen = []
    at = size - 1
    while at > 0:
        if pick[at] >= 0:
            chosen.append(int(names[pick[at]]))
            at = int(backs[at, pick[at]])
        else:
            at -= 1
    return int(row[-1]), chosen

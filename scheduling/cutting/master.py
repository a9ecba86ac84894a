"""The linear program of column generation, small enough for plain Python.

Least sum of weights so that every piece is cut often enough and no limited source is used too often. A revised
simplex with an explicit inverse; a workshop's job has some ten rows. Its numbers are floats and only steer the
search: what is proved is proved again in whole numbers (bounds.py).
Source: G. B. Dantzig, W. Orchard-Hays, "The product form for the inverse in the simplex method" (1954).
"""

from __future__ import annotations

from collections.abc import Sequence

_TOO_DEAR = 1e13
_TINY = 1e-9


class Master:
    """Rows: one per piece (at least its demand), then one per limited source (at most its limit)."""

    def __init__(self, demand: Sequence[int], limits: Sequence[int]) -> None:
        self.pieces = len(demand)
        self.rows = self.pieces + len(limits)
        self._right = [float(number) for number in (*demand, *limits)]
        self._inverse = [[1.0 if row == column else 0.0 for column in range(self.rows)] for row in range(self.rows)]
        # A basic variable below zero is an artificial piece or the slack of a limit; others are columns.
        self._basis = [-1 - row for row in range(self.rows)]
        self._costs = [_TOO_DEAR] * self.pieces + [0.0] * len(limits)
        self._columns: list[tuple[float, list[float]]] = []
        self._marks: list[int] = []
        for piece in range(self.pieces):
            self._columns.append((0.0, [-1.0 if row == piece else 0.0 for row in range(self.rows)]))
            self._marks.append(-1)
        for row in range(self.pieces, self.rows):
            self._columns.append((0.0, [1.0 if place == row else 0.0 for place in range(self.rows)]))
            self._marks.append(-1)

    def add(self, mark: int, weight: int, counts: Sequence[int], limit_row: int | None) -> None:
        """A column: pieces cut by one sheet of a pattern; mark names it in `solution`."""
        column = [float(number) for number in counts] + [0.0] * (self.rows - self.pieces)
        if limit_row is not None:
            column[self.pieces + limit_row] = 1.0
        self._columns.append((float(weight), column))
        self._marks.append(mark)

    def solve(self, *, steps: int = 400) -> None:
        """Pivot until no known column is worth more than it weighs, or the steps are used up."""
        for step in range(steps):
            duals = self.duals()
            entering, least = -1, -1e-7
            for place, (weight, column) in enumerate(self._columns):
                reduced = weight - sum(d * c for d, c in zip(duals, column, strict=True) if c)
                scale = max(1.0, weight)
                if reduced < least * scale:
                    entering = place
                    least = reduced / scale
                    if step > steps // 2:
                        break  # the first that helps: ends any circling
            if entering < 0:
                return
            self._enter(entering)

    def duals(self) -> list[float]:
        """What one more of each row would weigh."""
        costs = self._costs
        return [sum(costs[row] * self._inverse[row][column] for row in range(self.rows)) for column in range(self.rows)]

    def solution(self) -> list[tuple[int, float]]:
        """(mark, how often) of the patterns used."""
        used = []
        for basic, value in zip(self._basis, self._values(), strict=True):
            if basic >= 0 and self._marks[basic] >= 0 and value > _TINY:
                used.append((self._marks[basic], value))
        return used

    def _values(self) -> list[float]:
        return [sum(a * b for a, b in zip(row, self._right, strict=True)) for row in self._inverse]

    def _enter(self, place: int) -> None:
        weight, column = self._columns[place]
        along = [sum(a * b for a, b in zip(row, column, strict=True) if b) for row in self._inverse]
        values = self._values()
        leaving, best = -1, float("inf")
        for row in range(self.rows):
            if along[row] > 1e-8:
                ratio = values[row] / along[row]
                if ratio < best - 1e-12 or (ratio < best + 1e-12 and leaving >= 0 and along[row] > along[leaving]):
                    best, leaving = ratio, row
        if leaving < 0:
            return
        pivot = along[leaving]
        new = [value / pivot for value in self._inverse[leaving]]
        for row in range(self.rows):
            factor = along[row]
            if row != leaving and factor:
                old = self._inverse[row]
                self._inverse[row] = [a - factor * b for a, b in zip(old, new, strict=True)]
        self._inverse[leaving] = new
        self._basis[leaving] = place
        self._costs[leaving] = weight

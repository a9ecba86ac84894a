"""Column generation in plain Python: patterns worth having, and the proof of how few sheets will do.

Source: Gilmore, Gomory, "A linear programming approach to the cutting-stock problem", Operations Research 9 (1961).
"""

from __future__ import annotations

from math import floor

from scheduling.cutting.master import Master
from scheduling.cutting.search import Search

_MOST_ROWS = 24  # beyond it the small master is slower than it is worth


def generate(search: Search) -> None:
    """Fill the pool and leave the fractional plan, the values of the pieces and the proofs in `search`."""
    limited = sum(source.limit is not None for source in search.sources)
    if sum(1 for number in search.demand if number) + limited <= _MOST_ROWS:
        _Generation(search).run()


class _Generation:
    """One run of column generation."""

    def __init__(self, search: Search) -> None:
        self._search = search
        sources = search.sources
        self._limited = [place for place, source in enumerate(sources) if source.limit is not None]
        self._master = Master(search.demand, [sources[place].limit or 0 for place in self._limited])
        self._names: list[tuple[int, int]] = []
        self._offered: set[tuple[int, int]] = set()

    def run(self) -> None:
        """Until no sheet is worth more than it weighs, or the steps are used up."""
        search = self._search
        self._start()
        while True:
            self._master.solve()
            duals = self._master.duals()
            search.duals = [max(0.0, value) for value in duals[: len(search.demand)]]
            if not self._price(duals) or search.exhausted:
                break
        self._master.solve()
        search.fractional = [(*self._names[mark], often) for mark, often in self._master.solution()]

    def _start(self) -> None:
        """What the pool has, and the fullest sheet of each piece alone."""
        search = self._search
        for place, pattern in enumerate(search.pool):
            for source, of in enumerate(search.shape_of):
                if of == pattern.source:
                    self._offer(place, source)
        for piece, number in enumerate(search.demand):
            if not number:
                continue
            alone = [1 if place == piece else 0 for place in range(len(search.demand))]
            for shape in search.fillers:
                if search.exhausted:
                    return
                _, pattern = search.fullest(shape, alone)
                if pattern.strips:
                    place = search.remember(pattern)
                    for source, of in enumerate(search.shape_of):
                        if of == shape:
                            self._offer(place, source)

    def _price(self, duals: list[float]) -> bool:
        """Offer the sheets worth most at these values; whether any of them is new and helps."""
        search = self._search
        values = [floor(value) for value in search.duals]
        worths: dict[int, int] = {}
        new = False
        for shape in search.fillers:
            worths[shape], pattern = search.fullest(shape, values)
            if not pattern.strips:
                continue
            place = search.remember(pattern)
            for source, of in enumerate(search.shape_of):
                if of != shape:
                    continue
                limit_dual = 0.0
                if source in self._limited:
                    limit_dual = duals[len(search.demand) + self._limited.index(source)]
                if worths[shape] + limit_dual > search.sources[source].weight * (1 + 1e-6):
                    new = self._offer(place, source) or new
        search.prove(values, worths)
        return new

    def _offer(self, pattern: int, source: int) -> bool:
        if (pattern, source) in self._offered:
            return False
        self._offered.add((pattern, source))
        self._names.append((pattern, source))
        row = self._limited.index(source) if source in self._limited else None
        search = self._search
        self._master.add(len(self._names) - 1, search.sources[source].weight, search.counts[pattern], row)
        return True

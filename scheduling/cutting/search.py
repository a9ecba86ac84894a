"""What a search for plans knows so far: the pool of patterns, the proofs, the drafts of whole plans.

Every loop stops by a count of elementary steps, never by the clock (decisions.md 22).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from scheduling.cutting.bounds import Proof, area_proof, large_piece_proofs
from scheduling.cutting.filling import SheetFiller, fill_for_need
from scheduling.cutting.pattern import Pattern, Source, Variant, sources_of
from scheduling.cutting.problem import CutProblem
from scheduling.cutting.shelves import Shelves

Runs = list[tuple[int, int, int]]  # (place in the pool, place of the source, sheets)

_PLAIN_STEPS = 300_000  # about 40 ms
_DEAR_FILLING = 120_000  # steps; beyond it the plain search looks at fewer positions
_FEW = 80


@dataclass(frozen=True, slots=True)
class Draft:
    """A plan in short: its runs, the sum of their weights, and whether every piece is cut."""

    runs: tuple[tuple[int, int, int], ...]
    weight: int
    whole: bool

    @property
    def patterns(self) -> int:
        """Distinct patterns."""
        return len({(pattern, source) for pattern, source, _ in self.runs})


class Search:
    """What is known so far about one problem: the pool of patterns, proofs and drafts."""

    def __init__(self, problem: CutProblem, *, at_most: int = 0, steps: int = _PLAIN_STEPS) -> None:
        self.problem = problem
        self.demand = tuple(piece.count for piece in problem.pieces)
        self.sources = sources_of(problem)
        self.kerf = min(problem.cutter.kerf_units, problem.cutter.knife_kerf_units)
        self.pool: list[Pattern] = []
        self.counts: list[tuple[int, ...]] = []
        self.drafts: list[Draft] = []
        self.proofs: list[Proof] = [area_proof(problem.pieces, self.sources, self.kerf)]
        self.proofs += large_piece_proofs(problem.pieces, self.demand, self.sources, self.kerf, at_most=150)
        self.duals: list[float] = []
        self.fractional: list[tuple[int, int, float]] = []
        self._known: dict[Pattern, int] = {}
        self._quick: dict[tuple[int, bool], Shelves] = {}
        self._left = steps
        # Sources of one size share their fillers: the first of each size stands for the rest.
        self.shape_of: list[int] = []
        self.fillers: dict[int, list[SheetFiller]] = {}
        seen: dict[object, int] = {}
        for place, source in enumerate(self.sources):
            shape = seen.setdefault((source.across, source.along, source.variants), place)
            self.shape_of.append(shape)
            if shape == place:
                self.fillers[place] = self._fillers(place, source, at_most)

    def _fillers(self, place: int, source: Source, at_most: int) -> list[SheetFiller]:
        line = all(variant.across == source.across for variant in source.variants)
        column = all(variant.along == source.along for variant in source.variants)
        directions = [True] if line else [False] if column else [True, False]
        cutter = self.problem.cutter
        fillers = [SheetFiller(place, source, cutter, self.demand, rows=rows, at_most=at_most) for rows in directions]
        if at_most or sum(filler.effort for filler in fillers) <= _DEAR_FILLING:
            return fillers
        return [SheetFiller(place, source, cutter, self.demand, rows=rows, at_most=_FEW) for rows in directions]

    @property
    def exhausted(self) -> bool:
        """Whether the steps are used up."""
        return self._left <= 0

    def allow(self, steps: int) -> None:
        """More work than the plain search may do."""
        self._left = steps

    def spend(self, steps: int) -> bool:
        """Count work; False when there is none left to do."""
        self._left -= steps
        return self._left > 0

    def remember(self, pattern: Pattern) -> int:
        """The pattern's place in the pool."""
        place = self._known.get(pattern)
        if place is None:
            place = self._known[pattern] = len(self.pool)
            self.pool.append(pattern)
            self.counts.append(pattern.counts(len(self.demand)))
        return place

    def available(self) -> list[int | None]:
        """How many of each source there are."""
        return [source.limit for source in self.sources]

    def prove(self, values: Sequence[int], worths: dict[int, int]) -> None:
        """Keep a proof from values and the exact worth of the fullest sheets."""
        if all(filler.exact for fillers in self.fillers.values() for filler in fillers) and any(values):
            self.proofs.append(Proof(tuple(values), tuple(worths[shape] for shape in self.shape_of), "patterns"))
            if len(self.proofs) > 400:
                del self.proofs[200:300]

    def fullest(self, shape: int, values: Sequence[int]) -> tuple[int, Pattern]:
        """The sheet worth most, of both directions of the first cut."""
        best: tuple[int, Pattern] | None = None
        for filler in self.fillers[shape]:
            self.spend(filler.effort)
            worth, strips = filler.fullest(values, self.demand)
            if best is None or worth > best[0]:
                best = worth, Pattern(shape, filler.rows, strips)
        return best or (0, Pattern(shape, True, ()))

    # Whole plans

    def draft(self, runs: Runs) -> Draft:
        """Keep a plan."""
        merged: dict[tuple[int, int], int] = {}
        for pattern, source, sheets in runs:
            if sheets:
                merged[pattern, source] = merged.get((pattern, source), 0) + sheets
        made = [0] * len(self.demand)
        weight = 0
        for (pattern, source), sheets in merged.items():
            weight += self.sources[source].weight * sheets
            for place, number in enumerate(self.counts[pattern]):
                made[place] += number * sheets
        whole = all(have >= want for have, want in zip(made, self.demand, strict=True))
        draft = Draft(tuple((*key, sheets) for key, sheets in sorted(merged.items())), weight, whole)
        if draft not in self.drafts:
            self.drafts.append(draft)
        return draft

    def left_after(self, runs: Runs) -> tuple[list[int], list[int | None]]:
        """Pieces still to cut, and what is left of each source."""
        need = list(self.demand)
        limits = self.available()
        for pattern, source, sheets in runs:
            for place, number in enumerate(self.counts[pattern]):
                need[place] -= number * sheets
            limit = limits[source]
            if limit is not None:
                limits[source] = limit - sheets
        return [max(0, number) for number in need], limits

    def construct(self, likings: Callable[[], Callable[[Variant], float]]) -> Draft:
        """A plan from scratch by shelves alone; likings: gives anew, for each sheet, what opens strips and stacks."""
        runs: Runs = []
        need, limits = self.left_after(runs)
        while any(need):
            found: list[tuple[float, int, int]] = []
            for shape, fillers in self.fillers.items():
                places = [
                    place
                    for place, of in enumerate(self.shape_of)
                    if of == shape and (limits[place] is None or limits[place])
                ]
                for filler in fillers if places else ():
                    pattern = self._shelves(filler).fill(need, likings())
                    if pattern.strips:
                        place = self.remember(pattern)
                        area = sum(
                            piece.along_units * piece.across_units * number
                            for piece, number in zip(self.problem.pieces, self.counts[place], strict=True)
                        )
                        source = min(places, key=lambda one: self.sources[one].weight)
                        found.append((area / self.sources[source].weight, place, source))
            if not found:
                break
            _, pattern_place, source = max(found)
            runs.append((pattern_place, source, 1))
            for place, number in enumerate(self.counts[pattern_place]):
                need[place] = max(0, need[place] - number)
            limit = limits[source]
            if limit is not None:
                limits[source] = limit - 1
        return self.draft(runs)

    def complete(self, runs: Runs, values: Sequence[int], *, quickly: bool = False) -> Draft:
        """Fill up a begun plan sheet by sheet with what is worth most against what it costs.

        quickly: by shelves alone, which takes no steps to speak of.
        """
        runs = list(runs)
        need, limits = self.left_after(runs)
        while any(need):
            chosen = self._next_sheet(need, limits, values, quickly=quickly)
            if chosen is None:
                break
            pattern, source, sheets = chosen
            runs.append(chosen)
            for place, number in enumerate(self.counts[pattern]):
                need[place] = max(0, need[place] - number * sheets)
            limit = limits[source]
            if limit is not None:
                limits[source] = limit - sheets
        return self.draft(runs)

    def _next_sheet(
        self, need: list[int], limits: list[int | None], values: Sequence[int], *, quickly: bool
    ) -> tuple[int, int, int] | None:
        worth = [value or 1 for value in values]
        found: list[tuple[bool, float, int, int, int]] = []
        for shape, fillers in self.fillers.items():
            sources = [
                place
                for place, of in enumerate(self.shape_of)
                if of == shape and (limits[place] is None or limits[place])
            ]
            if not sources:
                continue
            source = min(sources, key=lambda place: self.sources[place].weight)
            for filler in fillers:
                if not quickly and self.spend(3 * filler.effort):
                    pattern = fill_for_need(filler, worth, need)
                else:
                    pattern = self._shelves(filler).fill(need, lambda v: v.across * v.along)
                if not pattern.strips:
                    continue
                place = self.remember(pattern)
                counts = self.counts[place]
                gain = sum(value * number for value, number in zip(worth, counts, strict=True))
                finished = all(have >= want for have, want in zip(counts, need, strict=True))
                sheets = min(want // have for have, want in zip(counts, need, strict=True) if have)
                limit = limits[source]
                sheets = sheets if limit is None else min(sheets, limit)
                weight = self.sources[source].weight
                found.append((finished, -weight if finished else gain / weight, place, source, max(1, sheets)))
        if not found:
            return None
        _, _, pattern_place, source, sheets = max(found, key=lambda one: one[:2])
        return pattern_place, source, sheets

    def _shelves(self, filler: SheetFiller) -> Shelves:
        key = (filler.place, filler.rows)
        if key not in self._quick:
            sides = (filler.first, filler.second)
            variants = self.sources[filler.place].variants
            self._quick[key] = Shelves(filler.place, variants, sides, filler.kerf, filler.strip_kerf, rows=filler.rows)
        return self._quick[key]

    @property
    def value_per_area(self) -> float:
        """What area_values gives for one square unit."""
        return 10**6 / max((piece.along_units * piece.across_units for piece in self.problem.pieces), default=1)

    def area_values(self) -> list[int]:
        """Values by area, of a size that does not overflow anything."""
        areas = [piece.along_units * piece.across_units for piece in self.problem.pieces]
        most = max(areas, default=1)
        return [max(1, area * 10**6 // most) for area in areas]


def covers(counts: Sequence[int], need: Sequence[int]) -> bool:
    """Whether the counts are enough, piece by piece."""
    return all(have >= want for have, want in zip(counts, need, strict=True))

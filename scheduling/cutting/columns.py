"""Column generation over large lists, whole numbers by HiGHS, and plans with few patterns.

Source: cutting.md, "How"; diving for whole numbers as in R. Sadykov et al., "Primal heuristics for branch and
price", INFORMS Journal on Computing 31 (2019).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from functools import partial
from math import floor, gcd

from scheduling.cutting.arrays import ArrayFiller
from scheduling.cutting.bounds import Proof, least_cost
from scheduling.cutting.choice import met
from scheduling.cutting.filling import fill_for_need
from scheduling.cutting.line_filling import COARSE_CELLS, FINE_CELLS, LineFiller, is_line
from scheduling.cutting.pattern import Pattern, Variant, on_grid
from scheduling.cutting.problem import Cutter
from scheduling.cutting.search import Runs, Search
from scheduling.cutting.solver import Column, LinearMaster, Packs, fewest_columns, least_money, least_weight

_ROUNDS = 400  # of column generation
_LINE_ROUNDS = 4000  # of lengths off reels, where a round takes some milliseconds
_GRID_CELLS = 1000  # of each side, for a proof
_CONSTRUCTIONS = 40  # plans by shelves before their sheets are mixed
_FEW_OF_EACH = 8  # pieces of a kind on the average; where more are wanted, whole runs of a pattern do better
_LAID = 1200  # sheets laid out by shelves at most
_DIVES = 16
_DIVE_ROUNDS = 8
_NODES = 300
_FEW_NODES = 60
_MOST_COLUMNS = 1500
_SEVERAL_STEPS = 60_000_000
_ARRAY_STEPS = 300_000_000  # of elementary work on arrays in all dives, for each kind of piece
_PLAIN_PRICE = 100  # a step of the plain fillers beside one on arrays
_STEPS = 4_000_000  # for filling up begun plans


class Generator:
    """Column generation with HiGHS over the pool of one search."""

    def __init__(self, search: Search) -> None:
        self.search = search
        self._fillers = self._made(COARSE_CELLS)
        # Reels on a finer grid, for the proof, where the coarse one does not give it.
        self._fine = self._fillers if _are_exact(self._fillers) else self._made(FINE_CELLS)
        sources = search.sources
        self.limited = [place for place, source in enumerate(sources) if source.limit is not None]
        sheets = [source.weight for source in sources if not source.is_off_cut]
        self.step = gcd(*sheets) or 1 if sheets else 1
        self._scale = float(max(sheets, default=1))
        self._master = LinearMaster(search.demand, self._limits(search.available()), self._scale)
        self.names: list[tuple[int, int]] = []
        self._known: set[tuple[int, int]] = set()
        several = len(search.problem.stocks) > 1
        self.steps_left = (_SEVERAL_STEPS if several else _ARRAY_STEPS) * sum(1 for number in search.demand if number)
        self._dice = random.Random(0)  # noqa: S311 - not for secrets
        self._shake = 0.0

    def _made(self, cells: int) -> dict[int, list[ArrayFiller | LineFiller]]:
        """The fillers of every size of sheet or reel, in both directions of the first cut where they differ."""
        search, cutter = self.search, self.search.problem.cutter
        made: dict[int, list[ArrayFiller | LineFiller]] = {}
        for shape, plain in search.fillers.items():
            source = search.sources[shape]
            made[shape] = [
                LineFiller(source, cutter, search.demand, rows=filler.rows, cells=cells)
                if is_line(source, rows=filler.rows)
                else ArrayFiller(source, cutter, search.demand, rows=filler.rows)
                for filler in plain
            ]
        return made

    @property
    def exact(self) -> bool:
        """Whether the proofs of column generation hold."""
        return _are_exact(self._fine)

    @property
    def is_lines(self) -> bool:
        """Whether there is nothing but lengths off reels."""
        return all(isinstance(filler, LineFiller) for fillers in self._fillers.values() for filler in fillers)

    def _limits(self, available: Sequence[int | None]) -> list[int]:
        return [available[place] or 0 for place in self.limited]

    def column(self, name: tuple[int, int]) -> Column:
        """The column of a pattern cut from a source."""
        pattern, source = name
        row = self.limited.index(source) if source in self.limited else None
        return Column(self.search.sources[source].weight, self.search.counts[pattern], row)

    def offer_pool(self) -> None:
        """Give every pattern of the pool to the master."""
        for pattern, made in enumerate(self.search.pool):
            for source, shape in enumerate(self.search.shape_of):
                if shape == made.source:
                    self._offer(pattern, source)

    def _offer(self, pattern: int, source: int) -> bool:
        if (pattern, source) in self._known:
            return False
        self._known.add((pattern, source))
        self.names.append((pattern, source))
        self._master.add(self.column((pattern, source)))
        return True

    def generate(self, need: Sequence[int], limits: Sequence[int | None], *, rounds: int) -> list[float]:
        """Add columns until none helps or the rounds are up; how often each is used, in the order of `names`."""
        search = self.search
        whole = list(need) == list(search.demand)
        self._master.need(need, self._limits(limits))
        often, duals = self._master.solve()
        made = self._fillers
        for _ in range(rounds):
            values = [max(0, floor(value)) for value in duals[: len(search.demand)]]
            worths: dict[int, int] = {}
            new = False
            for shape, fillers in made.items():
                worths[shape] = 0
                for filler in fillers:
                    worth, strips = filler.fullest(values, need)
                    worths[shape] = max(worths[shape], worth)
                    new = self._offer_if_worth(Pattern(shape, filler.rows, strips), worth, duals) or new
            if whole and _are_exact(made):
                proof = Proof(tuple(values), tuple(worths[shape] for shape in search.shape_of), "patterns")
                search.proofs.append(proof)
                if self._closed(proof, often):
                    break
            if not new and made is not self._fine:
                made = self._fine
                continue
            if not new:
                break
            often, duals = self._master.solve()
        if whole:
            search.duals = [max(0.0, value) for value in duals[: len(search.demand)]]
        return often

    def _offer_if_worth(self, pattern: Pattern, worth: int, duals: Sequence[float]) -> bool:
        search = self.search
        if not pattern.strips:
            return False
        new = False
        for source, shape in enumerate(search.shape_of):
            if shape != pattern.source:
                continue
            limit = duals[len(search.demand) + self.limited.index(source)] if source in self.limited else 0.0
            if worth + min(0.0, limit) > search.sources[source].weight * (1 + 1e-6):
                new = self._offer(search.remember(pattern), source) or new
        return new

    def prove(self) -> None:
        """A proof from the last values by sheets on a grid, where the sheets themselves have too many positions."""
        search = self.search
        values = [floor(value) for value in search.duals]
        worths: dict[int, int] = {}
        for shape, fillers in self._fine.items():
            source = on_grid(search.sources[shape], search.kerf, _GRID_CELLS)
            if source is None or any(isinstance(filler, LineFiller) for filler in fillers):
                return
            on_it = [ArrayFiller(source, Cutter(), search.demand, rows=filler.rows) for filler in fillers]
            if not all(filler.exact for filler in on_it):
                return
            worths[shape] = max(filler.fullest(values, search.demand)[0] for filler in on_it)
        search.proofs.append(Proof(tuple(values), tuple(worths[shape] for shape in search.shape_of), "patterns"))

    def _closed(self, proof: Proof, often: Sequence[float]) -> bool:
        """Whether the linear program cannot fall below the next whole step any more."""
        search = self.search
        weights = [source.weight for source in search.sources]
        now = sum(weights[source] * number for (_, source), number in zip(self.names, often, strict=False))
        least = least_cost(proof, search.demand, weights, search.available())
        return -(-least // self.step) >= -(-round(now) // self.step) and len(self._fillers) == 1

    def whole_numbers(self) -> None:
        """Drafts from the integer program over the pool: least weight, and least money where sizes compete."""
        search = self.search
        limits = self._limits(search.available())
        names = self._promising()
        answers = []
        if names:
            columns = [self.column(name) for name in names]
            numbers = least_weight(columns, search.demand, limits, step=self.step, nodes=_NODES)
            answers.append((names, numbers))
        if len(search.problem.stocks) > 1:
            names = self.names[-_MOST_COLUMNS:]
            columns = [self.column(name) for name in names]
            values = [search.sources[source].value for _, source in names]
            numbers = least_money(columns, values, self._packs(names), search.demand, limits, nodes=_NODES)
            answers.append((names, numbers))
        for used, numbers in answers:
            if numbers is not None:
                search.draft([(*name, number) for name, number in zip(used, numbers, strict=True) if number])

    def _promising(self) -> list[tuple[int, int]]:
        """The columns that a plan one step lighter than the best so far could use, by their reduced weights."""
        search = self.search
        best = min((draft.weight for draft in search.drafts if draft.whole), default=None)
        if best is None:
            return self.names[-_MOST_COLUMNS:]
        master = LinearMaster(search.demand, self._limits(search.available()), self._scale)
        columns = []
        for name in self.names:
            column = self.column(name)
            clipped = tuple(min(have, want) for have, want in zip(column.counts, search.demand, strict=True))
            columns.append(column._replace(counts=clipped))
            master.add(columns[-1])
        often, duals = master.solve()
        now = sum(column.weight * number for column, number in zip(columns, often, strict=True))
        spare = best - self.step - now + self.step * 1e-6
        if spare < 0 and len(search.sources) == 1:
            return []
        ranked = []
        for name, column in zip(self.names, columns, strict=True):
            worth = sum(dual * number for dual, number in zip(duals, column.counts, strict=False) if number)
            if column.limit_row is not None:
                worth += duals[len(search.demand) + column.limit_row]
            ranked.append((column.weight - worth, name))
        ranked.sort()
        kept = [name for reduced, name in ranked if reduced <= spare or len(search.sources) > 1]
        return kept[:_MOST_COLUMNS]

    def _packs(self, names: Sequence[tuple[int, int]]) -> list[Packs]:
        ids = [self.search.sources[source].id for _, source in names]
        return [
            Packs(
                stock.pack,
                stock.price_of_pack,
                stock.on_hand,
                tuple(place for place, one in enumerate(ids) if one == stock.id),
            )
            for stock in self.search.problem.stocks
        ]

    def dive(self, *, nth: int, to_the_end: bool) -> None:
        """A plan by fixing runs one after another and generating patterns for what is left.

        nth: rounds up the nth largest fraction at the first step, so that dives differ.
        to_the_end: otherwise the last two sheets are filled up piece by piece.
        """
        search = self.search
        self._shake = (0.0, 0.05, 0.1, 0.2)[nth % 4]
        runs: Runs = []
        first = True
        while self.steps_left > 0:
            need, limits = search.left_after(runs)
            if not any(need):
                break
            often = self._residual(need, limits)
            if not to_the_end and sum(number for _, number in often) < 2:
                break
            fixed = [(*name, floor(number + 1e-6)) for name, number in often if number > 1 - 1e-6]
            if not fixed:
                parts = sorted(((number, name) for name, number in often if number > 1e-6), reverse=True)
                if not parts:
                    break
                fixed = [(*parts[min(nth if first else 0, len(parts) - 1)][1], 1)]
                first = False
            runs += fixed
        search.complete(runs, [floor(value) for value in search.duals])

    def construct(self, plans: int) -> None:
        """Plans by shelves with liking shaken by a seeded draw, and the best mix of all their sheets.

        Where few of each piece are wanted, sheets that hold to the need mix better than the fullest ones.
        """
        search, dice = self.search, self._dice
        duals = [max(1.0, value) for value in search.duals] or [float(value) for value in search.area_values()]

        def likings() -> Callable[[Variant], float]:
            shake, power = dice.choice((0.05, 0.2, 0.5)), dice.choice((0.0, 0.5, 1.0))
            shaken = [(1 - shake + 2 * shake * dice.random()) * value**power for value in duals]
            return lambda variant: shaken[variant.piece] * (variant.across * variant.along) ** (1 - power)

        laid = 0
        for _ in range(plans):
            laid += sum(sheets for _, _, sheets in search.construct(likings).runs)
            if met(search):
                return
            if laid > _LAID:
                break
        self.offer_pool()
        self.whole_numbers()

    def _residual(self, need: Sequence[int], limits: Sequence[int | None]) -> list[tuple[tuple[int, int], float]]:
        """How often each pattern is used in the linear program of what is left; no column counts beyond the need.

        Patterns that hold to the need are generated as well, by the plain fillers.
        """
        search = self.search
        master = LinearMaster(need, self._limits(limits), self._scale)
        names: list[tuple[int, int]] = []

        def offer(name: tuple[int, int]) -> None:
            column = self.column(name)
            clipped = tuple(min(have, want) for have, want in zip(column.counts, need, strict=True))
            if any(clipped):
                names.append(name)
                master.add(column._replace(counts=clipped))

        for name in self.names:
            offer(name)
        often, duals = master.solve()
        for _ in range(_DIVE_ROUNDS):
            known = len(self.names)
            values = [max(0, floor(value)) for value in duals[: len(need)]]
            for shape, fillers in self._fillers.items():
                for filler, plain in zip(fillers, search.fillers[shape], strict=True):
                    self.steps_left -= filler.effort
                    worth, strips = filler.fullest(values, need)
                    self._offer_if_worth(Pattern(shape, filler.rows, strips), worth, duals)
                    if isinstance(filler, LineFiller):  # it holds to the need already
                        continue
                    self.steps_left -= _PLAIN_PRICE * plain.effort
                    held = fill_for_need(plain, self._shaken(values), need)
                    counts = held.counts(len(need))
                    worth = sum(value * number for value, number in zip(values, counts, strict=True))
                    self._offer_if_worth(held, worth, duals)
            if len(self.names) == known:
                break
            for name in self.names[known:]:
                offer(name)
            often, duals = master.solve()
        return list(zip(names, often, strict=True))

    def _shaken(self, values: Sequence[int]) -> list[int]:
        """The values a little changed, by a seeded draw, so that patterns differ from dive to dive."""
        if not self._shake:
            return list(values)
        return [int(value * (1 + self._shake * (2 * self._dice.random() - 1))) for value in values]

    def few(self, heaviest: int) -> None:
        """A draft of as few patterns as possible within a weight."""
        search = self.search
        used = {run[:2] for draft in search.drafts for run in draft.runs}
        names = sorted(used, key=lambda name: (name[1], name[0]))[:160]
        columns = [self.column(name) for name in names]
        numbers = fewest_columns(
            columns,
            search.demand,
            self._limits(search.available()),
            heaviest=heaviest,
            step=self.step,
            nodes=_FEW_NODES,
        )
        if numbers is not None:
            search.draft([(*name, number) for name, number in zip(names, numbers, strict=True) if number])


def _are_exact(made: dict[int, list[ArrayFiller | LineFiller]]) -> bool:
    return all(filler.exact for fillers in made.values() for filler in fillers)


def improve(search: Search) -> None:
    """Close the gap between the best draft and the bound as far as counted rounds and nodes go."""
    search.allow(_STEPS)
    generator = Generator(search)
    generator.offer_pool()
    often = generator.generate(
        search.demand, search.available(), rounds=_LINE_ROUNDS if generator.is_lines else _ROUNDS
    )
    search.fractional = [(*name, number) for name, number in zip(generator.names, often, strict=False) if number > 1e-6]
    if not generator.exact:
        generator.prove()
    # The bound does not see whole packs, so with several sizes it is seldom met; more dives rarely help there.
    dives = _DIVES if len(search.problem.stocks) == 1 else _DIVES // 4
    # Dives do best with long lists of lengths, whose integer programs are slow.
    steps: list[Callable[[], None]] = [] if generator.is_lines else [generator.whole_numbers]
    kinds = sum(1 for number in search.demand if number)
    if steps and dives == _DIVES and sum(search.demand) <= _FEW_OF_EACH * kinds:
        steps.append(partial(generator.construct, _CONSTRUCTIONS))
    steps += [partial(_dive_then_solve, generator, nth) for nth in range(dives)]
    for step in steps:
        if met(search) or generator.steps_left <= 0:
            return
        step()


def _dive_then_solve(generator: Generator, nth: int) -> None:
    generator.dive(nth=nth // 2, to_the_end=nth % 2 == 0)
    if not met(generator.search):
        generator.whole_numbers()


def fewer_set_ups(search: Search) -> None:
    """Look for plans of fewer patterns at the least weight and at one sheet more."""
    generator = Generator(search)
    whole = [draft.weight for draft in search.drafts if draft.whole]
    if not whole:
        return
    sheet = max((source.weight for source in search.sources if not source.is_off_cut), default=0)
    generator.few(min(whole))
    generator.few(min(whole) + sheet)

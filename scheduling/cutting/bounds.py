"""The least that any plan can do, proved in whole numbers.

A bound gives each piece a value such that no sheet can be worth more than it costs; then the pieces' values add up
to no more than the cost of any plan (duality of linear programs).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from scheduling.cutting.pattern import Source
from scheduling.cutting.problem import Piece


@dataclass(frozen=True, slots=True)
class Proof:
    """Values of the pieces and the most that a sheet of each source can be worth, both whole numbers."""

    values: tuple[int, ...]
    worths: tuple[int, ...]
    kind: str  # "area", "large pieces" or "patterns"


def least_cost(
    proof: Proof, demand: Sequence[int], costs: Sequence[Fraction | int], limits: Sequence[int | None]
) -> Fraction:
    """The least sum of costs, by scaling the values until no endless source is worth more than it costs.

    A limited source may be worth more; what it is worth beyond its cost is taken off for each there is
    (Lagrange; A. A. Farley, "A note on bounding a class of linear programming problems", Operations Research 38
    (1990) for the scaling).
    """
    total = sum(value * number for value, number in zip(proof.values, demand, strict=True))
    triples = list(zip(proof.worths, costs, limits, strict=True))
    ratios = [Fraction(cost) / worth for worth, cost, limit in triples if limit is None and worth]
    if not ratios:
        ratios = [Fraction(cost) / worth for worth, cost, _ in triples if worth and cost]
    if not ratios:
        return Fraction(0)
    scale = min(ratios)
    least = scale * total
    for worth, cost, limit in triples:
        if limit is not None:
            least -= limit * max(Fraction(0), scale * worth - cost)
    return max(Fraction(0), least)


def best_of(
    proofs: Sequence[Proof], demand: Sequence[int], costs: Sequence[Fraction | int], limits: Sequence[int | None]
) -> tuple[Fraction, Proof]:
    """The strongest bound and the proof it rests on; the first among equals, and the plainest proofs come first."""
    rough = [float(costs[place]) for place in range(len(costs))]

    def guess(proof: Proof) -> float:
        total = float(sum(value * number for value, number in zip(proof.values, demand, strict=True)))
        ratios = [c / w for w, c, limit in zip(proof.worths, rough, limits, strict=True) if w and limit is None]
        ratios = ratios or [c / w for w, c in zip(proof.worths, rough, strict=True) if w and c]
        scale = min(ratios, default=0.0)
        over = sum(
            limit * max(0.0, scale * w - c)
            for w, c, limit in zip(proof.worths, rough, limits, strict=True)
            if limit is not None
        )
        return scale * total - over

    ranked = sorted(range(len(proofs)), key=lambda place: -guess(proofs[place]))[:4]
    exact = [(least_cost(proofs[place], demand, costs, limits), -place) for place in ranked]
    least, place = max(exact)
    return least, proofs[-place]


def area_proof(pieces: Sequence[Piece], sources: Sequence[Source], kerf: int) -> Proof:
    """Every piece takes its area, and with it the kerf on two of its sides."""
    values = tuple((piece.along_units + kerf) * (piece.across_units + kerf) for piece in pieces)
    worths = tuple((source.along + kerf) * (source.across + kerf) for source in sources)
    return Proof(values, worths, "area")


def large_piece_proofs(
    pieces: Sequence[Piece], demand: Sequence[int], sources: Sequence[Source], kerf: int, *, at_most: int
) -> list[Proof]:
    """Bounds that see that large pieces cannot share a sheet: dual feasible functions of both sides.

    Only where all sheets have one size and no off-cut is longer or wider. at_most: pairs of thresholds tried.
    Source: S. P. Fekete, J. Schepers, "New classes of fast lower bounds for bin packing problems",
    Mathematical Programming 91 (2001), u(1) to u(3) and U(eps) on each side.
    """
    sheets = {(source.across, source.along) for source in sources if not source.is_off_cut}
    if len(sheets) != 1:
        return []
    across, along = sheets.pop()
    if any(source.across > across or source.along > along for source in sources):
        return []
    lays: list[set[tuple[int, int]]] = [set() for _ in pieces]
    for source in sources:
        for variant in source.variants:
            lays[variant.piece].add((variant.across + kerf, variant.along + kerf))
    across, along = across + kerf, along + kerf
    widths = sorted({lay[0] for lay in set().union(*lays)}) if any(lays) else []
    heights = sorted({lay[1] for lay in set().union(*lays)}) if any(lays) else []
    rules_x = _rules(widths, across)
    rules_y = _rules(heights, along)
    proofs = []
    for table_x, most_x in rules_x:
        for table_y, most_y in rules_y:
            values = tuple(min((table_x[w] * table_y[h] for w, h in lay), default=0) for lay in lays)
            if any(value and number for value, number in zip(values, demand, strict=True)):
                proofs.append(Proof(values, (most_x * most_y,) * len(sources), "large pieces"))
            if len(proofs) >= at_most:
                return proofs
    return proofs


def _rules(sizes: Sequence[int], side: int) -> list[tuple[dict[int, int], int]]:
    """Dual feasible functions of one side as tables, each with the most that one side can then hold."""
    rules = [(dict(zip(sizes, sizes, strict=True)), side)]
    for parts in (1, 2, 3):
        # u(k): (k+1)x whole keeps x, else floor((k+1)x)/k; all times k(k+1)side.
        table = {}
        for size in sizes:
            whole, rest = divmod((parts + 1) * size, side)
            table[size] = whole * (parts + 1) * side if rest else parts * (parts + 1) * size
        rules.append((table, parts * (parts + 1) * side))
    for threshold in sizes:
        if 2 * threshold <= side:
            # U(eps): beyond 1-eps counts as the whole side, below eps as nothing.
            table = {}
            for size in sizes:
                if size > side - threshold:
                    table[size] = side
                else:
                    table[size] = size if size >= threshold else 0
            rules.append((table, side))
    return rules

"""From a pattern to the sheet: every blank with its place, every cut with its number and setting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduling.cutting.pattern import Pattern, Source, Stack, Variant, kerf_of, needs_knife
from scheduling.cutting.problem import Cutter, Keep, Piece
from scheduling.cutting.result import Blank, Cut, Method, Runs, SheetLayout, Use


@dataclass(slots=True)
class _Chain:
    """Parts still to be cut one after the other off one blank."""

    blank: int
    sizes: list[int]
    places: list[int]


class _Bench:
    """One sheet being cut."""

    def __init__(self, cutter: Cutter, keep: Keep) -> None:
        self._cutter = cutter
        self._keep = keep
        self.blanks: list[Blank] = []
        self.cuts: list[Cut] = []

    def lay(self, x: int, y: int, across: int, along: int) -> int:
        """Add a blank that is a remainder until something else is made of it."""
        long, short = max(across, along), min(across, along)
        kept = long >= self._keep.long_units and short >= self._keep.short_units
        self.blanks.append(Blank(x, y, across, along, Use.OFF_CUT if kept else Use.WASTE))
        return len(self.blanks) - 1

    def trim_edge(self, blank: int, runs: Runs, trim: int, *, at_start: bool) -> int:
        """Cut `trim` off one edge and give the squared blank; the kerf lies inside the trim."""
        old = self.blanks[blank]
        size, length = _sides(old, runs)
        if not trim:
            return blank
        shift = trim if at_start else 0
        method = Method.KNIFE if needs_knife(self._cutter, length, size - trim) else Method.TRIMMER
        if runs is Runs.ACROSS:
            near = self.lay(old.x_units, old.y_units + shift, old.across_units, size - trim)
        else:
            near = self.lay(old.x_units + shift, old.y_units, size - trim, old.along_units)
        self._cut(0, runs, method, size - trim, length, blank, near, -1)
        return near

    def part(self, stage: int, runs: Runs, chains: Sequence[_Chain]) -> dict[int, int]:
        """Cut all chains of one stage, the largest setting first over all blanks, so that the fence moves least.

        Returns the blank made for each place named by the chains.
        """
        made: dict[int, int] = {}
        waiting = [chain for chain in chains if chain.sizes]
        while waiting:
            setting = max(chain.sizes[0] for chain in waiting)
            for chain in waiting:
                while chain.sizes and chain.sizes[0] == setting:
                    self._cut_next(stage, runs, chain, made)
            waiting = [chain for chain in waiting if chain.sizes]
        return made

    def _cut_next(self, stage: int, runs: Runs, chain: _Chain, made: dict[int, int]) -> None:
        part, place = chain.sizes.pop(0), chain.places.pop(0)
        old = self.blanks[chain.blank]
        size, length = _sides(old, runs)
        if size == part:
            made[place] = chain.blank
            return
        smaller = min(part, sum(chain.sizes)) if chain.sizes else part
        kerf = kerf_of(self._cutter, length, smaller)
        method = Method.KNIFE if needs_knife(self._cutter, length, smaller) else Method.TRIMMER
        rest = max(0, size - part - kerf)
        x, y = old.x_units, old.y_units
        if runs is Runs.ACROSS:
            near = self.lay(x, y, old.across_units, part)
            far = self.lay(x, y + part + kerf, old.across_units, rest) if rest else -1
        else:
            near = self.lay(x, y, part, old.along_units)
            far = self.lay(x + part + kerf, y, rest, old.along_units) if rest else -1
        self._cut(stage, runs, method, part, length, chain.blank, near, far)
        made[place] = near
        chain.blank = far

    def _cut(
        self, stage: int, runs: Runs, method: Method, setting: int, length: int, blank: int, near: int, far: int
    ) -> None:
        self.blanks[blank] = replace(self.blanks[blank], use=Use.CUT)
        self.cuts.append(Cut(len(self.cuts) + 1, stage, runs, method, setting, length, blank, near, far))


def _sides(blank: Blank, runs: Runs) -> tuple[int, int]:
    """The side that the cut parts, and the length of the cut."""
    if runs is Runs.ACROSS:
        return blank.along_units, blank.across_units
    return blank.across_units, blank.along_units


def lay_out(pattern: Pattern, source: Source, pieces: Sequence[Piece], cutter: Cutter, keep: Keep) -> SheetLayout:
    """Cut one sheet by the pattern.

    The edges are trimmed first; then all strips, then all stacks, then all pieces, the largest first, so that what
    is left over lies together at the far edge.
    """
    bench = _Bench(cutter, keep)
    trim = source.trim
    blank = bench.lay(
        0, 0, source.across + trim.left_units + trim.right_units, source.along + trim.head_units + trim.foot_units
    )
    blank = bench.trim_edge(blank, Runs.ACROSS, trim.head_units, at_start=True)
    blank = bench.trim_edge(blank, Runs.ALONG, trim.left_units, at_start=True)
    blank = bench.trim_edge(blank, Runs.ACROSS, trim.foot_units, at_start=False)
    blank = bench.trim_edge(blank, Runs.ALONG, trim.right_units, at_start=False)

    first, second = (Runs.ACROSS, Runs.ALONG) if pattern.rows else (Runs.ALONG, Runs.ACROSS)
    strips = sorted(pattern.strips, key=lambda strip: (-strip.size, [stack.size for stack in strip.stacks]))
    made = bench.part(1, first, [_Chain(blank, [strip.size for strip in strips], list(range(len(strips))))])

    stacks: list[Stack] = []
    chains = []
    for place, strip in enumerate(strips):
        ordered = sorted(strip.stacks, key=lambda stack: -stack.size)
        chains.append(
            _Chain(made[place], [stack.size for stack in ordered], list(range(len(stacks), len(stacks) + len(ordered))))
        )
        stacks.extend(ordered)
    made = bench.part(2, second, chains)

    laid: list[Variant] = []
    chains = []
    for place, stack in enumerate(stacks):
        items = [variant for variant, number in stack.items for _ in range(number)]
        items.sort(key=lambda variant: -_first_side(variant, rows=pattern.rows))
        sizes = [_first_side(variant, rows=pattern.rows) for variant in items]
        chains.append(_Chain(made[place], sizes, list(range(len(laid), len(laid) + len(items)))))
        laid.extend(items)
    made = bench.part(3, first, chains)

    chains = [
        _Chain(made[place], [variant.across if pattern.rows else variant.along], [place])
        for place, variant in enumerate(laid)
    ]
    made = bench.part(4, second, chains)
    for place, variant in enumerate(laid):
        bench.blanks[made[place]] = replace(
            bench.blanks[made[place]],
            use=Use.PIECE,
            piece_id=pieces[variant.piece].id,
            turned=variant.turned,
            over=pieces[variant.piece].face == "back" and not source.two_sided,
        )
    return SheetLayout(tuple(bench.blanks), tuple(bench.cuts))


def _first_side(variant: Variant, *, rows: bool) -> int:
    """The side that the first and third cuts part."""
    return variant.along if rows else variant.across

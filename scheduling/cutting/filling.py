"""The fullest sheet: the three-stage pattern that is worth most when every piece has a given value.

Strips, stacks and pieces are three knapsacks over reachable positions, one inside the other. Values are whole
numbers, so the worth of a sheet is exact and may stand in a proof.
Source: P. C. Gilmore, R. E. Gomory, "Multistage cutting stock problems of two and more dimensions",
Operations Research 13 (1965); cutting.md, "How".
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import TypeAlias

from scheduling.cutting.knapsacks import add_item, fill_free, fill_held
from scheduling.cutting.pattern import Pattern, Source, Stack, Strip, Variant, kerf_of, without_surplus
from scheduling.cutting.positions import reachable, steps_back
from scheduling.cutting.problem import Cutter

_PLAIN_POSITIONS = 260  # keeps one filling of a workshop's sheet within some milliseconds
_HELD_STRIPS = 24  # heights tried when nothing may be cut beyond the need


_Takes: TypeAlias = list[list[int] | None]


class SheetFiller:
    """Fills one source in one first-cut direction; made once, used for many values."""

    def __init__(
        self, place: int, source: Source, cutter: Cutter, demand: Sequence[int], *, rows: bool, at_most: int = 0
    ) -> None:
        self.place = place
        self.rows = rows
        self.first = source.along if rows else source.across
        self.second = source.across if rows else source.along
        self._variants = sorted(source.variants, key=lambda v: (self._sides(v)[1], v.turned, v.piece))
        # A reel has one stack, as wide as itself; its strips need no looking for.
        self._line = all(self._sides(v)[1] == self.second for v in self._variants)
        parts = [side for v in self._variants for side in (v.across, v.along)]
        strip_kerfs = {kerf_of(cutter, self.second, part) for part in (min(parts), max(parts))}
        self.strip_kerf = max(strip_kerfs)
        # Later cuts are of many lengths; the widest kerf that may occur keeps every pattern possible.
        kerfs = {
            kerf_of(cutter, length, part)
            for length in (0, self.first, self.second)
            for part in (min(parts), max(parts))
        }
        self.kerf = max(kerfs)
        cap = at_most or _PLAIN_POSITIONS
        sizes = [self._sides(v) for v in self._variants]
        most = [demand[v.piece] for v in self._variants]
        kerf = self.kerf
        self.heights, whole = reachable(
            [(size[0] + kerf, n) for size, n in zip(sizes, most, strict=True)], self.first + kerf, at_most=cap
        )
        self.widths, whole_widths = reachable(
            [(size[1] + kerf, n) for size, n in zip(sizes, most, strict=True)], self.second + kerf, at_most=cap
        )
        if self.strip_kerf == kerf:
            self._places, whole_places = self.heights, True
        else:
            steps = [(height - kerf + self.strip_kerf, self.first) for height in self.heights[1:]]
            self._places, whole_places = reachable(steps, self.first + self.strip_kerf, at_most=cap)
        # Whether every useful position is there, so that the worth found bounds every pattern of this kind.
        self.exact = whole and whole_widths and whole_places and len(kerfs) == len(strip_kerfs) == 1
        self._back_heights = [steps_back(self.heights, size[0] + kerf) for size in sizes]
        self._stack_widths = sorted({size[1] for size in sizes})
        self._back_widths = {width: steps_back(self.widths, width + kerf) for width in self._stack_widths}
        self._back_places: dict[int, list[int]] = {}

    @property
    def effort(self) -> int:
        """About how many elementary steps one filling takes."""
        if self._line:
            return len(self.heights) * len(self._variants)
        across = len(self._variants) + len(self.widths) * len(self._stack_widths)
        return len(self.heights) * (across + len(self.heights))

    def _sides(self, variant: Variant) -> tuple[int, int]:
        return (variant.along, variant.across) if self.rows else (variant.across, variant.along)

    def fullest(
        self, values: Sequence[int], most: Sequence[int], *, held: bool = False, room: int | None = None
    ) -> tuple[int, tuple[Strip, ...]]:
        """The worth of the best sheet and its strips.

        values: of one piece, by place; most: pieces at most, by place.
        held: hold strips and stacks, too, to `most` (a good pattern for what is left to cut); otherwise only the
            pieces within a stack are held, and the worth is an upper bound for every pattern if `exact`.
        room: how much of the side that the first cuts part is free; the whole of it if not given.
        """
        layers, takes = self._stacks(values, most)
        best_strips: list[tuple[int, int, list[int]]] = []  # (worth, place in heights, stack picks)
        offers: list[list[tuple[int, int]]] = []
        top = 0
        widths = [width for width in self._stack_widths if width in layers]
        free = self.first if room is None else room
        end = bisect_right(self.heights, free + self.kerf)
        for at in range(max(1, end - 1) if self._line else 1, end):
            options = []
            worth = 0
            for width in widths:
                row = layers[width]
                if row[at] > worth:
                    worth = row[at]
                    options.append((width, worth))
            if not options or (not self._line and all(layers[width][at - 1] == value for width, value in options)):
                continue
            value, picks = self._strip(options, None, most)
            if held or value > top:
                top = value
                best_strips.append((value, at, picks))
                offers.append(options)
        if held:
            best_strips = self._held_strips(best_strips, offers, takes, most)
        if not best_strips:
            return 0, ()
        worth, chosen = self._sheet(
            best_strips, takes, most, bisect_right(self._places, free + self.strip_kerf), held=held
        )
        strips = [strip for at, picks in chosen for strip in self._build(takes, at, picks)]
        return worth, tuple(strips)

    def _held_strips(
        self,
        strips: list[tuple[int, int, list[int]]],
        offers: list[list[tuple[int, int]]],
        takes: _Takes,
        most: Sequence[int],
    ) -> list[tuple[int, int, list[int]]]:
        """The densest of the strips, filled anew without more of anything than `most`."""
        ranked = sorted(range(len(strips)), key=lambda which: -strips[which][0] / self.heights[strips[which][1]])
        kept = []
        for which in sorted(ranked[:_HELD_STRIPS]):
            at = strips[which][1]
            contents = [self._stack_counts(takes, width, at) for width, _ in offers[which]]
            value, picks = self._strip(offers[which], contents, most)
            if picks:
                kept.append((value, at, picks))
        return kept

    def _stacks(self, values: Sequence[int], most: Sequence[int]) -> tuple[dict[int, list[int]], _Takes]:
        """Best worth of a stack for each width by height, and how many of each variant it takes."""
        size = len(self.heights)
        row = [0] * size
        layers: dict[int, list[int]] = {}
        takes: _Takes = []
        for at, variant in enumerate(self._variants):
            value, limit = values[variant.piece], most[variant.piece]
            if value <= 0 or limit <= 0:
                takes.append(None)
                continue
            row, taken = add_item(row, self._back_heights[at], value, limit)
            takes.append(taken)
            layers[self._sides(variant)[1]] = row
        return layers, takes

    def _strip(
        self, options: list[tuple[int, int]], contents: list[dict[int, int]] | None, most: Sequence[int]
    ) -> tuple[int, list[int]]:
        """The best strip of stacks given as (width, worth); the widths picked."""
        backs = [(self._back_widths[width], worth) for width, worth in options]
        if contents is None:
            value, picks = fill_free(len(self.widths), backs)
        else:
            value, picks = fill_held(len(self.widths), backs, [_times(counts, most) for counts in contents])
        return value, [options[which][0] for which in picks]

    def _sheet(
        self, strips: list[tuple[int, int, list[int]]], takes: _Takes, most: Sequence[int], size: int, *, held: bool
    ) -> tuple[int, list[tuple[int, list[int]]]]:
        """The best run of strips down the sheet."""
        backs = [(self._back_of(at), worth) for worth, at, _ in strips]
        if held:
            limits = []
            for _, at, picks in strips:
                counts: dict[int, int] = {}
                for width in picks:
                    for piece, number in self._stack_counts(takes, width, at).items():
                        counts[piece] = counts.get(piece, 0) + number
                limits.append(_times(counts, most))
            value, chosen = fill_held(size, backs, limits)
        else:
            value, chosen = fill_free(size, backs)
        return value, [strips[which][1:] for which in chosen]

    def _back_of(self, at: int) -> list[int]:
        back = self._back_places.get(at)
        if back is None:
            back = self._back_places[at] = steps_back(self._places, self.heights[at] - self.kerf + self.strip_kerf)
        return back

    def _stack_items(self, takes: _Takes, width: int, at: int) -> list[tuple[Variant, int]]:
        items = []
        last = bisect_right(self._variants, width, key=lambda v: self._sides(v)[1])
        for which in range(last - 1, -1, -1):
            taken = takes[which]
            if taken is not None and taken[at]:
                number = taken[at]
                items.append((self._variants[which], number))
                for _ in range(number):
                    at = self._back_heights[which][at]
        return items

    def _stack_counts(self, takes: _Takes, width: int, at: int) -> dict[int, int]:
        counts: dict[int, int] = {}
        for variant, number in self._stack_items(takes, width, at):
            counts[variant.piece] = counts.get(variant.piece, 0) + number
        return counts

    def _build(self, takes: _Takes, at: int, picks: list[int]) -> list[Strip]:
        stacks = [self._stack_items(takes, width, at) for width in picks]
        if self.strip_kerf > self.kerf:
            return [strip_of(stacks, self.kerf, rows=self.rows)]
        return strips_of(stacks, self.kerf, rows=self.rows)


def strips_of(stacks: Sequence[Sequence[tuple[Variant, int]]], kerf: int, *, rows: bool) -> list[Strip]:
    """Strips of these stacks: one for each row where all stacks have the same rows, so that sheets stop early well."""
    columns = []
    for items in stacks:
        column = [variant for variant, number in items for _ in range(number)]
        columns.append(sorted(column, key=lambda v: (-(v.along if rows else v.across), v)))
    heights = {tuple(v.along if rows else v.across for v in column) for column in columns}
    if len(heights) > 1 or len(columns[0]) == 1:
        return [strip_of(stacks, kerf, rows=rows)]
    return [strip_of([[(variant, 1)] for variant in row], kerf, rows=rows) for row in zip(*columns, strict=True)]


def strip_of(stacks: Sequence[Sequence[tuple[Variant, int]]], kerf: int, *, rows: bool) -> Strip:
    """A strip as tight as its stacks allow."""
    tight = []
    height = 0
    for items in stacks:
        wide = max(v.across if rows else v.along for v, _ in items)
        high = sum(((v.along if rows else v.across) + kerf) * n for v, n in items) - kerf
        height = max(height, high)
        tight.append(Stack(wide, tuple(sorted(items))))
    return Strip(height, tuple(sorted(tight, reverse=True)))


def _times(counts: dict[int, int], most: Sequence[int]) -> int:
    """How often a part with these pieces may occur."""
    return min(most[piece] // number for piece, number in counts.items())


def fill_for_need(filler: SheetFiller, values: Sequence[int], need: Sequence[int]) -> Pattern:
    """A good sheet that holds no more of any piece than is needed."""
    need = list(need)
    strips: list[Strip] = []
    room = filler.first
    for _ in range(3):
        _, found = filler.fullest(values, need, held=True, room=room)
        counts = Pattern(filler.place, filler.rows, found).counts(len(need))
        surplus = [max(0, have - want) for have, want in zip(counts, need, strict=True)]
        again = any(surplus)
        kept = without_surplus(Pattern(filler.place, filler.rows, found), surplus) if again else None
        for strip in kept.strips if kept else found:
            strips.append(strip)
            room -= strip.size + filler.strip_kerf
            for stack in strip.stacks:
                for variant, number in stack.items:
                    need[variant.piece] -= number
        if not again or room <= 0 or not any(need):
            break
    return Pattern(filler.place, filler.rows, tuple(strips))

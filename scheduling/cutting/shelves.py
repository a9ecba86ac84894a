"""A sheet filled at once, piece by piece: for long lists, where the fullest sheet takes too long to find."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from scheduling.cutting.filling import strip_of
from scheduling.cutting.pattern import Pattern, Strip, Variant

Items = list[tuple[Variant, int]]


class Shelves:
    """Fills one source in one first-cut direction: strips as high as their first piece, stacks as wide as theirs."""

    def __init__(
        self, place: int, variants: Sequence[Variant], sides: tuple[int, int], kerf: int, strip_kerf: int, *, rows: bool
    ) -> None:
        """sides: the side that the first cuts part, and the other."""
        self.place = place
        self.rows = rows
        self._sides = sides
        self._kerf = kerf
        self._strip_kerf = strip_kerf
        self._laid = [(v.along, v.across, v) if rows else (v.across, v.along, v) for v in variants]

    def fill(self, need: Sequence[int], liking: Callable[[Variant], float]) -> Pattern:
        """A sheet of pieces still needed; what is liked most opens strips and stacks."""
        left = list(need)
        laid = sorted((one for one in self._laid if left[one[2].piece]), key=lambda one: (-liking(one[2]), one[2]))
        strips: list[Strip] = []
        room = self._sides[0]
        while True:
            opener = next((one for one in laid if one[0] <= room and left[one[2].piece]), None)
            if opener is None:
                break
            height = opener[0]
            stacks = self._strip(opener, height, laid, left)
            strips.append(strip_of(stacks, self._kerf, rows=self.rows))
            room -= height + self._strip_kerf
        return Pattern(self.place, self.rows, tuple(strips))

    def _strip(
        self, opener: tuple[int, int, Variant], height: int, laid: list[tuple[int, int, Variant]], left: list[int]
    ) -> list[Items]:
        stacks = []
        room = self._sides[1]
        first: tuple[int, int, Variant] | None = opener
        while first is not None:
            width = first[1]
            stacks.append(self._stack(first, height, laid, left))
            room -= width + self._kerf
            first = self._fitting(height, room, laid, left)
        return stacks

    def _stack(
        self, first: tuple[int, int, Variant], height: int, laid: list[tuple[int, int, Variant]], left: list[int]
    ) -> Items:
        width = first[1]
        items: Items = []
        piece: tuple[int, int, Variant] | None = first
        while piece is not None:
            high, _, variant = piece
            number = min(left[variant.piece], (height + self._kerf) // (high + self._kerf))
            left[variant.piece] -= number
            height -= number * (high + self._kerf)
            items.append((variant, number))
            piece = self._fitting(height, width, laid, left)
        return items

    def _fitting(
        self, height: int, width: int, laid: list[tuple[int, int, Variant]], left: list[int]
    ) -> tuple[int, int, Variant] | None:
        """The largest piece that still fits; the most liked among equals."""
        best = None
        most = 0
        for one in laid:
            if one[0] <= height and one[1] <= width and left[one[2].piece] and one[0] * one[1] > most:
                best, most = one, one[0] * one[1]
        return best

"""A pattern in short form, and the sources it may be cut from: what the search works with."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from scheduling.cutting.problem import CutProblem, Cutter, Grain, OffCut, Piece, Stock, Trim


class Variant(NamedTuple):
    """One way to lay a piece: its place in the problem's list and its sides on the sheet."""

    piece: int
    across: int
    along: int
    turned: bool


class Stack(NamedTuple):
    """A part of a strip; `items` are (variant, count), laid one after the other."""

    size: int
    items: tuple[tuple[Variant, int], ...]


class Strip(NamedTuple):
    """A strip across the whole sheet; its stacks stand side by side."""

    size: int
    stacks: tuple[Stack, ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """How one sheet is cut.

    rows: the first cuts run across the grain, so the strips follow each other along it.
    """

    source: int
    rows: bool
    strips: tuple[Strip, ...]

    def counts(self, pieces: int) -> tuple[int, ...]:
        """Pieces by their place in the problem's list."""
        counts = [0] * pieces
        for strip in self.strips:
            for stack in strip.stacks:
                for variant, number in stack.items:
                    counts[variant.piece] += number
        return tuple(counts)


@dataclass(frozen=True, slots=True)
class Source:
    """Sheets or off-cuts of one size, ready to plan with; sides are what trimming leaves.

    limit: how many there are or may be bought, None without end.
    weight: what using one costs the search; money per sheet counts before sheets from stock, off-cuts last.
    price: its share of a pack in minor units; 0 for off-cuts and where only sheets on hand are meant.
    value: what one is worth beside the other sizes, on hand or not; 0 for off-cuts.
    """

    id: str
    across: int
    along: int
    trim: Trim
    grain: Grain
    one_way: bool
    is_off_cut: bool
    limit: int | None
    weight: int
    price: Fraction
    value: int
    variants: tuple[Variant, ...]
    two_sided: bool = True

    @property
    def area(self) -> int:
        """Square units left after trimming."""
        return self.across * self.along


def variants_on(pieces: Iterable[Piece], stock: Stock | OffCut, across: int, along: int) -> tuple[Variant, ...]:
    """Every lawful way to lay each piece on a sheet with these sides free.

    Source: cutting.md, rules of the bench: a quarter turn is allowed to neither grain nor one-way print.
    """
    found = []
    for place, piece in enumerate(pieces):
        if not piece.count:
            continue
        if piece.across_units <= across and piece.along_units <= along:
            found.append(Variant(place, piece.across_units, piece.along_units, turned=False))
        square = piece.along_units == piece.across_units
        if may_turn(piece, stock) and not square and piece.along_units <= across and piece.across_units <= along:
            found.append(Variant(place, piece.along_units, piece.across_units, turned=True))
    return tuple(found)


def may_turn(piece: Piece, stock: Stock | OffCut) -> bool:
    """Whether the piece may lie a quarter turn from its own grain on this stock."""
    grain_allows = not piece.grain_bound or stock.grain is Grain.NONE
    return grain_allows and not (piece.one_way and stock.one_way)


def sources_of(problem: CutProblem) -> tuple[Source, ...]:
    """The stock and off-cuts with their weights, sheets first.

    A sheet to buy weighs a thousand of its price against one of its price from stock, and all off-cuts
    together less than any sheet, so that the least sum of weights is the best plan by cutting.md ("what is best").
    One size of sheet alone needs no such split: fewest sheets are then fewest packs.
    """
    shares = [Fraction(stock.price_of_pack, stock.pack) for stock in problem.stocks]
    if not all(shares):
        shares = [Fraction(stock.along_units * stock.across_units) for stock in problem.stocks]
    scale = Fraction(10**6) / max(shares) if shares else Fraction(1)
    prices = [max(1, round(share * scale)) for share in shares]
    split = len(problem.stocks) > 1 and any(stock.on_hand for stock in problem.stocks)
    sources: list[Source] = []
    for stock, price in zip(problem.stocks, prices, strict=True):
        limit = None if stock.may_buy is None else stock.may_buy
        share = Fraction(stock.price_of_pack, stock.pack)
        if not split:
            sources.append(_sheet(problem, stock, None if limit is None else limit + stock.on_hand, price, share))
            continue
        if stock.on_hand:
            sources.append(_sheet(problem, stock, stock.on_hand, price, Fraction(0)))
        if limit is None or limit > 0:
            sources.append(_sheet(problem, stock, limit, 1000 * price, share))
    total_area = sum(off.along_units * off.across_units * off.count for off in problem.off_cuts) or 1
    least = min((source.weight for source in sources), default=10**6)
    for off_cut in problem.off_cuts:
        if not off_cut.count:
            continue
        area = off_cut.along_units * off_cut.across_units
        weight = max(1, least * area // (2 * total_area * 10))
        sources.append(
            Source(
                off_cut.id,
                off_cut.across_units,
                off_cut.along_units,
                Trim(),
                off_cut.grain,
                off_cut.one_way,
                is_off_cut=True,
                limit=off_cut.count,
                weight=weight,
                price=Fraction(0),
                value=0,
                variants=variants_on(problem.pieces, off_cut, off_cut.across_units, off_cut.along_units),
                two_sided=off_cut.two_sided,
            )
        )
    return tuple(source for source in sources if source.variants)


def _sheet(problem: CutProblem, stock: Stock, limit: int | None, weight: int, price: Fraction) -> Source:
    trim = stock.trim
    across = stock.across_units - trim.left_units - trim.right_units
    along = stock.along_units - trim.head_units - trim.foot_units
    variants = variants_on(problem.pieces, stock, across, along)
    return Source(
        stock.id,
        across,
        along,
        trim,
        stock.grain,
        stock.one_way,
        is_off_cut=False,
        limit=limit,
        weight=weight,
        price=price,
        value=weight // 1000 if weight > 10**6 else weight,
        variants=() if limit == 0 else variants,
        two_sided=stock.two_sided,
    )


def on_grid(source: Source, kerf: int, cells: int) -> Source | None:
    """The source in cells of a grid, sizes rounded down and kerfs taken into them; None where a piece is too small.

    Whatever can be cut from the source can be laid on the grid, so that the fullest sheet there is worth no less.
    kerf: the least of the kerfs; cells: of each side.
    """
    across, along = source.across + kerf, source.along + kerf
    cell_across, cell_along = -(-across // cells), -(-along // cells)
    variants = tuple(
        Variant(one.piece, (one.across + kerf) // cell_across, (one.along + kerf) // cell_along, one.turned)
        for one in source.variants
    )
    if not all(one.across and one.along for one in variants):
        return None
    return replace(source, across=across // cell_across, along=along // cell_along, variants=variants)


def kerf_of(cutter: Cutter, length: int, part: int) -> int:
    """The width lost to a cut of this length that leaves a part of this size."""
    return cutter.knife_kerf_units if needs_knife(cutter, length, part) else cutter.kerf_units


def needs_knife(cutter: Cutter, length: int, part: int) -> bool:
    """Whether the trimmer cannot make this cut: too long for it, or the part too narrow to hold."""
    longest = cutter.longest_cut_units
    return part < cutter.smallest_strip_units or (longest is not None and length > longest)


def without_surplus(pattern: Pattern, surplus: list[int]) -> Pattern:
    """The pattern with pieces left out that nobody needs: whole strips first, then stacks, then single pieces.

    surplus: pieces to leave out at most, by place; what is left out is taken off it.
    Strips and stacks keep their sizes, so the fence settings stay as they are.
    """
    strips = list(pattern.strips)
    for place in sorted(range(len(strips)), key=lambda at: -strips[at].size):
        if _spend(surplus, [item for stack in strips[place].stacks for item in stack.items]):
            strips[place] = Strip(0, ())
    kept: list[Strip] = []
    for strip in strips:
        stacks = []
        for stack in sorted(strip.stacks, key=lambda one: -one.size):
            if not _spend(surplus, stack.items):
                items = tuple((v, n - _take(surplus, v.piece, n)) for v, n in stack.items)
                stacks.append(Stack(stack.size, tuple(item for item in items if item[1])))
        stacks = [stack for stack in stacks if stack.items]
        if stacks:
            kept.append(Strip(strip.size, tuple(stacks)))
    return Pattern(pattern.source, pattern.rows, tuple(kept))


def _spend(surplus: list[int], items: Iterable[tuple[Variant, int]]) -> bool:
    """Take all the items off the surplus, or none of them."""
    need: dict[int, int] = {}
    for variant, number in items:
        need[variant.piece] = need.get(variant.piece, 0) + number
    if not all(surplus[piece] >= number for piece, number in need.items()):
        return False
    for piece, number in need.items():
        surplus[piece] -= number
    return True


def _take(surplus: list[int], piece: int, most: int) -> int:
    taken = min(surplus[piece], most)
    surplus[piece] -= taken
    return taken

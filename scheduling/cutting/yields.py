"""Yield: how many pieces of one kind a sheet, a row of cloth or a reel gives."""

from __future__ import annotations

from scheduling.cutting.filling import SheetFiller
from scheduling.cutting.pattern import sources_of
from scheduling.cutting.problem import CutProblem, Cutter, Piece, Stock


def straight_yield(piece: Piece, stock: Stock, cutter: Cutter | None = None) -> int:
    """Pieces of a sheet in straight rows, the better way round where turning is allowed.

    Source: job.md 3: floor((side - 2 trim + kerf) / (piece + kerf)) each way.
    """
    kerf = (cutter or Cutter()).kerf_units
    sources = sources_of(CutProblem((_one(piece),), (stock,), cutter=cutter or Cutter()))
    return max(
        (
            ((source.along + kerf) // (variant.along + kerf)) * ((source.across + kerf) // (variant.across + kerf))
            for source in sources
            for variant in source.variants
        ),
        default=0,
    )


def best_yield(piece: Piece, stock: Stock, cutter: Cutter | None = None) -> int:
    """Pieces of a sheet cut in up to three stages, turned and unturned rows mixed where turning is allowed."""
    cutter = cutter or Cutter()
    sources = sources_of(CutProblem((_one(piece),), (stock,), cutter=cutter))
    many = (stock.along_units // piece.along_units + 1) * (stock.across_units // piece.across_units + 1)
    return max(
        (
            SheetFiller(place, source, cutter, (many,), rows=rows).fullest((1,), (many,))[0]
            for place, source in enumerate(sources)
            for rows in (True, False)
        ),
        default=0,
    )


def row_yield(across_units: int, width_units: int, kerf_units: int = 0) -> int:
    """Pieces side by side in one row of a roll."""
    return (width_units + kerf_units) // (across_units + kerf_units)


def reel_yield(piece_units: int, reel_units: int) -> int:
    """Whole pieces of a reel; never total length by piece."""
    return reel_units // piece_units


def _one(piece: Piece) -> Piece:
    return Piece(piece.id, piece.along_units, piece.across_units, 1, piece.grain_bound, piece.one_way)

"""What cannot be cut, said with the mend."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scheduling.cutting.pattern import may_turn
from scheduling.cutting.problem import CutProblem, OffCut, Piece, Stock
from scheduling.cutting.sizes import size_text
from scheduling.errors import ConflictError, InvalidError


class _Room(NamedTuple):
    """What one source offers a piece, trimmed and untrimmed."""

    source: Stock | OffCut
    along: int
    across: int
    whole_along: int
    whole_across: int


def refuse_what_fits_nowhere(problem: CutProblem) -> None:
    """Check every piece against every sheet.

    Raises InvalidError: a piece is larger than what trimming leaves of every sheet, either way it may lie; the hint
        names the mend, the smallest change first: less trim, turning, another size.
    """
    rooms = [*map(_room, problem.stocks), *map(_room, problem.off_cuts)]
    for piece in problem.pieces:
        if piece.count and not any(_fits(piece, room) for room in rooms):
            raise InvalidError(
                f"{piece.id}, {_size(piece, problem.unit)} along the grain, fits on no sheet.",
                hint=_mend(piece, rooms, problem.unit),
                field="pieces",
            )


def refuse_for_want_of_sheets(problem: CutProblem, left: Sequence[int], more: int | None) -> ConflictError:
    """The refusal when sheets run out. left: pieces not cut, by place; more: sheets that would be enough."""
    names = [
        f"{number} of {piece.count} {piece.id}"
        for piece, number in zip(problem.pieces, left, strict=True)
        if number and piece.count
    ]
    hint = "Allow more sheets to be bought, or make fewer kits."
    if more is not None:
        sheets = "1 more sheet" if more == 1 else f"{more} more sheets"
        hint = f"Allow {sheets} to be bought, or make fewer kits."
    return ConflictError(f"No plan was found that cuts {', '.join(names)} from the sheets there are.", hint=hint)


def _room(source: Stock | OffCut) -> _Room:
    along, across = source.along_units, source.across_units
    if isinstance(source, OffCut):
        return _Room(source, along, across, along, across)
    trim = source.trim
    return _Room(
        source,
        along - trim.head_units - trim.foot_units,
        across - trim.left_units - trim.right_units,
        along,
        across,
    )


def _fits(piece: Piece, room: _Room) -> bool:
    if piece.along_units <= room.along and piece.across_units <= room.across:
        return True
    turned = piece.along_units <= room.across and piece.across_units <= room.along
    return turned and may_turn(piece, room.source)


def _mend(piece: Piece, rooms: Sequence[_Room], unit: str) -> str:
    for room in rooms:
        if piece.along_units <= room.whole_along and piece.across_units <= room.whole_across:
            return f"It would fit on {room.source.id} untrimmed: trim less there."
    for room in rooms:
        if piece.along_units <= room.across and piece.across_units <= room.along:
            rule = "grain" if piece.grain_bound else "pattern"
            return (
                f"It would fit on {room.source.id} only across the {rule}: "
                f"free its {rule}, or use stock of the other grain."
            )
    return f"Use stock of at least {_size(piece, unit)} after trimming, or make the piece smaller."


def _size(piece: Piece, unit: str) -> str:
    along, across = size_text(piece.along_units, unit), size_text(piece.across_units, unit)
    return f"{along.removesuffix(' ' + unit)} x {across}"

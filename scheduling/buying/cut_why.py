"""Why so many sheets or so much of a length: the sum behind a cut plan in plain sentences."""

from __future__ import annotations

from dataclasses import replace

from scheduling.cutting.lines import ReelPlan, RollPlan
from scheduling.cutting.problem import CutProblem, Piece
from scheduling.cutting.result import CutAnswer, CutPlan
from scheduling.cutting.sizes import size_text
from scheduling.cutting.yields import best_yield


def why_sheets(problem: CutProblem, answer: CutAnswer) -> tuple[str, ...]:
    """The sum: pieces and how many a sheet gives, what grain costs, off-cuts used, the bound, and what is left."""
    plan = answer.best
    said = [_of_piece(problem, piece) for piece in problem.pieces]
    if plan.off_cuts_used:
        number = sum(count for _, count in plan.off_cuts_used)
        said.append(f"{_many(number, 'off-cut')} on hand {'saves' if number == 1 else 'save'} whole sheets.")
    said.append(f"{answer.bound.reason[0].upper()}{answer.bound.reason[1:].rstrip('.')}.")
    if plan.proved and answer.bound.any_cutting and plan.sheets > 1:
        said.append(f"No way of cutting does it in {plan.sheets - 1}.")
    elif not plan.proved:
        said.append(f"The least that could be is {answer.bound.sheets}; no plan that good was found.")
    if plan.spare:
        said.append(f"Cut beyond the need: {', '.join(f'{count} {name}' for name, count in plan.spare)}.")
    return (*said, *plan.warnings)


def why_rows(answer: RollPlan, unit: str) -> str:
    """How much of a roll's length the rows take, and the least that any mix of rows could."""
    return (
        f"Rows of {size_text(answer.length_units, unit)} in all; no mix of rows is shorter than"
        f" {size_text(answer.least_units, unit)}."
    )


def why_lengths(answer: ReelPlan | RollPlan, unit: str) -> tuple[str, ...]:
    """The sum of a reel or roll: the rows of a roll, what comes off which length, what is left, what is to buy."""
    said = [why_rows(answer, unit)] if isinstance(answer, RollPlan) else []
    plan = answer.lengths if isinstance(answer, RollPlan) else answer
    for cut in plan.cuts:
        what = ", ".join(f"{count} x {_row_or_piece(answer, name, unit)}" for name, count in cut.cuts)
        where = f"begun one {cut.reel + 1}" if cut.reel is not None else "a new one" if cut.reels == 1 else "new ones"
        said.append(f"Off {where}{f', {cut.reels} alike' if cut.reels > 1 else ''}: {what};"
                    f" {size_text(cut.left_units, unit)} left.")  # fmt: skip
    if plan.to_buy:
        said.append(f"{plan.to_buy} to buy; no way of cutting does with fewer than {plan.least_to_buy}.")
    return tuple(said)


def _row_or_piece(answer: ReelPlan | RollPlan, name: str, unit: str) -> str:
    """The rows of a roll are named by their counts of length: `row 9144000`."""
    return f"row of {size_text(int(name.split()[1]), unit)}" if isinstance(answer, RollPlan) else name


def _of_piece(problem: CutProblem, piece: Piece) -> str:
    stock = problem.stocks[0]
    fullest = best_yield(replace(piece, count=1), stock, problem.cutter)
    size = f"{size_text(piece.along_units, problem.unit)} x {size_text(piece.across_units, problem.unit)}"
    text = f"{piece.count} {piece.id}, {size}: a sheet gives {fullest}"
    if piece.grain_bound or piece.one_way:
        free = best_yield(replace(piece, count=1, grain_bound=False, one_way=False), stock, problem.cutter)
        if free > fullest:
            text += f" ({free} if {'its pattern' if piece.one_way else 'grain'} did not matter)"
    return f"{text}."


def choice_text(plan: CutPlan) -> str:
    """One of the plans to choose between: "12 sheets, 3 set-ups, 41 cuts"."""
    parts = [_many(plan.sheets, "sheet"), _many(plan.set_ups.patterns, "set-up"), _many(plan.set_ups.cuts, "cut")]
    if plan.off_cuts_used:
        parts.insert(1, _many(sum(count for _, count in plan.off_cuts_used), "off-cut"))
    return ", ".join(parts)


def _many(number: int, word: str) -> str:
    return f"{number} {word if number == 1 else word + 's'}"

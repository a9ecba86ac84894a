"""The linear and integer programs of the cut planner, solved by HiGHS.

Imported only where the plain search has not met its bound. One thread, a fixed seed and limits by nodes keep every
answer the same on every machine (decisions.md 22).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import highspy
import numpy as np


class Column(NamedTuple):
    """One sheet of a pattern: what it weighs, its pieces, and the row of its source's limit, if it has one."""

    weight: int
    counts: tuple[int, ...]
    limit_row: int | None


class _QuietModel(highspy.Highs):
    """A model that prints nothing: the flag must be down before the constructor does anything that is logged."""

    def enableCallbacks(self) -> None:  # noqa: N802 - the solver's name
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]  # not annotated by the solver


def _model() -> _QuietModel:
    model = _QuietModel()  # type: ignore[no-untyped-call]  # its constructor is not annotated
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 0)
    return model


class LinearMaster:
    """The linear program of column generation; columns are added between solves."""

    def __init__(self, demand: Sequence[int], limits: Sequence[int], scale: float) -> None:
        """limits: of the limited sources; scale: what weights are divided by."""
        self._model = _model()
        self._pieces = len(demand)
        self._scale = scale
        nothing = np.array([], dtype=np.int32)
        for number in demand:
            self._model.addRow(float(number), highspy.kHighsInf, 0, nothing, nothing.astype(np.float64))
        for number in limits:
            self._model.addRow(-highspy.kHighsInf, float(number), 0, nothing, nothing.astype(np.float64))
        for row in range(self._pieces):  # dear stand-ins keep the program solvable
            self._add(1e5, [row], [1.0])
        self.columns = 0

    def _add(self, cost: float, rows: Sequence[int], entries: Sequence[float]) -> None:
        index = np.array(rows, dtype=np.int32)
        self._model.addCol(cost, 0.0, highspy.kHighsInf, len(index), index, np.array(entries, dtype=np.float64))

    def add(self, column: Column) -> None:
        """One more column."""
        rows = [row for row, number in enumerate(column.counts) if number]
        entries = [float(column.counts[row]) for row in rows]
        if column.limit_row is not None:
            rows.append(self._pieces + column.limit_row)
            entries.append(1.0)
        self._add(column.weight / self._scale, rows, entries)
        self.columns += 1

    def need(self, demand: Sequence[int], limits: Sequence[int]) -> None:
        """Set the right-hand sides anew."""
        for row, number in enumerate(demand):
            self._model.changeRowBounds(row, float(number), highspy.kHighsInf)
        for row, number in enumerate(limits):
            self._model.changeRowBounds(self._pieces + row, -highspy.kHighsInf, float(number))

    def solve(self) -> tuple[list[float], list[float]]:
        """How often each column is used, and the weight of one more of each row."""
        self._model.run()
        solution = self._model.getSolution()
        often = list(solution.col_value)[self._pieces :]
        return often, [value * self._scale for value in solution.row_dual]


def least_weight(
    columns: Sequence[Column], demand: Sequence[int], limits: Sequence[int], *, step: int, nodes: int
) -> list[int] | None:
    """Whole numbers of the columns of the least weight; None where none is found within the nodes.

    step: weights of whole sheets are multiples of it, so a gap below it is a proof for these columns.
    """
    model = _integer_model(columns, demand, limits, scale=step)
    model.setOptionValue("mip_abs_gap", 0.999)
    model.setOptionValue("mip_rel_gap", 0.0)
    return _solve_whole(model, len(columns), nodes)


class Packs(NamedTuple):
    """How one size of sheet is sold: sheets a pack, its price, sheets on hand, and the columns cut from it."""

    sheets: int
    price: int
    on_hand: int
    columns: tuple[int, ...]


def least_money(
    columns: Sequence[Column],
    values: Sequence[int],
    packs: Sequence[Packs],
    demand: Sequence[int],
    limits: Sequence[int],
    *,
    nodes: int,
) -> list[int] | None:
    """Whole numbers of the columns that cost least in whole packs, then use sheets of the least value.

    values: of each column's sheet; one in a hundred of its share is put beside the price of packs.
    """
    model = _integer_model(columns, demand, limits, scale=1)
    dearest = max((line.price / line.sheets for line in packs), default=0.0) or 1.0
    unit = dearest / max(*values, 1)
    for place, value in enumerate(values):
        model.changeColCost(place, 0.01 * unit * value)
    for which, line in enumerate(packs):
        nothing = np.array([], dtype=np.int32)
        model.addCol(float(line.price), 0.0, highspy.kHighsInf, 0, nothing, nothing.astype(np.float64))
        model.changeColIntegrality(len(columns) + which, highspy.HighsVarType.kInteger)
        index = np.array([*line.columns, len(columns) + which], dtype=np.int32)
        entries = np.array([*([1.0] * len(line.columns)), -float(line.sheets)])
        model.addRow(-highspy.kHighsInf, float(line.on_hand), len(index), index, entries)
    model.setOptionValue("mip_rel_gap", 1e-4)
    return _solve_whole(model, len(columns), nodes)


def fewest_columns(
    columns: Sequence[Column],
    demand: Sequence[int],
    limits: Sequence[int],
    *,
    heaviest: int,
    step: int,
    nodes: int,
) -> list[int] | None:
    """Whole numbers of as few distinct columns as possible that weigh no more than `heaviest`."""
    size = len(columns)
    model = _integer_model(columns, demand, limits, scale=step)
    every = np.arange(size, dtype=np.int32)
    weights = np.array([column.weight / step for column in columns], dtype=np.float64)
    model.addRow(-highspy.kHighsInf, heaviest / step + 1e-6, size, every, weights)
    for place in range(size):
        model.changeColCost(place, 0.0)
    for place, column in enumerate(columns):
        most = max((-(-want // have) for have, want in zip(column.counts, demand, strict=True) if have), default=0)
        if column.limit_row is not None:
            most = min(most, limits[column.limit_row])
        most = min(most, int(heaviest / column.weight) if column.weight else most)
        model.changeColBounds(place, 0.0, float(most))
        nothing = np.array([], dtype=np.int32)
        model.addCol(1.0, 0.0, 1.0, 0, nothing, nothing.astype(np.float64))
        model.changeColIntegrality(size + place, highspy.HighsVarType.kInteger)
        pair = np.array([place, size + place], dtype=np.int32)
        model.addRow(-highspy.kHighsInf, 0.0, 2, pair, np.array([1.0, -float(most)]))
    model.setOptionValue("mip_abs_gap", 0.999)
    model.setOptionValue("mip_rel_gap", 0.0)
    return _solve_whole(model, size, nodes)


def _integer_model(
    columns: Sequence[Column], demand: Sequence[int], limits: Sequence[int], *, scale: int
) -> highspy.Highs:
    model = _model()
    nothing = np.array([], dtype=np.int32)
    for number in demand:
        model.addRow(float(number), highspy.kHighsInf, 0, nothing, nothing.astype(np.float64))
    for number in limits:
        model.addRow(-highspy.kHighsInf, float(number), 0, nothing, nothing.astype(np.float64))
    for place, column in enumerate(columns):
        rows = [row for row, number in enumerate(column.counts) if number]
        entries = [float(min(column.counts[row], demand[row])) for row in rows]
        if column.limit_row is not None:
            rows.append(len(demand) + column.limit_row)
            entries.append(1.0)
        index = np.array(rows, dtype=np.int32)
        cost = column.weight / scale
        model.addCol(cost, 0.0, highspy.kHighsInf, len(index), index, np.array(entries, dtype=np.float64))
        model.changeColIntegrality(place, highspy.HighsVarType.kInteger)
    return model


def _solve_whole(model: highspy.Highs, size: int, nodes: int) -> list[int] | None:
    model.setOptionValue("mip_max_nodes", nodes)
    model.run()
    if model.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None
    return [round(value) for value in list(model.getSolution().col_value)[:size]]

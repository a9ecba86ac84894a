"""An integer program's solver that prints nothing; loaded only where one is needed, since it takes 0.1 s."""

from __future__ import annotations

from collections.abc import Sequence

import highspy


class SilentModel(highspy.Highs):
    """A model with its output off before its constructor logs anything."""

    def enableCallbacks(self) -> None:  # noqa: N802  the solver's name
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]  # the library has no types


def solved(
    costs: Sequence[float], upper: Sequence[float], rows: Sequence[tuple[float, float, dict[int, float]]]
) -> list[float] | None:
    """The values of whole-number columns, each from 0 to its `upper`, of least cost; None where there are none.

    rows: least, most and the columns' factors. The same program gives the same values everywhere.
    """
    model = SilentModel()  # type: ignore[no-untyped-call]  # the library has no types
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 1)
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 1e-6)
    model.setOptionValue("mip_feasibility_tolerance", 1e-9)
    for column, (cost, most) in enumerate(zip(costs, upper, strict=True)):
        model.addVar(0.0, most)
        model.changeColCost(column, cost)
        model.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    for least, most, terms in rows:
        model.addRow(least, most, len(terms), list(terms), [float(value) for value in terms.values()])
    model.run()
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return list(model.getSolution().col_value)

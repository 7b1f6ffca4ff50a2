"""Linear programs solved goal by goal: an earlier goal is never traded for a later one."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

__all__ = ["Infeasible", "LinearProgram"]

INF = 1e30


class Infeasible(Exception):
    """No amounts satisfy the fixed conditions."""


@dataclass
class LinearProgram:
    """Minimise one goal after another over x >= 0, with rows `low <= a.x <= high`.

    Build with `variable` and `row`; `solve(goals)` returns x and the value of each goal.
    """

    upper: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def variable(self, upper: float = INF, lower: float = 0.0) -> int:
        """A new variable; returns its number."""
        self.upper.append(upper)
        self.lower.append(lower)
        return len(self.upper) - 1

    def row(self, terms: dict[int, float], low: float = -INF, high: float = INF) -> None:
        """A new condition."""
        self.rows.append((terms, low, high))

    def solve(self, goals: list[dict[int, float]]) -> tuple[list[float], list[float]]:
        """Solve the goals in order. Raises Infeasible where the rows contradict each other.

        One solver is kept warm: after each goal its best value becomes a condition for the next.
        """
        import highspy

        solver = _quiet_solver()
        solver.passModel(self._program())
        every = np.arange(len(self.upper), dtype=np.int32)
        x: list[float] = []
        reached: list[float] = []
        for goal in goals:
            cost = np.zeros(len(self.upper))
            cost[list(goal)] = list(goal.values())
            solver.changeColsCost(len(every), every, cost)
            solver.run()
            if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
                solver.clearSolver()  # a warm start can lead astray; from scratch the answer is sure
                solver.run()
            if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
                if not x:
                    raise Infeasible(str(solver.getModelStatus()))
                # The conditions can be met, as an earlier goal showed; amounts that differ by many powers of
                # ten leave no room for a later goal, so the earlier answer stands.
                reached.append(sum(weight * x[i] for i, weight in goal.items()))
                continue
            x = [max(0.0, float(v)) for v in solver.getSolution().col_value]
            best = sum(weight * x[i] for i, weight in goal.items())
            reached.append(best)
            columns = np.array(list(goal), dtype=np.int32)
            weights = np.array(list(goal.values()), dtype=float)
            solver.addRow(-INF, best + max(1e-6, 1e-7 * abs(best)), len(columns), columns, weights)
        return x, reached

    def _program(self) -> Any:
        """The rows and bounds in the solver's form, with no goal yet."""
        import highspy

        program = highspy.HighsLp()
        program.num_col_, program.num_row_ = len(self.upper), len(self.rows)
        program.col_cost_ = np.zeros(len(self.upper))
        program.col_lower_, program.col_upper_ = np.array(self.lower), np.array(self.upper)
        program.row_lower_ = np.array([low for _, low, _ in self.rows])
        program.row_upper_ = np.array([high for _, _, high in self.rows])
        starts, index, value = [0], [], []
        for terms, _, _ in self.rows:
            index += list(terms)
            value += list(terms.values())
            starts.append(len(index))
        program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        program.a_matrix_.start_ = np.array(starts)
        program.a_matrix_.index_ = np.array(index)
        program.a_matrix_.value_ = np.array(value, dtype=float)
        return program


def _quiet_solver() -> Any:
    """A solver that prints nothing: the usual constructor greets before it can be silenced."""
    import highspy

    class Quiet(highspy.Highs):
        def __init__(self) -> None:
            super(highspy.Highs, self).__init__()
            self.silent()

    solver = Quiet()
    solver.setOptionValue("threads", 1)
    return solver

"""The linear program, against an independent solver and its own promises."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from advisor.season.linear import Infeasible, LinearProgram

numbers = st.integers(-5, 9).map(float)


@settings(max_examples=50)
@given(
    rows=st.lists(st.lists(numbers, min_size=3, max_size=3), min_size=1, max_size=4),
    right=st.lists(st.integers(0, 40).map(float), min_size=4, max_size=4),
    cost=st.lists(st.integers(-4, 6).map(float), min_size=3, max_size=3),
)
def test_it_agrees_with_scipy(rows: list[list[float]], right: list[float], cost: list[float]) -> None:
    program = LinearProgram()
    x = [program.variable(10.0) for _ in range(3)]
    for row, most in zip(rows, right, strict=False):
        program.row(dict(zip(x, row, strict=True)), high=most)
    other = linprog(cost, A_ub=np.array(rows), b_ub=np.array(right[: len(rows)]), bounds=[(0, 10)] * 3)
    _, (reached,) = program.solve([dict(zip(x, cost, strict=True))])
    assert reached == pytest.approx(other.fun, abs=1e-6)


@settings(max_examples=50)
@given(
    first=st.lists(st.integers(0, 5).map(float), min_size=2, max_size=2), need=st.integers(1, 20).map(float)
)
def test_a_later_goal_never_costs_an_earlier_one(first: list[float], need: float) -> None:
    program = LinearProgram()
    x = [program.variable() for _ in range(2)]
    program.row({x[0]: 1.0, x[1]: 1.0}, low=need)
    goal = dict(zip(x, first, strict=True))
    _, (alone,) = program.solve([goal])
    _, reached = program.solve([goal, {x[0]: -1.0 if first[0] else 1.0, x[1]: 1.0}])
    assert reached[0] <= alone + 2e-6


def test_rows_that_contradict_each_other_are_refused() -> None:
    program = LinearProgram()
    x = program.variable(1.0, 0.5)
    program.row({x: 1.0}, low=2.0)
    with pytest.raises(Infeasible):
        program.solve([{x: 1.0}])


def test_where_a_later_goal_has_no_answer_the_earlier_one_stands() -> None:
    program = LinearProgram()
    x, free = program.variable(), program.variable()
    program.row({x: 1.0}, low=3.0)
    solved, reached = program.solve([{x: 1.0}, {free: -1.0}])  # nothing holds the second back
    assert solved[x] == pytest.approx(3.0)
    assert reached == pytest.approx([3.0, -solved[free]])

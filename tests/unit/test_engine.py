"""The reasoning: names find their values, draws are fair, and what matters is named."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge import Knowledge
from advisor.reasoning.draws import Draws, spread, typical
from advisor.reasoning.engine import FARM, Derivations, Engine, Missing, Told, Topology, importance


def engine(known: Knowledge, told: dict[str, Told], derive: Derivations, draws: int = 400) -> Engine:
    return Engine(known, Topology({}, {}, ()), {FARM: told}, derive, Draws(draws, 3))


def chain() -> Derivations:
    derive = Derivations()

    @derive("farm", "kg", "total")
    def total(part: float, share: float) -> float:
        """Part times share."""
        return part * share

    @derive("farm", "kg", "double")
    def double(total: float) -> float:
        """Twice the total."""
        return 2 * total

    return derive


def test_order_and_tree_follow_from_names(known: Knowledge) -> None:
    found = engine(known, {"part": Told(10.0, 8.0, 14.0), "share": Told(0.5)}, chain()).node("double")
    assert typical(found.value) == 10.0
    assert [n.name for n in found.walk()] == ["double", "total", "share", "part"]
    assert found.derivation is not None
    assert found.derivation.says == "Twice the total."


def test_what_is_missing_is_named(known: Knowledge) -> None:
    with pytest.raises(Missing) as missing:
        engine(known, {"part": Told(1.0)}, chain()).node("double")
    assert missing.value.name == "share"


def test_a_told_value_beats_its_derivation(known: Knowledge) -> None:
    assert engine(known, {"total": Told(7.0)}, chain()).value("double") == 14.0


def test_a_name_worked_out_twice_is_refused() -> None:
    derive = chain()
    with pytest.raises(ValueError, match="two places"):

        @derive("farm", "kg", "again")
        def total() -> float:
            """Another."""
            return 0.0


def test_going_round_in_circles_is_told(known: Knowledge) -> None:
    derive = Derivations()

    @derive("farm", "", "a")
    def a_fact(b_fact: float) -> float:
        """B."""
        return b_fact

    @derive("farm", "", "b")
    def b_fact(a_fact: float) -> float:
        """A."""
        return a_fact

    with pytest.raises(RuntimeError, match="circles"):
        engine(known, {}, derive).node("a_fact")


def test_the_unknown_that_moves_a_result_most_comes_first(known: Knowledge) -> None:
    made = engine(known, {"part": Told(10.0, 5.0, 15.0), "share": Told(0.5, 0.49, 0.51)}, chain())
    node = made.node("double")
    ranked = importance(node.value, made.leaves())
    assert ranked[0][0].name == "part"
    assert ranked[0][1] > 0.95


def test_draws_are_the_same_for_a_name_and_lie_in_range() -> None:
    draws = Draws(2000, 7)
    first, again = (draws.triangular("x", 1.0, 2.0, 5.0) for _ in range(2))
    assert isinstance(first, np.ndarray)
    assert np.array_equal(first, again)
    assert first[0] == 2.0
    assert first.min() >= 1.0
    assert first.max() <= 5.0
    # mean of a triangular distribution is (a + b + c) / 3 (any statistics handbook)
    assert first[1:].mean() == pytest.approx(8 / 3, rel=0.005)
    low, middle, high = spread(first)
    assert low < middle < high
    assert not np.array_equal(Draws(2000, 8).triangular("x", 1.0, 2.0, 5.0), first)


def test_without_a_range_a_number_stays_a_number() -> None:
    assert Draws(100).triangular("x", 2.0, 2.0, 2.0) == 2.0
    assert Draws(0).triangular("x", 1.0, 2.0, 3.0) == 2.0


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=60))
def test_a_spread_is_numpys_percentiles_of_the_draws(values: list[float]) -> None:
    expected = np.percentile(np.array(values[1:]), [10, 50, 90])  # numpy's own, linear between draws
    assert spread(np.array(values)) == pytest.approx(tuple(expected), rel=1e-9, abs=1e-6)

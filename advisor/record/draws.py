"""Draws that a record has chosen among: the same names, the likelier draws more often."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from advisor.reasoning.draws import Draws, Numbers, typical

__all__ = ["LearnedDraws", "TypicalDraws", "effective_number", "flattened", "resample", "weights_of"]


def weights_of(log_weights: Numbers) -> Numbers:
    """Weights that add up to one, from their logarithms."""
    raised = np.exp(log_weights - log_weights.max())
    weights: Numbers = raised / raised.sum()
    return weights


def effective_number(log_weights: Numbers) -> float:
    """How many draws still carry weight: one over the sum of squared weights."""
    return float(1.0 / np.square(weights_of(log_weights)).sum())


def flattened(log_weights: Numbers, least: float) -> Numbers:
    """The log weights, scaled down as far as it takes for `least` draws to carry weight."""
    if effective_number(log_weights) >= least:
        return log_weights
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if effective_number(middle * log_weights) >= least else (low, middle)
    return low * log_weights


def resample(log_weights: Numbers, seed: int) -> NDArray[np.int64]:
    """Systematic resampling: as many draw numbers as there are draws, each as often as its weight asks."""
    count = log_weights.size
    generator = np.random.Generator(np.random.PCG64(seed))
    marks = (np.arange(count) + generator.random()) / count
    reached = np.cumsum(weights_of(log_weights))
    reached[-1] = 1.0
    chosen: NDArray[np.int64] = np.searchsorted(reached, marks, side="right").clip(0, count - 1)
    return chosen


@dataclass
class LearnedDraws(Draws):
    """The draws of `origin` with the numbers `chosen`, the same for every name, so that what hangs together
    stays together. The typical value moves as far as the mean of the draws did.
    """

    origin: Draws = field(default_factory=Draws)
    chosen: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64), repr=False)

    @classmethod
    def of(cls, origin: Draws, chosen: NDArray[np.int64]) -> LearnedDraws:
        """Learned draws from plain ones."""
        return cls(origin.count, origin.seed, origin, chosen)

    def triangular(self, name: str, low: float, value: float, high: float) -> Numbers | float:
        """As Draws.triangular, among the chosen draws."""
        before = self.origin.triangular(name, low, value, high)
        if not isinstance(before, np.ndarray):
            return before
        after = before[1:][self.chosen]
        moved = np.clip(value + after.mean() - before[1:].mean(), low, high)
        return np.concatenate(([moved], after))


@dataclass
class TypicalDraws(Draws):
    """Only the typical values of other draws: for what is worked out on single numbers."""

    origin: Draws = field(default_factory=Draws)

    def triangular(self, name: str, low: float, value: float, high: float) -> Numbers | float:
        """The typical value alone."""
        return typical(self.origin.triangular(name, low, value, high))

"""Draws that a record has chosen among: the same names, the likelier draws more often."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from advisor.reasoning.draws import Draws, Numbers, typical

__all__ = ["LearnedDraws", "TypicalDraws", "bearable_share", "effective_number", "resample", "weights_of"]


def weights_of(log_weights: Numbers) -> Numbers:
    """Weights that add up to one, from their logarithms."""
    raised = np.exp(log_weights - log_weights.max())
    weights: Numbers = raised / raised.sum()
    return weights


def effective_number(log_weights: Numbers) -> float:
    """How many draws still carry weight: one over the sum of squared weights."""
    return float(1.0 / np.square(weights_of(log_weights)).sum())


def bearable_share(log_weights: Numbers, least: float) -> float:
    """How much of the readings' say, at most all of it, leaves `least` draws that carry weight."""
    if effective_number(log_weights) >= least:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if effective_number(middle * log_weights) >= least else (low, middle)
    return low


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
    stays together. Where `stirred` is told, those draws have each moved a little way from where they stood.
    The typical value moves as far as the mean of the draws did.
    """

    origin: Draws = field(default_factory=Draws)
    chosen: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64), repr=False)
    stirred: NDArray[np.bool_] | None = field(default=None, repr=False)
    round: int = 0  # of stirring: each has its own luck
    _held: dict[str, Numbers] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, origin: Draws, chosen: NDArray[np.int64]) -> LearnedDraws:
        """Learned draws from plain ones."""
        return cls(count=origin.count, seed=origin.seed, origin=origin, chosen=chosen)

    def stir(self, stirred: NDArray[np.bool_], round_: int) -> LearnedDraws:
        """These draws with those of `stirred` moved a little."""
        return LearnedDraws(
            count=self.count,
            seed=self.seed,
            origin=self,
            chosen=np.arange(self.count),
            stirred=stirred,
            round=round_,
        )

    def triangular(self, name: str, low: float, value: float, high: float) -> Numbers | float:
        """As Draws.triangular, among the chosen draws."""
        after = super().triangular(name, low, value, high)
        if not isinstance(after, np.ndarray):
            return after
        before = self._first().triangular(name, low, value, high)
        assert isinstance(before, np.ndarray)
        after[0] = np.clip(value + after[1:].mean() - before[1:].mean(), low, high)
        return after

    def _first(self) -> Draws:
        """The plain draws that all this began with."""
        return self.origin._first() if isinstance(self.origin, LearnedDraws) else self.origin

    def even(self, name: str) -> Numbers:
        """Draws between 0 and 1: the chosen ones, and a step away, turned back at the ends, where stirred.

        Such a step is as likely there as back, so moved draws stay as even as they were before any reading.
        """
        if name not in self._held:
            even = self.origin.even(name)[self.chosen]
            if self.stirred is not None:
                reach = _luck(self.seed, f"reach {self.round}").random(self.count) ** 2
                step = reach * _luck(self.seed, f"{self.round}:{name}").uniform(-1.0, 1.0, self.count)
                moved = np.abs(even + step)
                even = np.where(self.stirred, np.where(moved > 1.0, 2.0 - moved, moved), even)
            self._held[name] = even
        return self._held[name]


def _luck(seed: int, name: str) -> np.random.Generator:
    digest = hashlib.blake2b(f"stir {seed}:{name}".encode(), digest_size=8).digest()
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest, "little")))


@dataclass
class TypicalDraws(Draws):
    """Only the typical values of other draws: for what is worked out on single numbers."""

    origin: Draws = field(default_factory=Draws)

    def triangular(self, name: str, low: float, value: float, high: float) -> Numbers | float:
        """The typical value alone."""
        return typical(self.origin.triangular(name, low, value, high))
